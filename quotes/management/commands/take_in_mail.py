"""Take in one mail from the standard input, so that any mail server can pipe it: `manage.py take_in_mail < mail`."""

from __future__ import annotations

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from framing.common.clock import database_now
from framing.common.errors import ApplicationError
from framing.common.mail_reading import BYTES_MOST
from quotes.services import mail_take_in


class Command(BaseCommand):
    help = "Take in one mail from the standard input; a reply to one of ours goes to its quote's thread."

    def handle(self, *args: Any, **options: Any) -> None:
        """Says what became of the mail; ends with 1 where it is no mail or too big."""
        del args, options
        raw = sys.stdin.buffer.read(BYTES_MOST + 1)
        try:
            taken = mail_take_in(raw, at=database_now())
        except ApplicationError as error:
            raise CommandError(error.message) from error
        self.stdout.write(taken.outcome)
