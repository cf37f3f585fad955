"""Stored papers: bytes on disk by their hash, one row a paper, never half a file."""

from __future__ import annotations

import hashlib
import os
import re
import tempfile
from pathlib import Path

from django.conf import settings
from django.db import models
from django.http import HttpResponse

from framing.common.clock import database_now
from framing.common.errors import ApplicationError
from framing.common.models import StoredPaper


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
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".part-")
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
