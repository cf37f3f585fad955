"""Asking for the shop's papers: what stands on one is kept at once, the worker makes the PDF of it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.outbox import outbox_add
from orders.models import LabelStock, Line, Order, ShopPaper
from orders.papers.contents import label_content, packing_content
from orders.papers.cut_lists import line_day_content, order_content, plan_in_force
from orders.papers.order_rows import OrderRows, rows_of
from orders.papers.paper_facts import digest_of, facts_of
from orders.papers.reads import stock_for
from orders.services.moves import order_locked
from orders.states import LABEL_PAPERS, OrderStage, ShopPaperKind

JOB = "shop_paper"


def shop_paper_make(
    *, actor: Actor, at: datetime, order: Order, kind: str, stock: LabelStock | None = None, start: int = 1
) -> ShopPaper:
    """Ask for a paper of an order. Asked for again with nothing changed, it is the same paper.

    Args:
        stock: what labels are printed on; the chosen one of their use where none is given.
        start: the first label of the first sheet that is still there, counted row by row from 1.

    Raises:
        Clash: the order is not released yet, or cancelled.
        Refused: nothing would stand on it, or no label of the sheet is the `start`-th.
    """
    with transaction.atomic():
        require(actor, "shop_paper", "make")
        row = order_locked(order.pk)
        if row.stage == OrderStage.BOOKED:
            raise Clash(f"Order {row.number} is not released yet; its papers can be made once it is.")
        if row.stage == OrderStage.CANCELLED:
            raise Clash(f"Order {row.number} is cancelled; nothing more is made of it.")
        content = _content(_kind(kind), rows_of(row), stock, start)
        return _keep(actor, at, kind, content, order=row)


def cut_list_make(*, actor: Actor, at: datetime, line: Line, day: date) -> ShopPaper:
    """Ask for the cut list of a line's day by the plan in force. With nothing changed it is the same paper.

    Raises Clash where no plan is in force, Refused where it rolls nothing then.
    """
    with transaction.atomic():
        require(actor, "shop_paper", "make")
        plan = plan_in_force()
        if plan is None:
            raise Clash(
                "No line plan is in force. Take a plan first, or make the cut list on an order's page."
            )
        content = line_day_content(plan, line, day)
        if not content["bundles"]:
            raise Refused(
                f"{line.name} has nothing left to roll on {day:%b %-d, %Y}. Take another day.", field="day"
            )
        return _keep(actor, at, ShopPaperKind.CUT_LIST, content, line=line, day=day)


def _kind(kind: str) -> ShopPaperKind:
    if kind not in ShopPaperKind.values:
        raise Refused(f"“{kind[:20]}” is no paper of the shop.", field="kind")
    return ShopPaperKind(kind)


def _content(kind: ShopPaperKind, rows: OrderRows, stock: LabelStock | None, start: int) -> Mapping[str, Any]:
    order = rows.order
    if kind == ShopPaperKind.CUT_LIST:
        return _some(order_content(rows), "bundles", f"Order {order.number} has nothing left to roll.")
    if kind == ShopPaperKind.PACKING_LIST:
        content = packing_content(rows)
        if not content["cartons"] and not content["loose"]:
            raise Refused(f"Order {order.number} has no cartons and no packs.", field="kind")
        return content
    use = LABEL_PAPERS[kind]
    if stock is not None and stock.use != use:
        raise Refused(
            f"“{stock.name}” is for {stock.get_use_display().lower()}. Take another.", field="stock"
        )
    chosen = stock or stock_for(use)
    on_a_page = chosen.columns * chosen.rows
    if not 1 <= start <= on_a_page:
        raise Refused(
            f"A sheet of “{chosen.name}” has {on_a_page} label{'s' if on_a_page > 1 else ''}; "
            f"{start} is none of them. Count row by row from the upper left.",
            field="start",
        )
    missing = f"Order {order.number} has nothing to put {kind.label.lower()} on."
    return _some(label_content(kind, rows, chosen, start), "labels", missing)


def _some(content: dict[str, Any], part: str, missing: str) -> dict[str, Any]:
    if not content[part]:
        raise Refused(missing, field="kind")
    return content


def _keep(actor: Actor, at: datetime, kind: str, content: Mapping[str, Any], **of: Any) -> ShopPaper:
    paper, made = ShopPaper.objects.get_or_create(
        kind=kind,
        digest=digest_of(content),
        defaults={
            "content": content,
            "facts": facts_of(kind, content).as_json,
            "asked_by": actor.user,
            "created_at": at,
            **of,
        },
    )
    if made:
        audit_record(actor, "shop_paper_make", paper, at=at, change={"kind": str(kind)})
        outbox_add(JOB, str(paper.pk), {"paper": paper.pk})
    return paper
