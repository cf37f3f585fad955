"""Stored papers: bytes on disk by their hash, one row a paper, never half a file."""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import connection, models, transaction
from django.http import HttpResponse

from framing.common.clock import database_now
from framing.common.errors import ApplicationError
from framing.common.models import StoredPaper

PART = ".part-"
LEFT_BEHIND_S = 3600
LOCK_CLASS = 7403  # ours alone among the database's advisory locks
_STORED_NAME = re.compile(r"[0-9a-f]{64}\.pdf")
_NOT_IN_A_NAME = re.compile(r"[^A-Za-z0-9._-]+")


class PaperDamaged(ApplicationError):
    """The stored file is missing or is not what was stored."""

    status = 500
    title = "Stored paper damaged"


def _path(sha256: str) -> Path:
    return Path(settings.PAPERS_DIR) / sha256[:2] / f"{sha256}.pdf"


def write_bytes(data: bytes) -> str:
    """Write data under its SHA-256: temporary file, sync, rename, sync of the folder. Returns the hash."""
    sha256 = hashlib.sha256(data).hexdigest()
    path = _path(sha256)
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=PART)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
    return sha256


def paper_get(kind: str, subject: models.Model) -> StoredPaper | None:
    """The stored paper of that kind for a thing, if it is there yet."""
    return StoredPaper.objects.filter(
        kind=kind, subject_type=subject._meta.label_lower, subject_id=subject.pk
    ).first()


def paper_store(kind: str, subject: models.Model, *, data: bytes, pages: int, file_name: str) -> StoredPaper:
    """Store a paper once, in the caller's transaction; a paper that is there already is returned as it is."""
    known = paper_get(kind, subject)
    if known is not None:
        return known
    _lock_store("pg_advisory_xact_lock_shared")
    return StoredPaper.objects.create(
        kind=kind,
        subject_type=subject._meta.label_lower,
        subject_id=subject.pk,
        file_name=file_name,
        sha256=write_bytes(data),
        size=len(data),
        pages=pages,
        stored_at=database_now(),
    )


def papers_sweep(at: datetime) -> list[str]:
    """Remove what killed writers left: files that no row names and half files, both over an hour old.

    Waits until nobody is between a file and its row, so that no row loses its file. Returns the names removed.
    """
    removed: list[str] = []
    for folder in sorted(path for path in Path(settings.PAPERS_DIR).glob("*") if path.is_dir()):
        with transaction.atomic():
            _lock_store("pg_advisory_xact_lock")
            removed += _sweep_folder(folder, at.timestamp() - LEFT_BEHIND_S)
    return removed


def _sweep_folder(folder: Path, before: float) -> list[str]:
    old = {
        path.name: path
        for path in sorted(folder.iterdir())
        if path.is_file() and path.stat().st_mtime < before
    }
    named = StoredPaper.objects.filter(sha256__in=[name.removesuffix(".pdf") for name in old])
    kept = {f"{sha256}.pdf" for sha256 in named.values_list("sha256", flat=True)}
    ours = [name for name in old if name.startswith(PART) or _STORED_NAME.fullmatch(name)]
    removed = [name for name in ours if name not in kept]
    for name in removed:
        old[name].unlink(missing_ok=True)
    return removed


def _lock_store(lock: str) -> None:
    """Take a lock on the store until the transaction ends: shared to add a paper, alone to sweep."""
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {lock}(%s, 0)", [LOCK_CLASS])  # one of two names above


def paper_bytes(paper: StoredPaper) -> bytes:
    """The stored bytes, checked against their hash. Raises PaperDamaged."""
    try:
        data = _path(paper.sha256).read_bytes()
    except FileNotFoundError as error:
        raise PaperDamaged(f"The file of {paper.file_name} is missing from the store.") from error
    if hashlib.sha256(data).hexdigest() != paper.sha256:
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
