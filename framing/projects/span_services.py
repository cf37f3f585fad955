"""Asking for a span table on paper. The worker makes it; equal asks are one ask with one paper."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import NotThere
from framing.common.models import OutboxEntry
from framing.common.outbox import outbox_add, outbox_retry
from framing.common.papers import paper_get
from framing.projects.models import SpanTableAsk
from framing.projects.selectors import practice_of
from framing.projects.services import practice_set_current
from framing.projects.span_asks import SpanAsk, ask_json
from framing.projects.span_tables import PAPER_KIND, span_sheet

PAPER_WORK = "span_table_paper"


def span_table_ask(*, actor: Actor, at: datetime, ask: SpanAsk) -> SpanTableAsk:
    """Ask for a table on paper; it is made once. Asking again is harmless, and puts stopped work back in line.

    Raises LoadRefused where the engine takes no such load or limit.
    """
    require(actor, "catalogue", "read")
    with transaction.atomic():
        practice = practice_set_current(at=at)
        sheet = span_sheet(ask, practice_of(practice), at)
        row, made = SpanTableAsk.objects.get_or_create(
            digest=sheet.digest,
            defaults={
                "case": ask_json(ask),
                "practice": practice,
                "asked_by": actor.name[:160],
                "asked_at": at,
            },
        )
        job = outbox_add(PAPER_WORK, str(row.pk), {"ask": row.pk})
        stopped = job.state == "parked"
        if stopped:
            outbox_retry(job)
        if made or stopped:
            audit_record(actor, "span_table_ask", row, at=at, change={"case": row.case})
    return row


def ask_get(public_id: str) -> SpanTableAsk:
    """One ask with its practice set. Raises NotThere."""
    rows = SpanTableAsk.objects.select_related("practice")
    row = rows.filter(public_id=public_id).first() if public_id.isalnum() else None
    if row is None:
        raise NotThere()
    return row


def span_job(row: SpanTableAsk) -> OutboxEntry | None:
    """The work that makes the paper of an ask, None once the paper is there."""
    if paper_get(PAPER_KIND, row) is not None:
        return None
    return OutboxEntry.objects.filter(kind=PAPER_WORK, key=str(row.pk)).first()
