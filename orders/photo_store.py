"""Photos from the site: read in a bounded process, kept as our own JPEG; nobody is served what was sent."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from django.conf import settings
from django.utils.translation import gettext as _

from framing.common.bounded import run_bounded
from framing.common.bytestore import ByteStore, register_store
from framing.common.errors import NotThere, Refused, TooBig
from framing.projects.reading.kinds import safe_name
from orders.models import SitePhoto

LOCK_CLASS: Final = 7409  # ours alone among the database's advisory locks
FILE_MOST: Final = 10_000_000
BODY_MOST: Final = FILE_MOST + 100_000
"""The file, and the numbers beside it."""
JOB: Final = "orders.site_picture.remake"
_JPEG: Final = b"\xff\xd8\xff"


def _named(hashes: list[str]) -> Iterable[str]:
    return SitePhoto.objects.filter(sha256__in=hashes).values_list("sha256", flat=True)


PHOTOS: Final = register_store(
    ByteStore(lambda: Path(settings.PAPERS_DIR) / "photos", ".jpg", (LOCK_CLASS, 0), _named)
)


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo made anew, and what its file was called, for people only."""

    name: str
    data: bytes
    width: int
    height: int


def picture_of(name: str, data: bytes) -> Picture:
    """What was sent as a picture of our own. Raises TooBig and Refused at `file`."""
    shown = safe_name(name)
    if len(data) > FILE_MOST:
        words = _(
            "“%(name)s” has %(size)s bytes; at most %(most)s are read. Take the photo with fewer pixels."
        )
        sizes = {"name": shown, "size": f"{len(data):,}", "most": f"{FILE_MOST:,}"}
        raise TooBig(words % sizes, field="file")
    if not data:
        raise Refused(_("“%(name)s” is empty. Take the photo again.") % {"name": shown}, field="file")
    outcome = run_bounded(JOB, data)
    if outcome.state != "done":
        words = _(outcome.words.replace("\x00", ""))  # the job's own sentences stand in the catalogues
        raise Refused(f"“{shown}”: {words}", field="file")
    blob = outcome.blobs[0] if len(outcome.blobs) == 1 else b""
    try:
        width, height = int(outcome.facts["width_px"]), int(outcome.facts["height_px"])
    except (KeyError, TypeError, ValueError):
        width = height = 0
    # its process read a stranger's file, so what it says is not trusted
    if not blob.startswith(_JPEG) or not 0 < width * height <= 10_000_000:
        raise Refused(
            _("“%(name)s” can't be read here. Take the photo again.") % {"name": shown}, field="file"
        )
    return Picture(shown, blob, width, height)


def photo_bytes(photo: SitePhoto) -> bytes:
    """The picture. Raises NotThere where its file is gone or is not what was stored."""
    try:
        data = PHOTOS.read(photo.sha256)
    except FileNotFoundError:
        data = None
    if data is None:
        raise NotThere(
            "This photo's file is not as it was stored. Tell whoever looks after this installation."
        )
    return data
