"""Remove what killed writers left in the store of papers; the worker does so every hour."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from framing.common.clock import database_now
from framing.common.papers import papers_sweep


class Command(BaseCommand):
    help = "Remove half files, and files of papers that no row names, when they are over an hour old."

    def handle(self, *args: Any, **options: Any) -> None:
        """Sweep and tell what went."""
        del args, options
        removed = papers_sweep(database_now())
        self.stdout.write("\n".join([*removed, f"{len(removed)} removed"]))
