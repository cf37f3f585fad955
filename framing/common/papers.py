"""Stored papers: bytes on disk by their hash, one row a paper, never half a file."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import models
from django.http import HttpResponse

from framing.common.bytestore import ByteStore, register_store
from framing.common.clock import database_now
from framing.common.errors import ApplicationError
from framing.common.models import StoredPaper

_NOT_IN_A_NAME = re.compile(r"[^A-Za-z0-9._-]+")


class PaperDamaged(ApplicationError):
    """The stored file is missing or is not what was stored."""

    status = 500
    title = "Stored paper damaged"


def _named(hashes: list[str]) -> Iterable[str]:
    return StoredPaper.objects.filter(sha256__in=hashes).values_list("sha256", flat=True)


STORE = register_store(
    ByteStore(
        folder=lambda: Path(settings.PAPERS_DIR),
        suffix=".pdf",
        lock=(7403, 0),  # ours alone among the database's advisory locks
        named=_named,
    )
)


def write_bytes(data: bytes) -> str:
    """Write a paper's bytes under their SHA-256, whole or not at all. Returns the hash."""
    return STORE.write(data)


def paper_get(kind: str, subject: models.Model) -> StoredPaper | None:
    """The stored paper of that kind for a thing, if it is there yet."""
    return StoredPaper.objects.filter(
        kind=kind, subject_type=subject._meta.label_lower, subject_id=subject.pk
    ).first()


def paper_store(kind: str, subject: models.Model, *, data: bytes, pages: int, file_name: str) -> StoredPaper:
    """Store a paper once, in the caller's transaction; a paper that is there already is returned as it is.

    So is one that another process stores at the same moment: the sweep takes the file that got no row.
    """
    known = paper_get(kind, subject)
    if known is not None:
        return known
    STORE.hold()
    paper, _ = StoredPaper.objects.get_or_create(
        kind=kind,
        subject_type=subject._meta.label_lower,
        subject_id=subject.pk,
        defaults={
            "file_name": file_name,
            "sha256": write_bytes(data),
            "size": len(data),
            "pages": pages,
            "stored_at": database_now(),
        },
    )
    return paper


def papers_sweep(at: datetime) -> list[str]:
    """Remove papers' files that no row names and half files, both over an hour old. Returns the names removed."""
    return STORE.sweep(at)


def paper_bytes(paper: StoredPaper) -> bytes:
    """The stored bytes, checked against their hash. Raises PaperDamaged."""
    try:
        data = STORE.read(paper.sha256)
    except FileNotFoundError as error:
        raise PaperDamaged(f"The file of {paper.file_name} is missing from the store.") from error
    if data is None:
        raise PaperDamaged(f"The stored file of {paper.file_name} was altered.")
    return data


def paper_response(paper: StoredPaper) -> HttpResponse:
    """The paper as a download, never run by a browser as a page of ours."""
    response = HttpResponse(paper_bytes(paper), content_type="application/pdf")
    name = _NOT_IN_A_NAME.sub("-", paper.file_name).lstrip(".-") or "paper.pdf"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    response["ETag"] = f'"{paper.sha256}"'
    return response
