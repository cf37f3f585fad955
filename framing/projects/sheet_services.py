"""Asking for the calculation sheets of a floor as a paper."""

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
from framing.projects.sheets import PAPER_WORK, current_sheets


def calculation_sheet_ask(*, actor: Actor, at: datetime, version: FloorVersion) -> OutboxEntry:
    """Ask the worker for the calculation sheets of a saved version, by the practice set in force.

    Equal asks (version, engine, catalogue, practice set) are one row and are done once. Asking again is harmless
    and puts stopped work back in line. Raises Refused, with the reasons, where the version can't be built.
    """
    require(actor, "calculation", "ask")
    sheets = current_sheets(version)
    if sheets.problems:
        detail = [{"place": problem.place, "message": problem.message} for problem in sheets.problems]
        raise Refused("This floor can't be built, so it has no calculation sheets.", detail=detail)
    with transaction.atomic():
        practice = sheets.practice_row.pk if sheets.practice_row else None
        entry = outbox_add(PAPER_WORK, sheets.work_key, {"version": version.pk, "practice": practice})
        if entry.state == "parked":
            outbox_retry(entry)
        change = {
            "version": version.number,
            "engine": sheets.engine_version,
            "practice": sheets.practice_words,
        }
        audit_record(actor, "calculation_sheet_ask", version.floor, at=at, change=change)
    return entry
