"""The planner's word on one bundle: rolled on a day and line, which plans keep; and coils as counted (R46)."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Final, cast

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.models import User
from framing.common.zones import company_day
from framing.engine.line import LineRefused
from orders.line_facts import PLANNED_AT, ShopFacts, bundle_name, coil_mils, plan_in_force
from orders.line_making import refuse_bad_pins
from orders.models import Bundle, CoilCount, Line, LinePin, LinePlan
from orders.services.line_plans import facts_or_refused, plans_locked, try_out
from orders.shop_scope import stages_for

POUNDS_MOST: Final = Decimal(10_000_000)


def bundle_pin(
    *, actor: Actor, at: datetime, bundle: Bundle, day: date, line: Line | None, why: str = ""
) -> LinePlan | None:
    """Fix a bundle to a day, and to a line if one is named; plans keep it until it is unpinned.

    With a plan in force, what becomes of it is put to the planner at once and returned.

    Raises:
        Clash: the bundle is begun or finished, its order is not in the shop, or another plan is being made.
        Refused: at `day` a day that is frozen or closed or has no room, at `line` one that can't roll it.
    """
    with transaction.atomic():
        plans_locked()
        require(actor, "line_plan", "pin")
        row = _free_bundle(bundle)
        _check_day(day, row, at)
        before = facts_or_refused(at)
        LinePin.objects.update_or_create(
            bundle=row,
            defaults={"day": day, "line": line, "by": actor.user, "at": at, "why": why.strip()[:200]},
        )
        facts = facts_or_refused(at)
        _refuse_bad_pin(facts, bundle_name(row))
        where = f"{day:%b} {day.day}{f' on {line.name}' if line else ''}"
        audit_record(actor, "bundle_pin", row, at=at, change={"pin": [None, where]}, why=why)
        if plan_in_force() is None:
            return None
        words = f"{row} on {where}"
        return try_out(actor, at, before, facts, [bundle_name(row)], words=words)


def _free_bundle(bundle: Bundle) -> Bundle:
    row = Bundle.objects.select_for_update(of=("self",)).select_related("order").get(pk=bundle.pk)
    if row.finished_at is not None or row.started_at is not None:
        state = "finished" if row.finished_at else "begun"
        raise Clash(f"{row} is {state}; only what is not begun can move.")
    if row.order.stage not in stages_for(row, PLANNED_AT):
        raise Clash(
            f"{row} is of an order at “{row.order.stage}”; only released and rolling orders are planned."
        )
    return row


def _check_day(day: date, bundle: Bundle, at: datetime) -> None:
    today = company_day(at)
    in_force = plan_in_force()
    if in_force is not None and in_force.runs.filter(bundle=bundle, day=today).exists():
        raise Clash(f"{bundle} is planned for today, which is frozen; it can't move any more.")
    if day <= today:
        raise Refused(
            f"{day} can't be planned any more, for today is frozen; choose a later day.", field="day"
        )


def _refuse_bad_pin(facts: ShopFacts, job: str) -> None:
    """Refuse what the engine has against this one pin, at its field."""
    try:
        refuse_bad_pins(facts)
    except LineRefused as refusal:
        own = [problem.message for problem in refusal.problems if _is_of(job, problem.place)]
        words = own[0] if own else refusal.problems[0].message
        field = "line" if "can't roll" in words or "none of the lines" in words else "day"
        raise Refused(words, field=field if own else "") from refusal


def _is_of(job: str, place: str) -> bool:
    return place == f"jobs.{job}" or place.startswith(f"jobs.{job}.")


def bundle_unpin(*, actor: Actor, at: datetime, bundle: Bundle) -> None:
    """Take a pin away; the next plan may put the bundle where it fits. Without a pin nothing changes."""
    with transaction.atomic():
        plans_locked()
        require(actor, "line_plan", "pin")
        pin = LinePin.objects.select_for_update().filter(bundle=bundle).first()
        if pin is None:
            return
        audit_record(actor, "bundle_unpin", bundle, at=at, change={"pin": [str(pin.day), None]})
        pin.delete()


def coil_count(
    *, actor: Actor, at: datetime, mils: int, weight_lb: Decimal, low_lb: Decimal, counted_on: date
) -> CoilCount:
    """Enter the steel of one thickness as counted; the newest count holds.

    Raises Refused at the field: a thickness that no profile has, less than nothing, a day to come.
    """
    with transaction.atomic():
        require(actor, "coil", "count")
        if mils not in coil_mils():
            made = ", ".join(str(known) for known in coil_mils())
            raise Refused(f"No profile is rolled of {mils} mil; choose of {made}.", field="mils")
        for field, value in (("weight_lb", weight_lb), ("low_lb", low_lb)):
            if not 0 <= value <= POUNDS_MOST:
                raise Refused(f"{value} lb can't be; give 0 to {POUNDS_MOST:,}.", field=field)
        if counted_on > company_day(at):
            raise Refused(f"{counted_on} is still to come; give the day it was counted.", field="counted_on")
        row = CoilCount.objects.create(
            mils=mils,
            weight_lb=weight_lb,
            low_lb=low_lb,
            counted_on=counted_on,
            by=cast("User", actor.user),
            at=at,
        )
        audit_record(actor, "coil_count", row, at=at)
    return row
