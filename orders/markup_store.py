"""Where marked-up drawings of builders lie as they came; nobody is served them, only pictures that we made of them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from django.conf import settings

from framing.common.bounded import JobRefused
from framing.common.bytestore import ByteStore, register_store
from framing.common.errors import Refused, TooBig
from framing.projects.reading.kinds import kind_of, safe_name
from orders.models import DrawingSet

LOCK_CLASS: Final = 7408  # ours alone among the database's advisory locks
FILE_MOST: Final = 10_000_000
BODY_MOST: Final = FILE_MOST + 500_000
"""The file, and the words beside it."""
READ_KINDS: Final = ("pdf", "image")


def _named(hashes: list[str]) -> Iterable[str]:
    return DrawingSet.objects.filter(markup_sha256__in=hashes).values_list("markup_sha256", flat=True)


MARKUPS: Final = register_store(
    ByteStore(lambda: Path(settings.PAPERS_DIR) / "markups", ".mark", (LOCK_CLASS, 0), _named)
)


def check_markup(name: str, data: bytes) -> str:
    """The harmless name of a file that may be kept. Raises TooBig and Refused at `file`."""
    shown = safe_name(name)
    if len(data) > FILE_MOST:
        raise TooBig(
            f"“{shown}” has {len(data):,} bytes; at most {FILE_MOST:,} are read. Send a smaller picture, or the marked"
            " pages alone.",
            field="file",
        )
    try:
        kind = kind_of(data)
    except JobRefused as error:
        raise Refused(f"“{shown}”: {error}", field="file") from error
    if kind not in READ_KINDS:
        raise Refused(f"“{shown}” is neither a PDF nor a picture. Save it as PDF, PNG or JPEG.", field="file")
    return shown
