"""What the planner and the shop do between two looks at a paper, for tests of outdated papers and old tags."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

from framing.common.actors import SYSTEM
from framing.common.models import Role
from orders import services
from orders.bundle_reads import bundle_table
from orders.models import Bundle, Line, LinePlan, LineRun, Order, Piece, ShopPaper
from orders.papers.standing import outdated_of
from orders.services.bundles import Step
from orders.states import LinePlanState
from tests.factories import changes, orders, people

AT = orders.AT
LATER = AT + timedelta(hours=1)
DAY = (AT + timedelta(days=3)).date()


def asked(order: Order, kind: str, at: datetime = AT, **more: Any) -> ShopPaper:
    return services.shop_paper_make(
        actor=people.actor(Role.PLANNER), at=at, order=orders.fresh(order), kind=kind, **more
    )


def words_of(paper: ShopPaper) -> str:
    found = outdated_of([ShopPaper.objects.get(pk=paper.pk)]).get(paper.pk)
    return found.words if found else ""


def step(order: Order, edit: str, when: datetime = LATER, **more: Any) -> None:
    services.bundles_edit(
        actor=people.actor(Role.PLANNER), at=when, order=order, version=bundle_table(order).version,
        step=Step(edit, **more),
    )  # fmt: skip


def changed(order: Order) -> None:
    """A smaller hall, accepted and put into the order later."""
    change = changes.asked(order)
    changes.accepted(change)
    services.change_apply(actor=SYSTEM, at=LATER, change=change)


def bundle_of(order: Order, number: int) -> Bundle:
    return order.bundles.get(number=number)


def scrapped(order: Order, number: int, at: datetime = LATER) -> Piece:
    piece = bundle_of(order, number).pieces.order_by("position").first()
    assert piece is not None
    services.piece_scrap(actor=people.actor(Role.SHOP), at=at, piece=piece, reason="bent")
    return piece


def finish(order: Order, number: int, at: datetime = LATER) -> None:
    services.bundle_finish(actor=people.actor(Role.SHOP), at=at, bundle=bundle_of(order, number))


def line_paper(order: Order, day: date = DAY) -> tuple[ShopPaper, Line, LinePlan]:
    """A plan in force that rolls all bundles on one line on a day, and its cut list."""
    line = Line.objects.create(name="Line 1", feet_per_minute=40)
    plan = plan_of(order, line, 7, AT, day=day)
    return services.cut_list_make(actor=people.actor(Role.SHOP), at=AT, line=line, day=day), line, plan


def plan_of(
    order: Order, line: Line, number: int, taken: datetime, turn: int = 60, day: date = DAY
) -> LinePlan:
    """A plan in force of an order's open bundles, `turn` minutes apart."""
    LinePlan.objects.filter(state=LinePlanState.IN_FORCE).update(state=LinePlanState.PAST)
    plan = LinePlan.objects.create(
        number=number, state=LinePlanState.IN_FORCE, frozen_through=DAY - timedelta(days=1), taken_at=taken
    )
    for place, bundle in enumerate(order.bundles.order_by("number"), 1):
        if bundle.finished_at is None:
            LineRun.objects.create(
                plan=plan, line=line, bundle=bundle, position=place, day=day, end_day=day,
                start_minute=420 + turn * place, end_minute=470 + turn * place, setup_minutes=0,
            )  # fmt: skip
    return plan
