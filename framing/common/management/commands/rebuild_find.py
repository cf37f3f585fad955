"""./run manage rebuild_find: makes the words by which things are found anew."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from framing.common.find_index import rebuild


class Command(BaseCommand):
    help = "Make the words by which things are found anew, from what is stored now."

    def handle(self, *args: Any, **options: Any) -> None:
        del args, options
        for kind, count in rebuild().items():
            self.stdout.write(f"{kind}: {count:,}")
