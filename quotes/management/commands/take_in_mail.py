"""Take in one mail from the standard input, so that any mail server can pipe it: `manage.py take_in_mail < mail`."""

from __future__ import annotations

import os
import sys
from typing import Any, Final

from django.core.management.base import BaseCommand, CommandError

from framing.common.clock import database_now
from framing.common.company import company
from framing.common.errors import ApplicationError
from framing.common.mail_reading import BYTES_MOST
from quotes.services import mail_take_in

LOST: Final = {
    "unmatched": "This address takes answers to our mails only. Write to {name}, {email}.",
    "over": "This conversation is over, for its link has ended. Write to {name}, {email}.",
}


class Command(BaseCommand):
    help = "Take in one mail from the standard input; a reply to one of ours goes to its quote's thread."

    def handle(self, *args: Any, **options: Any) -> None:
        """Says what became of the mail.

        Ends as mail servers read it: 65 for what is no mail or too big, 67 for a person's mail that reaches no thread.
        The server then tells the writer, with our words, instead of losing what he wrote. A machine is told nothing.
        """
        del args, options
        raw = sys.stdin.buffer.read(BYTES_MOST + 1)
        try:
            taken = mail_take_in(raw, at=database_now())
        except ApplicationError as error:
            raise CommandError(error.message, returncode=os.EX_DATAERR) from error
        if taken.outcome in LOST and not taken.automatic:
            raise CommandError(
                LOST[taken.outcome].format(name=company().name, email=company().email),
                returncode=os.EX_NOUSER,
            )
        self.stdout.write(taken.outcome)
