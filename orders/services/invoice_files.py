"""Exports of what there is to invoice: each item goes out once, in files that are numbered without a gap."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotAllowed
from framing.common.models import NumberSeries
from orders.invoice_content import FORMAT, VERSION
from orders.invoice_reads import invoice_list, items_content, last_exported
from orders.models import InvoiceFile
from orders.services.invoices import SERIES, next_running

FILES: Final = "inv_file"
ITEMS_MOST: Final = 5_000


def invoice_export(*, actor: Actor, at: datetime) -> InvoiceFile:
    """Put all items that stand in no export yet into the next one, the oldest 5,000 where there are more.

    The lock on their running numbers is what an item's own transaction holds until it is written, so that none is
    left out between two others.

    Raises Clash where there is nothing new, also the second of two who ask at once.
    """
    with transaction.atomic():
        require(actor, "invoice", "export")
        if actor.user is None:
            raise NotAllowed("An export is made by a person.")
        NumberSeries.objects.select_for_update().filter(series=SERIES).first()
        after = last_exported()
        rows = list(invoice_list().filter(number__gt=after).order_by("number")[:ITEMS_MOST])
        if not rows:
            raise Clash("Nothing is new since the last export. Take its file from the list of exports.")
        number = next_running(FILES)
        content = {
            "format": FORMAT,
            "version": VERSION,
            "file": number,
            "exported_at": at.isoformat(),
            "first": rows[0].number,
            "last": rows[-1].number,
            "items": items_content(rows),
        }
        file = InvoiceFile.objects.create(
            number=number,
            first=rows[0].number,
            last=rows[-1].number,
            content=content,
            by=actor.user,
            created_at=at,
        )
        audit_record(actor, "invoice_export", file, at=at, change={"items": [file.first, file.last]})
    return file
