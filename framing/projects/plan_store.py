"""Where plan files lie: what people brought, and the pictures made of it, in two stores of bytes beside the papers."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Final

from django.conf import settings

from framing.common.bytestore import ByteStore, register_store
from framing.common.errors import ApplicationError
from framing.projects.models import PlanFile, PlanPage

LOCK_CLASS: Final = 7406  # ours alone among the database's advisory locks


class PlanDamaged(ApplicationError):
    """A stored plan file or picture is missing or is not what was stored."""

    status = 500
    title = "Stored plan damaged"


def _files(hashes: list[str]) -> Iterable[str]:
    return PlanFile.objects.filter(sha256__in=hashes).values_list("sha256", flat=True)


def _pages(hashes: list[str]) -> Iterable[str]:
    return PlanPage.objects.filter(sha256__in=hashes).values_list("sha256", flat=True)


FILES: Final = register_store(
    ByteStore(lambda: Path(settings.PAPERS_DIR) / "plans", ".plan", (LOCK_CLASS, 0), _files)
)
PICTURES: Final = register_store(
    ByteStore(lambda: Path(settings.PAPERS_DIR) / "plan-pages", ".png", (LOCK_CLASS, 1), _pages)
)


def file_bytes(plan_file: PlanFile) -> bytes:
    """What somebody brought, for its reader alone. Raises PlanDamaged."""
    return _read(FILES, plan_file.sha256, plan_file.name)


def picture_bytes(page: PlanPage) -> bytes:
    """The picture of a page, PNG of our own making. Raises PlanDamaged."""
    return _read(PICTURES, page.sha256, f"the picture of page {page.number}")


def _read(store: ByteStore, sha256: str, what: str) -> bytes:
    try:
        data = store.read(sha256)
    except FileNotFoundError as error:
        raise PlanDamaged(f"The stored file of {what} is missing. Add the plan again.") from error
    if data is None:
        raise PlanDamaged(f"The stored file of {what} was altered. Add the plan again.")
    return data
