"""Asking for the drawings of a floor as a paper."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Refused
from framing.common.models import OutboxEntry
from framing.common.outbox import outbox_add, outbox_retry
from framing.projects.drawing_sheets import DRAWING_WORK, current_drawings, drawings_key
from framing.projects.models import FloorVersion


def drawings_ask(*, actor: Actor, at: datetime, version: FloorVersion) -> OutboxEntry:
    """Ask the worker for the drawings of a saved version, by the practice set in force.

    The right is that of the calculation sheets: who may have the numbers on paper may have the drawings. Equal
    asks are one row and are done once. Raises Refused, with the reasons, where the version can't be built.
    """
    require(actor, "calculation", "ask")
    drawings = current_drawings(version)
    if drawings.problems:
        detail = [{"place": problem.place, "message": problem.message} for problem in drawings.problems]
        raise Refused("This floor can't be built, so it has no drawings.", detail=detail)
    with transaction.atomic():
        practice = drawings.practice_row.pk if drawings.practice_row else None
        payload = {"version": version.pk, "practice": practice}
        entry = outbox_add(DRAWING_WORK, drawings_key(drawings), payload)
        if entry.state == "parked":
            outbox_retry(entry)
        change = {
            "version": version.number,
            "engine": drawings.engine_version,
            "practice": drawings.practice_words,
        }
        audit_record(actor, "drawings_ask", version.floor, at=at, change=change)
    return entry
