"""Asking for papers of a floor's saved version: its calculation sheets, its drawings."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Refused
from framing.common.models import OutboxEntry
from framing.common.outbox import outbox_add, outbox_retry
from framing.projects.models import FloorVersion
from framing.projects.versions import CALCULATION_PAPER, DRAWINGS_PAPER, VersionPaper, current_basis


def calculation_sheet_ask(*, actor: Actor, at: datetime, version: FloorVersion) -> OutboxEntry:
    """Ask the worker for the calculation sheets of a saved version, by the practice set in force. See `_ask`."""
    return _ask(actor, at, version, CALCULATION_PAPER, "calculation_sheet_ask", "calculation sheets")


def drawings_ask(*, actor: Actor, at: datetime, version: FloorVersion) -> OutboxEntry:
    """Ask the worker for the drawings of a saved version, by the practice set in force. See `_ask`.

    The right is that of the calculation sheets: who may have the numbers on paper may have the drawings.
    """
    return _ask(actor, at, version, DRAWINGS_PAPER, "drawings_ask", "drawings")


def _ask(
    actor: Actor, at: datetime, version: FloorVersion, paper: VersionPaper, verb: str, words: str
) -> OutboxEntry:
    """Equal asks (version, engine, catalogue, practice set) are one row and are done once.

    Asking again is harmless and puts stopped work back in line. Raises Refused, with the reasons, where the
    version can't be built.
    """
    require(actor, "calculation", "ask")
    basis = current_basis(version)
    _, problems = basis.designed()
    if problems:
        detail = [{"place": problem.place, "message": problem.message} for problem in problems]
        raise Refused(f"This floor can't be built, so it has no {words}.", detail=detail)
    with transaction.atomic():
        practice = basis.practice_row.pk if basis.practice_row else None
        entry = outbox_add(paper.work, paper.work_key(basis), {"version": version.pk, "practice": practice})
        if entry.state == "parked":
            outbox_retry(entry)
        change = {
            "version": version.number,
            "engine": basis.engine_version,
            "practice": basis.practice_words,
        }
        audit_record(actor, verb, version.floor, at=at, change=change)
    return entry
