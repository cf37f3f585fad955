"""Line plans: asked for, made by the worker, tried, taken, laid aside; what is stale, frozen or late (R46)."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from framing.common.actors import SYSTEM
from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import AuditEntry, OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.engine.line import Advance
from orders import line_reads, services
from orders.line_progress import Progress
from orders.models import Bundle, Delivery, LinePin, LinePlan, LineRun, Order
from tests.factories import lines, orders, people

pytestmark = pytest.mark.django_db
AT = lines.AT
LATER = timedelta(hours=1)


def planner() -> Any:
    return people.actor(Role.PLANNER)


def due_soon(order: Order) -> None:
    """Let an order be wanted tomorrow, so that everything of it is late."""
    Order.objects.filter(pk=order.pk).update(deliver_on=lines.TODAY + timedelta(days=1))


def test_a_plan_is_asked_for_made_by_the_worker_and_taken() -> None:
    order = orders.released()
    lines.line()
    plan = lines.asked()
    entry = OutboxEntry.objects.get(kind="line_plan")
    assert outbox_run(entry.pk)
    assert not outbox_run(entry.pk), "it is made once"
    plan.refresh_from_db()
    assert (plan.state, plan.done_share, plan.error) == ("proposed", 100, "")
    assert {run.bundle_id for run in plan.runs.all()} == set(order.bundles.values_list("pk", flat=True))
    assert plan.figures["sums"]["bundles"] == 2
    assert plan.figures["was"] is None
    taken = services.line_plan_take(actor=planner(), at=AT, plan=plan)
    again = services.line_plan_take(actor=planner(), at=AT + LATER, plan=plan)
    assert (again.state, again.taken_at) == ("in_force", taken.taken_at)


def test_runs_stand_one_after_another_from_tomorrow_on_in_working_hours() -> None:
    # 17 joists in bundles of 9 and 8 (R35). Line of 20 ft a minute: ceil(feet / 20) minutes each, no handling,
    # equal profiles, so no change-over; both on the first working day after today.
    order = orders.released()
    lines.line()
    first, second = lines.proposed().runs.order_by("position")
    minutes = {
        bundle.pk: -(-sum(p.length_16 for p in bundle.pieces.all()) // (20 * 192))
        for bundle in order.bundles.prefetch_related("pieces")
    }
    assert first.day == second.day == lines.working_day()
    assert first.start_minute == 360
    assert first.end_minute - first.start_minute == minutes[first.bundle_id]
    assert second.start_minute == first.end_minute
    assert second.end_minute - second.start_minute == minutes[second.bundle_id]
    assert (first.setup_minutes, second.setup_minutes) == (0, 0)


def test_lateness_counts_working_minutes_after_the_lead() -> None:
    # due is 2 working days before the day on site, at the end of its shift; the first day that may be planned is
    # tomorrow. Wanted tomorrow: due before today, so all working time of the days between counts too.
    order = orders.released()
    lines.line()
    due_soon(order)
    plan = lines.proposed()
    assert plan.figures["sums"]["late_orders"] == 1
    assert all(run.late_minutes > 0 for run in plan.runs.all())
    (row,) = line_reads.late_rows(plan)
    assert (row.number, row.bundles) == (order.number, 2)
    assert row.now == row.was != "in time", "held against taking orders by date, which is no other plan here"


def test_held_orders_and_finished_bundles_are_not_planned() -> None:
    held, kept = orders.released(), orders.rolling()
    lines.line()
    services.order_hold(actor=planner(), at=AT, order=held, why="coil is late")
    done = kept.bundles.all()[0]
    services.bundle_finish(actor=people.actor(Role.SHOP), at=AT, bundle=done)
    plan = lines.proposed()
    assert {run.bundle_id for run in plan.runs.all()} == set(
        kept.bundles.exclude(pk=done.pk).values_list("pk", flat=True)
    )


def test_nothing_is_asked_without_a_line_or_while_one_is_made() -> None:
    with pytest.raises(Refused, match="No line works yet"):
        lines.asked()
    lines.line(shifts=[""] * 7)
    with pytest.raises(Refused, match="No line works yet"):
        lines.asked()
    lines.line("South")
    plan = lines.asked()
    with pytest.raises(Clash, match=f"{plan} is being made"):
        lines.asked()
    OutboxEntry.objects.filter(kind="line_plan").update(parked_at=AT)
    assert lines.asked().number == plan.number + 1, "work that was given up stands in nobody's way"
    plan.refresh_from_db()
    assert plan.state == "failed"


def test_what_cannot_be_planned_is_told_in_the_engines_words() -> None:
    orders.released()
    lines.line(depths=[1400])
    plan = lines.proposed()
    assert plan.state == "failed"
    assert "No line can roll" in plan.error
    assert not plan.runs.exists()


def test_stopped_before_it_began_it_ends_and_later_it_shows_its_best() -> None:
    orders.released()
    lines.line()
    plan = lines.asked()
    assert services.line_plan_stop(actor=planner(), at=AT, plan=plan).state == "stopped"
    outbox_run(OutboxEntry.objects.get(key=str(plan.pk), kind="line_plan").pk)
    plan.refresh_from_db()
    assert plan.state == "stopped"
    with pytest.raises(Clash, match="not being made"):
        services.line_plan_stop(actor=planner(), at=AT, plan=plan)
    second = lines.asked()
    made = services.line_plan_make(actor=SYSTEM, at=AT, plan=second, go_on=lambda _: False)
    assert (made.state, made.figures["stopped"], made.runs.count()) == ("proposed", True, 2)


def test_work_that_was_given_up_is_stopped_at_once() -> None:
    lines.line()
    plan = lines.asked()
    LinePlan.objects.filter(pk=plan.pk).update(state="making")
    assert services.line_plan_stop(actor=planner(), at=AT, plan=plan).state == "making", (
        "the worker may still come"
    )
    assert services.line_plan_stop(actor=planner(), at=AT, plan=plan).state == "making"
    second = LinePlan.objects.get(pk=plan.pk)
    LinePlan.objects.filter(pk=plan.pk).update(stop_asked=False)
    OutboxEntry.objects.filter(kind="line_plan").update(parked_at=AT)
    assert services.line_plan_stop(actor=planner(), at=AT, plan=second).state == "stopped"


def test_one_plan_is_in_force_and_one_is_looked_at() -> None:
    orders.released()
    lines.line()
    first = lines.in_force()
    second = lines.proposed()
    assert second.figures["was"] == first.figures["sums"] | {"moved": 0}
    third = lines.proposed()
    second.refresh_from_db()
    assert (second.state, second.error) == ("refused", f"{third} was made after it.")
    with pytest.raises(Clash, match="only one to look at is taken"):
        services.line_plan_take(actor=planner(), at=AT, plan=second)
    services.line_plan_take(actor=planner(), at=AT, plan=third)
    first.refresh_from_db()
    assert first.state == "past"
    with pytest.raises(IntegrityError), transaction.atomic():
        LinePlan.objects.filter(pk=first.pk).update(state="in_force")


def test_a_plan_laid_aside_leaves_the_one_in_force() -> None:
    orders.released()
    lines.line()
    kept, aside = lines.in_force(), lines.proposed()
    for _ in range(2):
        services.line_plan_refuse(actor=planner(), at=AT, plan=aside)
    kept.refresh_from_db()
    aside.refresh_from_db()
    assert (kept.state, aside.state) == ("in_force", "refused")
    assert AuditEntry.objects.filter(verb="line_plan_refuse").count() == 1
    with pytest.raises(Clash, match="laid aside"):
        services.line_plan_refuse(actor=planner(), at=AT, plan=kept)


def test_a_stale_plan_is_refused_but_a_finished_bundle_does_no_harm() -> None:
    order = orders.rolling()
    lines.line()
    plan = lines.proposed()
    services.bundle_finish(actor=people.actor(Role.SHOP), at=AT, bundle=order.bundles.all()[0])
    with transaction.atomic():
        assert services.line_plan_take(actor=planner(), at=AT, plan=plan).state == "in_force"
        transaction.set_rollback(True)
    new = orders.released()
    with pytest.raises(Clash, match=rf"bundles {new.number}/1, {new.number}/2 came, went or changed"):
        services.line_plan_take(actor=planner(), at=AT, plan=plan)
    services.order_cancel(actor=people.actor(Role.MANAGER), at=AT, order=new, why="not wanted")
    with pytest.raises(Clash, match="does not know what is frozen today"):
        services.line_plan_take(actor=planner(), at=AT + timedelta(days=1), plan=plan)
    services.order_hold(actor=planner(), at=AT, order=order, why="waits")
    with pytest.raises(Clash, match=f"bundle {order.number}/2 came, went"):
        services.line_plan_take(actor=planner(), at=AT, plan=plan)


def test_what_is_planned_for_today_stays() -> None:
    orders.released()
    lines.line()
    plan = lines.in_force()
    LineRun.objects.filter(plan=plan).update(day=lines.TODAY, end_day=lines.TODAY)
    bundle = plan.runs.order_by("position")[0].bundle
    with pytest.raises(Clash, match="today, which is frozen"):
        services.bundle_pin(actor=planner(), at=AT, bundle=bundle, day=lines.working_day(2), line=None)  # type: ignore[arg-type]
    if lines.TODAY.weekday() < 5:
        assert {run.day for run in lines.proposed().runs.all()} == {lines.TODAY}


def test_a_pin_is_a_what_if_at_once_and_plans_keep_it() -> None:
    order = orders.released()
    lines.line()
    south = lines.line("South")
    lines.in_force()
    bundle = order.bundles.all()[0]
    day: Any = lines.working_day(3)
    plan = services.bundle_pin(actor=planner(), at=AT, bundle=bundle, day=day, line=south)
    assert plan is not None
    assert (plan.state, plan.words) == ("proposed", f"{bundle} on {day:%b} {day.day} on South")
    run = plan.runs.get(bundle=bundle)
    assert (run.day, run.line, run.pinned) == (day, south, True)
    (pushed,) = [row for row in plan.figures["pushed"] if row["id"] == bundle.public_id]
    assert pushed["minutes"] > 0
    services.line_plan_take(actor=planner(), at=AT, plan=plan)
    searched = lines.proposed()
    assert searched.runs.get(bundle=bundle).day == day
    services.bundle_unpin(actor=planner(), at=AT, bundle=bundle)
    services.bundle_unpin(actor=planner(), at=AT, bundle=bundle)
    assert not LinePin.objects.exists()
    with pytest.raises(Clash, match="came, went or changed"):
        services.line_plan_take(actor=planner(), at=AT, plan=searched)


def test_a_pin_on_a_day_or_line_that_cannot_be_is_refused_at_its_field() -> None:
    order = orders.released()
    lines.line()
    deep = lines.line("Shallow", depths=[1400])
    bundle = order.bundles.all()[0]
    closed: Any = lines.working_day(2)
    services.closure_add(actor=planner(), at=AT, day=closed, words="Stock-taking", line=None)
    for day, line, field, words in (
        (closed, None, "day", "stands: pin it to"),
        (lines.TODAY, None, "day", "today is frozen"),
        (lines.working_day(3), deep, "line", "can't roll"),
        (lines.TODAY + timedelta(days=4000), None, "day", "ten years"),
    ):
        with pytest.raises(Refused, match=words) as refusal:
            services.bundle_pin(actor=planner(), at=AT, bundle=bundle, day=day, line=line)  # type: ignore[arg-type]
        assert refusal.value.field == field
    assert not LinePin.objects.exists(), "what is refused leaves no pin"
    assert (
        services.bundle_pin(actor=planner(), at=AT, bundle=bundle, day=lines.working_day(3), line=None)
        is None
    )  # type: ignore[arg-type]


def test_what_is_begun_does_not_move_and_keeps_its_line() -> None:
    order = orders.rolling()
    lines.line()
    begun = order.bundles.all()[0]
    Bundle.objects.filter(pk=begun.pk).update(started_at=AT)
    with pytest.raises(Clash, match="begun"):
        services.bundle_pin(actor=planner(), at=AT, bundle=begun, day=lines.working_day(), line=None)  # type: ignore[arg-type]
    plan = lines.proposed()
    assert plan.runs.get(bundle=begun).position == 1
    held = orders.released()
    services.order_hold(actor=planner(), at=AT, order=held, why="waits")
    with pytest.raises(Clash, match="of an order at"):
        services.bundle_pin(
            actor=planner(), at=AT, bundle=held.bundles.all()[0], day=lines.working_day(), line=None
        )  # type: ignore[arg-type]


def test_a_rush_goes_first_and_says_what_it_pushes_before_anything_changes() -> None:
    # Both orders wait at the same line; the second one was planned behind the first, and as a rush goes before it.
    first, second = orders.released(), orders.released()
    lines.line()
    due_soon(first)
    in_force = lines.in_force()
    order_of = [run.bundle.order_id for run in in_force.runs.order_by("position")]
    assert order_of == [first.pk, first.pk, second.pk, second.pk]
    plan = services.line_plan_rush(actor=planner(), at=AT, order=second)
    assert [run.bundle.order_id for run in plan.runs.order_by("position")] == [
        second.pk, second.pk, first.pk, first.pk,
    ]  # fmt: skip
    rolled = sum(
        run.end_minute - run.start_minute for run in in_force.runs.all() if run.bundle.order_id == second.pk
    )
    later = {row["bundle"]: row["minutes"] for row in plan.figures["pushed"] if row["minutes"] > 0}
    assert later == {f"{first.number}/1": rolled, f"{first.number}/2": rolled}
    in_force.refresh_from_db()
    assert in_force.state == "in_force"
    assert len(plan.rush) == 2
    worse = {row.number: row.worse for row in line_reads.late_rows(plan)}
    assert worse[first.number], "the order that is pushed is later than before"


def test_a_rush_needs_a_plan_in_force_and_something_to_roll() -> None:
    order = orders.released()
    lines.line()
    with pytest.raises(Clash, match="No plan is in force"):
        services.line_plan_rush(actor=planner(), at=AT, order=order)
    lines.in_force()
    booked = orders.booked()
    with pytest.raises(Refused, match="a rush is released or rolling") as refusal:
        services.line_plan_rush(actor=planner(), at=AT, order=booked)
    assert refusal.value.field == "order"
    order.bundles.update(started_at=AT)
    with pytest.raises(Refused, match="no bundle left to begin"):
        services.line_plan_rush(actor=planner(), at=AT, order=order)


def test_the_delivery_s_day_goes_before_the_order_s() -> None:
    order = orders.bundled()
    delivery = orders.planned(order)
    Order.objects.filter(pk=order.pk).update(stage="rolling")
    order.bundles.update(started_at=None, finished_at=None)
    lines.line()
    assert lines.proposed().figures["sums"]["late_orders"] == 0
    Delivery.objects.filter(pk=delivery.pk).update(planned_for=lines.TODAY)
    assert lines.proposed().figures["sums"]["late_orders"] == 1


@pytest.mark.parametrize("role", [role for role in Role.values if role != Role.PLANNER])
def test_only_the_planner_asks_takes_and_pins(role: str) -> None:
    order = orders.released()
    lines.line()
    plan = lines.in_force()
    actor = people.actor(role)
    bundle = order.bundles.all()[0]
    for act in (
        lambda: services.line_plan_ask(actor=actor, at=AT),
        lambda: services.line_plan_stop(actor=actor, at=AT, plan=plan),
        lambda: services.line_plan_take(actor=actor, at=AT, plan=plan),
        lambda: services.line_plan_refuse(actor=actor, at=AT, plan=plan),
        lambda: services.line_plan_rush(actor=actor, at=AT, order=order),
        lambda: services.bundle_pin(actor=actor, at=AT, bundle=bundle, day=lines.TODAY, line=None),
        lambda: services.bundle_unpin(actor=actor, at=AT, bundle=bundle),
    ):
        with pytest.raises(NotAllowed):
            act()


@pytest.mark.django_db(transaction=True)
def test_progress_is_seen_while_the_one_transaction_runs_and_a_stop_is_heard(monkeypatch: Any) -> None:
    orders.released()
    lines.line()
    plan = lines.asked()
    now = iter([100.0, 100.1, 100.6, 101.2, 102.0])
    monkeypatch.setattr("orders.line_progress.time", SimpleNamespace(monotonic=lambda: next(now)))
    progress = Progress(plan.pk)
    seen = []

    def tell(done: int) -> bool:
        going = progress(Advance(done, 200, 1))
        seen.append((going, *LinePlan.objects.values_list("state", "done_share").get(pk=plan.pk)))
        return going

    with transaction.atomic():
        assert tell(10)
        assert tell(20), "within half a second nothing is written"
        assert tell(100)
    assert seen == [(True, "making", 5), (True, "making", 5), (True, "making", 50)]
    services.line_plan_stop(actor=planner(), at=AT, plan=plan)
    assert not tell(120)
    assert not tell(140)
    progress.close()
    made = services.line_plan_make(
        actor=SYSTEM, at=AT, plan=LinePlan.objects.get(pk=plan.pk), go_on=lambda _: False
    )
    assert made.state == "proposed"


def test_a_bar_that_the_database_refuses_stops_no_plan(monkeypatch: Any) -> None:
    orders.released()
    lines.line()
    plan = lines.asked()
    monkeypatch.setattr("orders.line_progress.Progress.tell", "SELECT nonsense WHERE %s = %s")
    progress = Progress(plan.pk)
    assert progress(Advance(1, 2, 3))
    progress.close()


def test_taking_asks_as_often_for_many_bundles_as_for_few() -> None:
    orders.released()
    lines.line()
    few = _queries(lines.proposed())
    for _ in range(3):
        orders.released()
    assert _queries(lines.proposed()) == few


def _queries(plan: LinePlan) -> int:
    with (
        CaptureQueriesContext(
            connection,
        ) as caught,
        transaction.atomic(),
    ):
        services.line_plan_take(actor=planner(), at=AT, plan=plan)
        transaction.set_rollback(True)
    return len(caught)
