"""Sheets and rolls for labels: made, changed, chosen, removed. Papers keep the sizes that they were made with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.db import connection, transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import NotThere, Refused
from orders.models import LabelStock
from orders.papers.contents import stock_facts
from orders.papers.facts import Stock
from orders.papers.sizes import COUNTS, SIZES, check_stock
from orders.states import LabelUse

NAME_MOST = 60
STOCK_LOCK = (7408, 0)  # ours alone among the database's advisory locks


def stock_make(*, actor: Actor, at: datetime, name: str, use: str, sizes: Mapping[str, int]) -> LabelStock:
    """Make a stock; the first one of a use is chosen at once.

    Args:
        sizes: tenths of a millimetre, and how many columns and rows, by the names of `Stock`.

    Raises Refused at the field that does not hold.
    """
    with transaction.atomic():
        require(actor, "label_stock", "change")
        _lock()
        kind = _use(use)
        stock = _checked(kind, sizes)
        row = LabelStock.objects.create(
            name=_name(name, None),
            use=kind,
            chosen=not LabelStock.objects.filter(use=kind, chosen=True).exists(),
            made_by=actor.user,
            **asdict(stock),
        )
        audit_record(actor, "label_stock_make", row, at=at, change={"use": kind.value, **asdict(stock)})
    return row


def stock_change(
    *, actor: Actor, at: datetime, stock: LabelStock, name: str, sizes: Mapping[str, int]
) -> LabelStock:
    """Change name and sizes; what it is for stays. Raises Refused at the field that does not hold."""
    with transaction.atomic():
        require(actor, "label_stock", "change")
        row = _locked(stock)
        before = {"name": row.name, **asdict(stock_facts(row))}
        fresh = _checked(LabelUse(row.use), sizes)
        row.name = _name(name, row)
        for field, value in asdict(fresh).items():
            setattr(row, field, value)
        after = {"name": row.name, **asdict(fresh)}
        moved = {field: [before[field], after[field]] for field in after if before[field] != after[field]}
        if moved:
            row.save()
            audit_record(actor, "label_stock_change", row, at=at, change=moved)
    return row


def stock_choose(*, actor: Actor, at: datetime, stock: LabelStock) -> LabelStock:
    """Print a use on this stock unless told otherwise; a second time changes nothing."""
    with transaction.atomic():
        require(actor, "label_stock", "change")
        row = _locked(stock)
        if not row.chosen:
            was = LabelStock.objects.filter(use=row.use, chosen=True).first()
            LabelStock.objects.filter(use=row.use, chosen=True).update(chosen=False)
            row.chosen = True
            row.save(update_fields=["chosen"])
            audit_record(
                actor,
                "label_stock_choose",
                row,
                at=at,
                change={"chosen": [was.name if was else "", row.name]},
            )
    return row


def stock_remove(*, actor: Actor, at: datetime, stock: LabelStock) -> None:
    """Remove a stock; the trail keeps its sizes. Raises NotThere where it is gone already."""
    with transaction.atomic():
        require(actor, "label_stock", "change")
        row = _locked(stock)
        gone = {"name": row.name, "use": row.use, "chosen": row.chosen, **asdict(stock_facts(row))}
        audit_record(actor, "label_stock_remove", row, at=at, change={"removed": gone})
        row.delete()


def _lock() -> None:
    """Acts on stocks go one after another: they share names and the choice of each use."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", STOCK_LOCK)


def _locked(stock: LabelStock) -> LabelStock:
    _lock()
    row = LabelStock.objects.filter(pk=stock.pk).first()
    if row is None:
        raise NotThere()
    return row


def _use(use: str) -> LabelUse:
    if use not in LabelUse.values:
        raise Refused(f"“{use[:20]}” is nothing that labels are for.", field="use")
    return LabelUse(use)


def _name(name: str, row: LabelStock | None) -> str:
    words = name.strip()
    if not words:
        raise Refused("Give the sheet or roll a name that stands on its pack.", field="name")
    if len(words) > NAME_MOST:
        raise Refused(f"A name has at most {NAME_MOST} signs; this one has {len(words)}.", field="name")
    others = LabelStock.objects.filter(name=words)
    if (others.exclude(pk=row.pk) if row else others).exists():
        raise Refused(f"There is a stock named “{words}” already. Take another name.", field="name")
    return words


def _checked(use: LabelUse, sizes: Mapping[str, Any]) -> Stock:
    stock = Stock(**{field: int(sizes[field]) for field in (*SIZES, *COUNTS)})
    if stock.columns == 1:  # no step is asked for where there is nothing to step to
        stock = _with(stock, "across", stock.label_width)
    if stock.rows == 1:
        stock = _with(stock, "down", stock.label_height)
    check_stock(use, stock)
    return stock


def _with(stock: Stock, field: str, value: int) -> Stock:
    return Stock(**{**asdict(stock), field: value})
