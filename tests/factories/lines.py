"""Lines and their plans for tests, made through the services."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal

from framing.common.actors import SYSTEM
from framing.common.models import Role
from orders import services
from orders.models import Line, LinePlan
from tests.factories import orders, people

AT = orders.AT
TODAY = AT.date()
DAYS = ("6:00-14:30",) * 5 + ("", "")


def line(
    name: str = "North",
    *,
    speed: str = "20",
    shifts: Sequence[str] = DAYS,
    depths: Sequence[int] = (),
    capacity: int | None = None,
) -> Line:
    return services.line_save(
        actor=people.actor(Role.PLANNER),
        at=AT,
        line=None,
        name=name,
        feet_per_minute=Decimal(speed),
        capacity_ft_per_shift=capacity,
        depths=depths,
        works=True,
        shifts=shifts,
    )


def asked() -> LinePlan:
    return services.line_plan_ask(actor=people.actor(Role.PLANNER), at=AT)


def proposed() -> LinePlan:
    """A plan of all that is in the shop, made as the worker makes it."""
    return services.line_plan_make(actor=SYSTEM, at=AT, plan=asked(), go_on=lambda _: True)


def in_force() -> LinePlan:
    plan = proposed()
    assert plan.state == "proposed", plan.error
    return services.line_plan_take(actor=people.actor(Role.PLANNER), at=AT, plan=plan)


def working_day(days_ahead: int = 1) -> object:
    """The so many-th day after today on which the lines of `DAYS` work."""
    day = TODAY
    while days_ahead:
        day += timedelta(days=1)
        days_ahead -= day.weekday() < 5
    return day
