"""Fill an empty database with the demo company, or name its sign-ins."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from framing.common.clock import database_now
from framing.common.models import User
from orders.demo.people import PASSWORD, sign_ins
from orders.demo.story import Story


class Command(BaseCommand):
    help = (
        "Fill an empty database with an invented company: people, builders, quotes and orders at every stage."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--show", action="store_true", help="print the demo's sign-ins and do nothing")
        parser.add_argument("--force", action="store_true", help="fill in although this is no demo")

    def handle(self, *args: Any, **options: Any) -> None:
        del args
        if options["show"]:
            self._show()
            return
        if not (settings.SPANYARD_DEMO or options["force"]):
            raise CommandError(
                "These settings are not a demo: everybody knows its password. Add --force if you are sure."
            )
        with transaction.atomic():  # all of it or nothing; hints to the worker go out at the end
            if User.objects.exists():
                self.stdout.write("The database holds people already; nothing was changed.")
                return
            Story(database_now()).tell()
        self.stdout.write("The demo company is filled in.")

    def _show(self) -> None:
        found = sign_ins()
        if not found:
            return
        self.stdout.write(f"Sign in with the password “{PASSWORD}” as:")
        for email, role, name in found:
            self.stdout.write(f"  {email:<26} {role:<20} {name}")
