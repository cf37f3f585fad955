"""The dispatcher's steps done again, and the rest of a day planned anew with what it changes told before (R47)."""

from __future__ import annotations

import pytest
from django.urls import reverse

from framing.common.actors import SYSTEM
from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import Role
from orders import load_reads
from orders.load_changes import plan_changes
from orders.models import Bundle, Carton, TripChange
from orders.services import load_plans, trip_steps, trips
from tests.factories import loads, orders, people
from tests.orders.test_loads import dispatcher, fresh, rows_agree, step, thing, version

pytestmark = pytest.mark.django_db
AT, DAY = loads.AT, loads.DAY


def undo() -> TripChange:
    return trip_steps.trips_undo(actor=dispatcher(), at=AT, day=DAY, version=version())


def redo() -> TripChange:
    return trip_steps.trips_redo(actor=dispatcher(), at=AT, day=DAY, version=version())


def riding() -> dict[str, int | None]:
    return {
        str(row.number): row.load.trip_id if row.load else None
        for row in Bundle.objects.select_related("load")
    }


# --- redo ---


def test_steps_are_taken_back_and_done_again_in_turn() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    states = [riding()]
    for number in (1, 2):
        step(edit="off", thing=thing(delivery, number))
        states.append(riding())
    undo()
    undo()
    assert riding() == states[0]
    assert "Bundle 1" in redo().words
    assert riding() == states[1]
    assert "Bundle 2" in redo().words
    assert riding() == states[2]
    rows_agree()
    with pytest.raises(Refused, match="No step was taken back"):
        redo()


def test_a_further_truck_comes_back() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    step(edit="move", thing=thing(delivery, 1))
    moved = riding()
    undo()
    assert len(load_reads.day_trips(DAY)) == 1
    redo()
    assert riding() == moved
    assert len(load_reads.day_trips(DAY)) == 2
    rows_agree()


def test_a_new_step_clears_what_was_taken_back() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    step(edit="off", thing=thing(delivery, 2))
    undo()
    step(edit="off", thing=thing(delivery, 1, "C"))
    with pytest.raises(Refused, match="No step was taken back"):
        redo()
    undo()
    assert "Carton 1" in redo().words
    undo()
    undo()
    assert "Bundle 1" in redo().words, "the cleared step is not among them"
    assert "Carton 1" in redo().words


def test_nothing_is_done_again_on_a_locked_truck_or_one_that_changed() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    undo()
    trips.trip_lock(actor=dispatcher(), at=AT, trip=trip, edition=fresh(trip).edition, locked=True)
    with pytest.raises(Clash, match="can't be done again"):
        redo()
    trips.trip_lock(actor=dispatcher(), at=AT, trip=trip, edition=fresh(trip).edition, locked=False)
    row = fresh(trip)
    row.plan = row.plan | {"stacks": row.plan["stacks"][:-1]}
    row.save(update_fields=["plan"])
    with pytest.raises(Clash, match="planned or loaded otherwise"):
        redo()


def test_what_went_to_no_delivery_since_does_not_come_back() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    Bundle.objects.filter(order=delivery.order, number=1).update(delivery=None, load=None)
    undo()
    assert riding()["1"] is None
    rows_or_less = Bundle.objects.exclude(load=None).count()
    assert rows_or_less == Bundle.objects.count() - 1


def test_a_step_that_breaks_a_rule_by_now_is_refused_in_its_words() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    Bundle.objects.filter(order=delivery.order, number=1).update(weighed_lb=47_900)
    with pytest.raises(Refused, match="lb over the 48,000 lb"):
        undo()
    assert riding()["1"] is None
    assert fresh(trip).plan["stacks"]


def test_pages_and_api_do_a_step_again() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    client, day = people.client_of(Role.DISPATCHER), DAY.isoformat()
    client.post(reverse("orders:trips_undo", args=[day]), {"version": version()})
    assert "Redo" in client.get(reverse("orders:trucks_day", args=[day])).content.decode()
    assert client.post(reverse("orders:trips_redo", args=[day]), {"version": version()}).status_code == 302
    assert riding()["1"] is None
    undo()
    again = client.post(
        f"/api/v1/truck-days/{day}/redo/", {"version": version()}, content_type="application/json"
    )
    assert again.status_code == 200
    assert "Bundle 1" in again.json()["words"]
    with pytest.raises(NotAllowed):
        trip_steps.trips_redo(actor=people.actor(Role.PLANNER), at=AT, day=DAY, version=version())


def test_a_refused_step_stands_at_its_bundle_on_the_board() -> None:
    first, second = orders.planned(), orders.planned()
    (trip,) = loads.taken([first, second])
    client, day = people.client_of(Role.DISPATCHER), DAY.isoformat()
    rows = load_reads.day_trips(DAY)[0].plan["stacks"]
    tall = next(stack for stack in rows if len(stack["things"]) > 1)
    edit = {"version": version(), "board": "1", "edit": "move", "to": trip.public_id}
    short, long = tall["things"][-1], tall["things"][0]
    page = client.post(reverse("orders:trips_edit", args=[day]), edit | {"thing": long, "on": short})
    text = page.content.decode()
    assert page.status_code == 422
    assert f'data-thing="{long}" data-what' in text
    assert 'id="refused"' in text


# --- steps on trucks that gave way to others ---


def test_a_step_on_trucks_that_gave_way_is_not_offered_and_not_taken_back() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    assert load_reads.step_to_undo(DAY) is not None
    loads.taken([delivery])
    stands = riding()
    assert load_reads.step_to_undo(DAY) is None
    page = people.client_of(Role.DISPATCHER).get(reverse("orders:trucks_day", args=[DAY])).content.decode()
    assert ">Undo<" not in page
    with pytest.raises(Clash, match="gave way to others since that step"):
        undo()
    assert riding() == stands
    step(edit="off", thing=thing(delivery, 2))
    undo()
    assert riding() == stands, "steps on the new trucks are taken back as ever"
    assert load_reads.step_to_undo(DAY) is None


def test_a_step_between_two_trucks_is_not_taken_back_by_half() -> None:
    """One of them gave way: what it brought would lie on no truck at all."""
    first, second = orders.planned(), orders.planned()
    loads.taken([first])
    trip = loads.taken([second])[1]
    step(edit="move", thing=thing(first, 1), trip=trip.public_id)
    gone = load_reads.day_trips(DAY)[0]
    Bundle.objects.filter(load__trip=gone).update(load=None)
    Carton.objects.filter(load__trip=gone).update(load=None)
    gone.loads.all().delete()
    gone.delete()
    stands = riding()
    with pytest.raises(Clash, match="gave way"):
        undo()
    assert riding() == stands


def test_a_step_that_was_taken_back_is_not_done_again_on_trucks_that_gave_way() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    undo()
    assert load_reads.step_to_redo(DAY) is not None
    loads.taken([delivery])
    assert load_reads.step_to_redo(DAY) is None
    with pytest.raises(Refused, match="No step was taken back"):
        redo()


# --- the rest anew ---


def test_the_rest_is_planned_anew_around_what_is_locked_and_told_before() -> None:
    first, second = orders.planned(), orders.planned()
    (kept,) = loads.taken([first])
    trips.trip_lock(actor=dispatcher(), at=AT, trip=kept, edition=kept.edition, locked=True)
    loads.taken([second])
    other = next(trip for trip in load_reads.day_trips(DAY) if trip.pk != kept.pk)
    step(edit="move", thing=thing(second, 1))
    assert len(load_reads.day_trips(DAY)) == 3
    plan = load_plans.load_plan_anew(actor=dispatcher(), at=AT, day=DAY)
    assert plan.asked["deliveries"] == [second.public_id]
    plan = load_plans.load_plan_make(actor=SYSTEM, at=AT, plan=plan, go_on=lambda _: True)
    changes = plan_changes(plan)
    assert changes is not None
    assert [trip.pk for trip in changes.kept] == [kept.pk]
    assert (changes.before, changes.after) == (2, 1)
    assert other.pk in {trip.pk for trip, _ in changes.gone}
    assert [row.name for row in changes.moved] == [f"Bundle 1 of {second.order.number}"]
    assert (changes.moved[0].was, changes.moved[0].will) == ("truck 3", "truck 1 of the plan")
    page = people.client_of(Role.DISPATCHER).get(reverse("orders:load_plan_page", args=[plan.public_id]))
    text = page.content.decode()
    assert "What it changes" in text
    assert "2 now, 1 with this plan" in text
    load_plans.load_plan_take(actor=dispatcher(), at=AT, plan=plan)
    assert len(load_reads.day_trips(DAY)) == 2
    rows_agree()


def test_there_is_nothing_to_plan_anew_where_all_is_locked() -> None:
    (trip,) = loads.taken([orders.planned()])
    trips.trip_lock(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition, locked=True)
    with pytest.raises(Refused, match="locked or loaded"):
        load_plans.load_plan_anew(actor=dispatcher(), at=AT, day=DAY)
    client, day = people.client_of(Role.DISPATCHER), DAY.isoformat()
    assert client.post(reverse("orders:load_plan_anew", args=[day])).status_code == 422
    with pytest.raises(NotAllowed):
        load_plans.load_plan_anew(actor=people.actor(Role.SHOP), at=AT, day=DAY)


def test_a_truck_of_ours_is_used_again_and_named_by_the_api() -> None:
    own = loads.truck("Old Blue")
    loads.taken([orders.planned()], [own], further=False)
    client = people.client_of(Role.DISPATCHER)
    asked = client.post(f"/api/v1/truck-days/{DAY}/anew/", {}, content_type="application/json")
    assert asked.status_code == 202
    assert asked.json()["asked"]["trucks"] == [own.public_id]
