"""Line plans (R46): asked for, made, tried, taken or not. The plan in force stays until another one is taken."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Final

from django.db import transaction
from django.db.models import Max

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.outbox import outbox_add
from framing.common.zones import company_day
from framing.engine.line import GoOn, LineRefused, Run
from orders.line_facts import (
    PLANNED_AT,
    ShopFacts,
    bundle_name,
    plan_in_force,
    plan_of_rows,
    shop_facts,
    working_lines,
)
from orders.line_making import Made, figures_of, searched, tried
from orders.models import LinePlan, LineRun, LineSettings, Order
from orders.services.plan_stops import given_up, stop_noted
from orders.states import LinePlanState

KIND: Final = "line_plan"
OPEN: Final = (LinePlanState.ASKED, LinePlanState.MAKING)
NAMED_MOST: Final = 3


def plans_locked() -> LineSettings:
    """The one row whose lock puts verbs on plans one after another, until the caller's transaction ends."""
    LineSettings.objects.get_or_create(pk=1)
    return LineSettings.objects.select_for_update().get(pk=1)


def line_plan_ask(*, actor: Actor, at: datetime) -> LinePlan:
    """Ask the worker for a plan. Raises Refused where no line can roll, Clash while another is being made."""
    with transaction.atomic():
        plans_locked()
        require(actor, "line_plan", "ask")
        if not working_lines():
            raise Refused("No line works yet: enter a line with its shifts first.")
        _refuse_while_open(at)
        plan = _new_plan(actor, at, LinePlanState.ASKED)
        audit_record(actor, "line_plan_ask", plan, at=at)
        outbox_add(KIND, str(plan.pk), {"plan": plan.pk})
    return plan


def _refuse_while_open(at: datetime) -> None:
    """One plan is made at a time; one whose work was given up is out of the way."""
    open_plan = LinePlan.objects.select_for_update().filter(state__in=OPEN).first()
    if open_plan is None:
        return
    if not given_up(KIND, open_plan):
        raise Clash(f"{open_plan} is being made. Wait for it, or stop it.")
    _end(open_plan, LinePlanState.FAILED, at, "The work was tried several times and given up.")


def _end(plan: LinePlan, state: LinePlanState, at: datetime, error: str = "") -> None:
    plan.state, plan.made_at, plan.error = state, plan.made_at or at, error[:400]
    plan.save(update_fields=["state", "made_at", "error"])


def _new_plan(actor: Actor, at: datetime, state: LinePlanState, words: str = "") -> LinePlan:
    last = LinePlan.objects.aggregate(last=Max("number"))["last"] or 0
    return LinePlan.objects.create(
        number=last + 1,
        state=state,
        asked_by=actor.user,
        words=words[:200],
        frozen_through=company_day(at),
        created_at=at,
    )


def line_plan_make(*, actor: Actor, at: datetime, plan: LinePlan, go_on: GoOn) -> LinePlan:
    """Make a plan that was asked for and put it to the planner; what can't be planned is told in its `error`.

    Only the worker does this. A second time changes nothing.
    """
    require(actor, "line_plan", "make")
    if plan.state not in OPEN:
        return plan
    facts, made, error = None, None, ""
    try:
        facts = shop_facts(at)
        in_force = plan_in_force()
        made = searched(facts, plan_of_rows(in_force, facts) if in_force else None, go_on)
    except LineRefused as refusal:
        error = _some_words(refusal)
    with transaction.atomic():
        plans_locked()
        row = LinePlan.objects.select_for_update().get(pk=plan.pk)
        if row.state not in OPEN:  # stopped before it began
            return row
        if made is None or facts is None:
            _end(row, LinePlanState.FAILED, at, error)
        else:
            row.frozen_through = facts.today
            propose(row, made, facts, actor=actor, at=at)
    return row


def _some_words(refusal: LineRefused) -> str:
    """The first problems of a refusal, and how many more there are."""
    first = [problem.message for problem in refusal.problems[:NAMED_MOST]]
    more = len(refusal.problems) - len(first)
    return " ".join([*first, f"And {more} more."] if more else first)


def propose(plan: LinePlan, made: Made, facts: ShopFacts, *, actor: Actor, at: datetime) -> None:
    """Write a made plan's runs and figures and put it to the planner; one put before goes. `plans_locked` holds."""
    for old in LinePlan.objects.select_for_update().filter(state=LinePlanState.PROPOSED).exclude(pk=plan.pk):
        _end(old, LinePlanState.REFUSED, at, f"{plan} was made after it.")
        audit_record(actor, "line_plan_refuse", old, at=at, why=old.error)
    plan.state, plan.made_at, plan.done_share, plan.error = LinePlanState.PROPOSED, at, 100, ""
    plan.figures = figures_of(made, facts)
    plan.save()
    places: dict[str, int] = {}
    LineRun.objects.bulk_create(_row(plan, run, facts, places) for run in made.plan.runs)
    audit_record(actor, "line_plan_made", plan, at=at, change={"sums": plan.figures["sums"]})


def _row(plan: LinePlan, run: Run, facts: ShopFacts, places: dict[str, int]) -> LineRun:
    places[run.line] = places.get(run.line, 0) + 1
    bundle = facts.bundles[run.job]
    return LineRun(
        plan=plan,
        line=facts.lines[run.line],
        bundle=bundle,
        position=places[run.line],
        day=date.fromordinal(run.day),
        start_minute=(run.start.day - run.day) * 1440 + run.start.minute,
        end_day=date.fromordinal(run.end_day),
        end_minute=(run.end.day - run.end_day) * 1440 + run.end.minute,
        setup_minutes=run.setup_minutes,
        late_minutes=run.late_minutes,
        pinned=getattr(bundle, "pin", None) is not None,
    )


def line_plan_stop(*, actor: Actor, at: datetime, plan: LinePlan) -> LinePlan:
    """Stop a plan: before the worker began it ends, later the best one so far is put to the planner.

    A second time changes nothing. Raises Clash where it isn't being made.
    """
    with transaction.atomic():
        row = LinePlan.objects.select_for_update().get(pk=plan.pk)
        require(actor, "line_plan", "ask")
        if row.state not in OPEN:
            raise Clash(f"{row} is not being made; it is at “{row.get_state_display().lower()}”.")
        if not stop_noted(KIND, row):
            return row
        if row.state == LinePlanState.ASKED or given_up(KIND, row):
            _end(row, LinePlanState.STOPPED, at)
        audit_record(actor, "line_plan_stop", row, at=at)
    return row


def line_plan_take(*, actor: Actor, at: datetime, plan: LinePlan) -> LinePlan:
    """Put a proposed plan in force; the one before is past. A second time changes nothing.

    Raises Clash where it isn't proposed, or the shop has changed since it was made. Bundles that got finished since
    do no harm: their turn falls out.
    """
    with transaction.atomic():
        plans_locked()
        row = LinePlan.objects.select_for_update().get(pk=plan.pk)
        require(actor, "line_plan", "take")
        if row.state == LinePlanState.IN_FORCE:
            return row
        if row.state != LinePlanState.PROPOSED:
            raise Clash(f"{row} is at “{row.get_state_display().lower()}”; only one to look at is taken.")
        changed = stale_words(row, at)
        if changed:
            raise Clash(f"{changed} Ask for a new plan.")
        LinePlan.objects.filter(state=LinePlanState.IN_FORCE).update(state=LinePlanState.PAST)
        row.state, row.taken_at, row.taken_by = LinePlanState.IN_FORCE, at, actor.user
        row.save(update_fields=["state", "taken_at", "taken_by"])
        audit_record(actor, "line_plan_take", row, at=at)
    return row


def stale_words(plan: LinePlan, at: datetime) -> str:
    """Why a proposed plan no longer fits the shop; "" where it does. Raises Refused as `facts_or_refused`."""
    today = company_day(at)
    if plan.frozen_through < today:
        made = f"{plan.frozen_through:%b} {plan.frozen_through.day}"
        return f"{plan} was made on {made} and does not know what is frozen today."
    facts = facts_or_refused(at)
    stood_for: dict[str, str] = plan.figures.get("stands_for", {})
    runs = {run.bundle_id for run in plan.runs.filter(bundle__finished_at__isnull=False)}
    finished = {name for name, sign in stood_for.items() if int(sign.split()[0]) in runs}
    moved = sorted(
        name for name in {*stood_for, *facts.signs} - finished if stood_for.get(name) != facts.signs.get(name)
    )
    if not moved:
        return ""
    return f"Since {plan} was made, {_some(moved)} came, went or changed."


def _some(names: list[str]) -> str:
    more = len(names) - NAMED_MOST
    first = ", ".join(names[:NAMED_MOST])
    what = "bundle" if len(names) == 1 else "bundles"
    return f"{what} {first}{f' and {more} more' if more > 0 else ''}"


def line_plan_refuse(*, actor: Actor, at: datetime, plan: LinePlan) -> LinePlan:
    """Lay a proposed plan aside; the one in force stays. A second time changes nothing."""
    with transaction.atomic():
        row = LinePlan.objects.select_for_update().get(pk=plan.pk)
        require(actor, "line_plan", "take")
        if row.state == LinePlanState.REFUSED:
            return row
        if row.state != LinePlanState.PROPOSED:
            raise Clash(
                f"{row} is at “{row.get_state_display().lower()}”; only one to look at is laid aside."
            )
        row.state = LinePlanState.REFUSED
        row.save(update_fields=["state"])
        audit_record(actor, "line_plan_refuse", row, at=at)
    return row


def line_plan_rush(*, actor: Actor, at: datetime, order: Order) -> LinePlan:
    """Put to the planner what the plan in force becomes if an order goes first, and what that pushes.

    Nothing else changes. Raises Clash without a plan in force or while one is made, Refused where the order has
    nothing left to roll.
    """
    with transaction.atomic():
        plans_locked()
        require(actor, "line_plan", "ask")
        if order.stage not in PLANNED_AT:
            raise Refused(
                f"Order {order.number} is at “{order.stage}”; a rush is released or rolling.", field="order"
            )
        facts = facts_or_refused(at)
        jobs = [
            bundle
            for bundle in facts.bundles.values()
            if bundle.order_id == order.pk and bundle.started_at is None
        ]
        if not jobs:
            raise Refused(f"Order {order.number} has no bundle left to begin.", field="order")
        plan = try_out(
            actor, at, facts, facts, (bundle_name(bundle) for bundle in jobs),
            words=f"{order.number} as a rush", rush=True,
        )  # fmt: skip
        plan.rush = [bundle.public_id for bundle in jobs]
        plan.save(update_fields=["rush"])
        audit_record(actor, "line_plan_rush", plan, at=at, change={"order": order.number})
    return plan


def facts_or_refused(at: datetime) -> ShopFacts:
    """The facts of the shop. Raises Refused in the engine's words where they can't be planned."""
    try:
        return shop_facts(at)
    except LineRefused as refusal:
        raise Refused(_some_words(refusal)) from refusal


def try_out(
    actor: Actor,
    at: datetime,
    before: ShopFacts,
    facts: ShopFacts,
    jobs: Iterable[str],
    *,
    words: str,
    rush: bool = False,
) -> LinePlan:
    """A what-if against the plan in force, put to the planner at once; `plans_locked` must hold."""
    in_force = plan_in_force()
    if in_force is None:
        raise Clash("No plan is in force to hold this against: ask for one and take it first.")
    _refuse_while_open(at)
    try:
        made = tried(before, facts, plan_of_rows(in_force, facts), frozenset(jobs), rush=rush)
    except LineRefused as refusal:
        raise Refused(_some_words(refusal)) from refusal
    plan = _new_plan(actor, at, LinePlanState.MAKING, words)  # proposed when the one before is out of the way
    propose(plan, made, facts, actor=actor, at=at)
    return plan
