"""Make the database's role that web, worker and beat sign in with; asked by the role that migrates."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from framing.common.database_role import role_grant
from framing.common.errors import Refused

PASSWORD = "SPANYARD_DATABASE_ROLE_PASSWORD"  # noqa: S105  # where it stands


class Command(BaseCommand):
    help = f"Give a database role what the program needs and no more; its password stands in {PASSWORD}."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("role")

    def handle(self, *args: Any, **options: Any) -> None:
        del args
        try:
            role_grant(options["role"], os.environ.get(PASSWORD, ""))
        except Refused as error:
            raise CommandError(error.message) from error
        self.stdout.write(f"{options['role']} reads and writes rows; it owns nothing.")
