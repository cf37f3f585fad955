"""Remove what killed writers left in the stores of papers and plan files; the worker does so every hour."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand
from django.utils.module_loading import autodiscover_modules

from framing.common.bytestore import stores_sweep
from framing.common.clock import database_now


class Command(BaseCommand):
    help = "Remove half files, and stored files that no row names, when they are over an hour old."

    def handle(self, *args: Any, **options: Any) -> None:
        """Sweep and tell what went."""
        del args, options
        autodiscover_modules("tasks")  # an app's tasks bring its stores
        removed = stores_sweep(database_now())
        self.stdout.write("\n".join([*removed, f"{len(removed)} removed"]))
