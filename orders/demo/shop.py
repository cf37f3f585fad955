"""The lines of the demo company: their hours, a closed day, a plan in force, and a rush to look at."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, Final

from framing.common.actors import SYSTEM, Actor
from framing.common.zones import company_day
from framing.engine.line import Advance
from orders import line_reads
from orders import services as orders
from orders.models import CoilCount, LinePlan

DAYS: Final = ("6:00-14:30",) * 5 + ("", "")
TWO_SHIFTS: Final = (*("6:00-14:30, 14:30-22:00",) * 4, "6:00-14:30", "", "")
LINES: Final[tuple[Mapping[str, Any], ...]] = (
    {"name": "Line 1", "feet_per_minute": Decimal("4.5"), "depths": (800, 1000), "shifts": DAYS},
    {"name": "Line 2", "feet_per_minute": Decimal(4), "depths": (), "shifts": DAYS},
    {"name": "Line 3", "feet_per_minute": Decimal("2.5"), "depths": (1200, 1400), "shifts": TWO_SHIFTS},
)
"""Old machines that take their time: a few orders fill some days."""
MOVES: Final = 3_000
"""As many moves are enough for the demo's few bundles."""
CLOSED_IN_DAYS: Final = 10


def tell_lines(planner: Actor, now: datetime) -> None:
    """Lines, hours and closed days of long ago, yesterday's plan in force, today's rush and what is left of a coil."""
    start = now - timedelta(days=60)
    orders.line_settings_save(
        actor=planner, at=start, country="CA", subdivision="AB", lead_days=2, piece_seconds=20
    )
    for line in LINES:
        orders.line_save(actor=planner, at=start, line=None, capacity_ft_per_shift=None, works=True, **line)
    orders.change_over_set(actor=planner, at=start, before="1000S162-54", after="1200S162-54", minutes=25)
    closed = company_day(now) + timedelta(days=CLOSED_IN_DAYS)
    orders.closure_add(actor=planner, at=start, day=closed, words="Stock-taking", line=None)
    plan = _made(planner, now - timedelta(days=1))
    orders.line_plan_take(actor=planner, at=now - timedelta(days=1), plan=plan)
    orders.line_plan_rush(actor=planner, at=now, order=line_reads.orders_to_roll().reverse()[0])
    _count(planner, plan, now)


def _made(planner: Actor, at: datetime) -> LinePlan:
    def go_on(advance: Advance) -> bool:
        return advance.done < MOVES

    asked = orders.line_plan_ask(actor=planner, at=at)
    return orders.line_plan_make(actor=SYSTEM, at=at, plan=asked, go_on=go_on)


def _count(planner: Actor, plan: LinePlan, now: datetime) -> CoilCount:
    """The thickness that the plan takes most of, counted yesterday: not quite enough."""
    need: dict[int, float] = {}
    for row in plan.figures["coils"]:
        need[row["mils"]] = need.get(row["mils"], 0.0) + row["lb"]
    mils = max(need, key=lambda key: (need[key], key))
    return orders.coil_count(
        actor=planner,
        at=now - timedelta(hours=20),
        mils=mils,
        weight_lb=Decimal(int(need[mils] * 0.8)),
        low_lb=Decimal(500),
        counted_on=company_day(now - timedelta(hours=20)) - timedelta(days=1),
    )
