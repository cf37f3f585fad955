"""Trucks of a day (R47): planned by the worker, taken, moved by the dispatcher, locked, loaded; manifests (R48)."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from typing import Any

import pypdf
import pytest
from django.urls import reverse

from framing.common.errors import Clash, Refused, StaleSave
from framing.common.models import AuditEntry, OutboxEntry, Role
from framing.common.outbox import outbox_run
from orders import load_pages, load_reads
from orders.manifest_facts import load_rows, manifest_csv_rows, manifest_json, manifest_of
from orders.manifest_files import manifest_csv
from orders.models import Bundle, Carton, Delivery, Trip, TripChange, TruckLoad
from orders.services import load_plans, trip_steps, trips
from orders.services.trip_steps import TripStep
from tests.factories import loads, orders, people

pytestmark = pytest.mark.django_db
AT, DAY = loads.AT, loads.DAY


def dispatcher() -> Any:
    return people.actor(Role.DISPATCHER)


def version() -> str:
    return load_reads.day_version(load_reads.day_trips(DAY))


def step(**what: Any) -> TripChange:
    return trip_steps.trips_edit(actor=dispatcher(), at=AT, day=DAY, version=version(), step=TripStep(**what))


def thing(delivery: Delivery, number: int, kind: str = "B") -> str:
    return f"{delivery.order.number}-{kind}{number}"


def fresh(trip: Trip) -> Trip:
    return load_reads.trip_get(trip.public_id)


def rows_agree() -> None:
    """Each thing of a trip's plan rides on a load of that trip and of its own delivery, once; weights add up."""
    for trip in Trip.objects.filter(loads__isnull=False).distinct():
        planned = [name for stack in trip.plan["stacks"] for name in stack["things"]]
        riding = []
        for load in trip.loads.all():
            rows: list[Bundle | Carton] = [*load.bundles.select_related("order")]
            rows += load.cartons.select_related("order")
            assert rows, "no empty load"
            assert {row.delivery_id for row in rows} == {load.delivery_id}
            assert load.weight_lb == sum(row.weight_lb for row in rows)
            riding += [f"{r.order.number}-{'B' if isinstance(r, Bundle) else 'C'}{r.number}" for r in rows]
        assert sorted(planned) == sorted(riding)
        assert [load.stop for load in trip.loads.order_by("stop")] == list(range(1, trip.loads.count() + 1))


# --- plans ---


def test_a_plan_is_asked_for_made_by_the_worker_and_taken() -> None:
    first, second = orders.planned(), orders.planned()
    plan = loads.asked([second, first])
    entry = OutboxEntry.objects.get(kind="load_plan")
    assert outbox_run(entry.pk)
    assert not outbox_run(entry.pk), "it is made once"
    plan.refresh_from_db()
    assert (plan.state, plan.done_share) == ("proposed", 100)
    assert plan.result is not None
    assert plan.result["bound"]["trucks"] == len(plan.result["trucks"]) == 1
    assert plan.result["bound"]["binding"]
    assert not Trip.objects.exists(), "nothing changes until it is taken"
    done = load_plans.load_plan_take(actor=dispatcher(), at=AT, plan=plan)
    again = load_plans.load_plan_take(actor=dispatcher(), at=AT, plan=plan)
    assert (done.state, again.state) == ("taken", "taken")
    (trip,) = load_reads.day_trips(DAY)
    assert [(load.stop, load.delivery_id) for load in trip.loads.all()] == [(1, second.pk), (2, first.pk)]
    assert not Bundle.objects.filter(load__trip=None).exists()
    assert not Carton.objects.filter(load__trip=None).exists()
    assert not TruckLoad.objects.filter(trip=None).exists(), "loads by weight alone are gone"
    rows_agree()


def test_what_comes_off_first_lies_on_top() -> None:
    first, second = orders.planned(), orders.planned()
    (trip,) = loads.taken([first, second])
    stop = {f"{row.order.number}": place for place, row in enumerate([first, second], 1)}
    for stack in trip.plan["stacks"]:
        stops = [stop[name.rsplit("-", 1)[0]] for name in stack["things"]]
        assert stops == sorted(stops, reverse=True)
    card = load_pages.trip_card(trip)
    assert [row.stop for row in card.things] == sorted(row.stop for row in card.things)


def test_a_trip_with_three_stops() -> None:
    deliveries = [orders.planned() for _ in range(3)]
    # 8 ft panels and 20 ft boards stand on lanes of their own; without them three stops go on one deck
    Carton.objects.filter(delivery__in=deliveries, number__in=(4, 5)).update(delivery=None, load=None)
    (trip,) = loads.taken(deliveries)
    assert [load.stop for load in trip.loads.all()] == [1, 2, 3]
    rows_agree()
    manifests = [manifest_of(load) for load in load_rows().order_by("stop")]
    assert [(m.stop, m.stops, m.trip) for m in manifests] == [(n, 3, trip.number) for n in (1, 2, 3)]
    assert all(m.hold is not None and m.hold.tie_downs > 0 and m.sketch.startswith("<svg") for m in manifests)


def test_a_delivery_on_two_trucks_has_two_numbered_manifests() -> None:
    delivery = orders.planned()
    small = [loads.truck("Small one", payload=1000), loads.truck("Small two", payload=1000)]
    made = loads.taken([delivery], small, further=False)
    assert len(made) == 2
    assert {trip.truck for trip in made} == set(small)
    found = [manifest_of(load) for load in load_rows().filter(delivery=delivery).order_by("number")]
    assert [m.number for m in found] == [f"{delivery.number}-1", f"{delivery.number}-2"]
    assert sum(m.bundle_count for m in found) == delivery.order.bundles.count()
    assert sum(m.carton_count for m in found) == delivery.order.cartons.count()
    assert sum(m.pieces for m in found) == delivery.order.pieces.exclude(bundle=None).count()
    rows_agree()


@pytest.mark.parametrize(
    ("break_it", "words"),
    [
        (lambda d: Delivery.objects.filter(pk=d.pk).update(loaded_at=AT), "is loaded; leave it out"),
        (
            lambda d: Delivery.objects.filter(pk=d.pk).update(planned_for=AT.date()),
            "move it to this day first",
        ),
        (lambda d: (d.bundles.update(delivery=None), d.cartons.update(delivery=None)), "holds no bundle"),
    ],
)
def test_what_cannot_be_planned_is_refused(break_it: Callable[[Delivery], Any], words: str) -> None:
    delivery = orders.planned()
    break_it(delivery)
    with pytest.raises(Refused, match=words) as refusal:
        loads.asked([delivery])
    assert refusal.value.field == "deliveries"


def test_nothing_is_asked_without_delivery_or_truck_or_while_one_is_made() -> None:
    delivery = orders.planned()
    with pytest.raises(Refused, match="Tick a delivery"):
        loads.asked([])
    with pytest.raises(Refused, match="named twice"):
        loads.asked([delivery, delivery])
    with pytest.raises(Refused, match="Tick a truck"):
        loads.asked([delivery], further=False)
    plan = loads.asked([delivery])
    with pytest.raises(Clash, match="are being planned"):
        loads.asked([delivery])
    assert load_plans.load_plan_stop(actor=dispatcher(), at=AT, plan=plan).state == "stopped"
    assert loads.asked([delivery]).state == "asked"


def test_a_thing_that_no_truck_carries_is_told_in_the_engines_words() -> None:
    delivery = orders.planned()
    plan = loads.proposed([delivery], [loads.truck(payload=100)], further=False)
    assert plan.state == "failed"
    assert "100 lb" in plan.words


def test_a_plan_that_no_longer_fits_is_not_taken() -> None:
    delivery = orders.planned()
    plan = loads.proposed([delivery])
    Bundle.objects.filter(delivery=delivery, number=1).update(delivery=None, load=None)
    with pytest.raises(Clash, match=f"{thing(delivery, 1)} came, went, changed"):
        load_plans.load_plan_take(actor=dispatcher(), at=AT, plan=plan)
    assert not Trip.objects.exists()


def test_laid_aside_it_changes_nothing() -> None:
    plan = loads.proposed([orders.planned()])
    assert load_plans.load_plan_refuse(actor=dispatcher(), at=AT, plan=plan).state == "refused"
    with pytest.raises(Clash, match="only one to look at is taken"):
        load_plans.load_plan_take(actor=dispatcher(), at=AT, plan=plan)


def test_planned_anew_a_locked_truck_stays() -> None:
    delivery, other = orders.planned(), orders.planned()
    (trip,) = loads.taken([delivery])
    trips.trip_lock(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition, locked=True)
    before = fresh(trip).plan
    plan = loads.proposed([other, delivery])
    load_plans.load_plan_take(actor=dispatcher(), at=AT, plan=plan)
    found = load_reads.day_trips(DAY)
    assert found[0].number == trip.number
    assert fresh(trip).plan == before
    assert [load.delivery_id for load in found[1].loads.all()] == [other.pk]
    rows_agree()


# --- steps ---


def test_a_bundle_moves_to_a_further_truck_and_back_by_undo() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    before = fresh(trip).plan["stacks"]
    change = step(edit="move", thing=thing(delivery, 2))
    assert "Moved Bundle 2" in change.words
    first, second = load_reads.day_trips(DAY)
    assert [b.number for load in second.loads.all() for b in load.bundles.all()] == [2]
    assert sorted(load.number for load in TruckLoad.objects.filter(delivery=delivery)) == [1, 2]
    rows_agree()
    trip_steps.trips_undo(actor=dispatcher(), at=AT, day=DAY, version=version())
    (only,) = load_reads.day_trips(DAY)
    assert only.number == first.number
    assert only.plan["stacks"] == before
    rows_agree()
    with pytest.raises(Refused, match="No step is left"):
        trip_steps.trips_undo(actor=dispatcher(), at=AT, day=DAY, version=version())


def test_taken_off_it_waits_and_goes_back_on() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    page = load_pages.day_page(DAY)
    assert [row.id for row in page.waiting] == [thing(delivery, 1)]
    step(edit="move", thing=thing(delivery, 1), trip=trip.public_id)
    assert load_pages.day_page(DAY).waiting == ()
    rows_agree()


def test_two_things_change_places() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    step(edit="off", thing=thing(delivery, 1))
    change = step(edit="swap", thing=thing(delivery, 1), other=thing(delivery, 2))
    assert "changed places" in change.words
    riding = {name for stack in fresh(trip).plan["stacks"] for name in stack["things"]}
    assert thing(delivery, 1) in riding
    assert [row.id for row in load_pages.day_page(DAY).waiting] == [thing(delivery, 2)]
    rows_agree()


def test_a_thing_may_not_go_over_what_comes_off_before_it() -> None:
    first, second = orders.planned(), orders.planned()
    one = loads.taken([first], [loads.truck("One")], further=False)[0]
    loads.taken([second], [loads.truck("Two")], further=False)
    before = fresh(one).plan
    with pytest.raises(Refused, match="comes off before it"):
        step(edit="swap", thing=thing(first, 1), other=thing(second, 1))
    assert fresh(one).plan == before
    step(edit="move", thing=thing(second, 1), trip=one.public_id)
    assert [load.delivery_id for load in fresh(one).loads.all()] == [first.pk, second.pk]
    rows_agree()


def test_a_rule_that_a_step_would_break_is_told_and_nothing_changes() -> None:
    delivery = orders.planned()
    loads.truck("Cart", payload=100)
    (trip,) = loads.taken([delivery])
    before = fresh(trip).plan
    with pytest.raises(Refused, match="lb"):
        step(edit="move", thing=thing(delivery, 1), kind="Cart")
    with pytest.raises(Refused, match="goes with no delivery"):
        step(edit="off", thing="SO-1999-0001-B1")
    trips.trip_lock(actor=dispatcher(), at=AT, trip=fresh(trip), edition=fresh(trip).edition, locked=True)
    with pytest.raises(Refused, match="locked"):
        step(edit="off", thing=thing(delivery, 1))
    assert fresh(trip).plan == before
    assert not TripChange.objects.exists()


def test_two_dispatchers_do_not_undo_each_other_unseen() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    seen = version()
    step(edit="off", thing=thing(delivery, 1))
    with pytest.raises(StaleSave, match="Took Bundle 1"):
        trip_steps.trips_edit(
            actor=dispatcher(), at=AT, day=DAY, version=seen, step=TripStep("off", thing(delivery, 2))
        )
    with pytest.raises(StaleSave):
        trips.trip_lock(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition, locked=True)


def test_stops_change_where_the_stacks_allow_it() -> None:
    first, second = orders.planned(), orders.planned()
    (trip,) = loads.taken([first, second])
    with pytest.raises(Refused, match="Name each delivery"):
        trips.trip_stops(
            actor=dispatcher(), at=AT, trip=trip, edition=trip.edition, deliveries=[first.public_id]
        )
    turned = [second.public_id, first.public_id]
    mixed = any(len({n.rsplit("-", 1)[0] for n in stack["things"]}) > 1 for stack in trip.plan["stacks"])
    if mixed:
        with pytest.raises(Refused) as refusal:
            trips.trip_stops(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition, deliveries=turned)
        assert refusal.value.field == "deliveries"
        assert [load.delivery_id for load in fresh(trip).loads.all()] == [first.pk, second.pk]
    else:
        trips.trip_stops(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition, deliveries=turned)
        assert [load.delivery_id for load in fresh(trip).loads.all()] == [second.pk, first.pk]


def test_truck_and_driver_are_named_if_the_load_goes_on_it() -> None:
    (trip,) = loads.taken([orders.planned()])
    with pytest.raises(Refused) as refusal:
        trips.trip_name(
            actor=dispatcher(), at=AT, trip=trip, edition=trip.edition, truck=loads.truck("Cart", payload=100)
        )
    assert refusal.value.field == "truck"
    own = loads.truck("Old Blue")
    named = trips.trip_name(
        actor=dispatcher(),
        at=AT,
        trip=trip,
        edition=trip.edition,
        truck=own,
        driver=" Dee ",
        driver_phone="555",
    )
    assert (named.truck, named.driver, named.plan["kind"]["name"]) == (own, "Dee", "Old Blue")


# --- loaded ---


def test_loaded_it_moves_the_order_and_stores_its_manifest_once(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    client = people.client_of(Role.DISPATCHER)
    load = trip.loads.get()
    url = reverse("orders:load_manifest", args=[load.public_id, "pdf"])
    assert "-draft.pdf" in client.get(url)["Content-Disposition"]
    done = trips.trip_load(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition)
    again = trips.trip_load(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition)
    assert (done.locked, again.edition) == (True, done.edition)
    assert orders.fresh(delivery.order).stage == "loaded"
    entry = OutboxEntry.objects.get(kind="manifest_paper")
    assert outbox_run(entry.pk)
    stored = client.get(url)
    assert "draft" not in stored["Content-Disposition"]
    assert stored.content == client.get(url).content
    with pytest.raises(Clash, match="is loaded"):
        trips.trip_lock(actor=dispatcher(), at=AT, trip=trip, edition=done.edition, locked=False)
    with pytest.raises(Refused, match="locked"):
        step(edit="off", thing=thing(delivery, 1))


def test_a_trip_leaves_when_loaded_and_comes_back() -> None:
    (trip,) = loads.taken([orders.planned()])
    with pytest.raises(Clash, match="not loaded"):
        trips.trip_leave(actor=dispatcher(), at=AT, trip=trip)
    with pytest.raises(Clash, match="not left"):
        trips.trip_back(actor=dispatcher(), at=AT, trip=trip)
    trips.trip_load(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition)
    assert trips.trip_leave(actor=dispatcher(), at=AT, trip=trip).left_at == AT
    assert trips.trip_back(actor=dispatcher(), at=AT, trip=trip).back_at == AT
    assert AuditEntry.objects.filter(verb__in=("trip_load", "trip_leave", "trip_back")).count() == 3


def test_an_unfinished_bundle_is_not_loaded() -> None:
    delivery = orders.planned()
    (trip,) = loads.taken([delivery])
    Bundle.objects.filter(delivery=delivery, number=1).update(finished_at=None)
    with pytest.raises(Clash):
        trips.trip_load(actor=dispatcher(), at=AT, trip=trip, edition=trip.edition)
    assert not TruckLoad.objects.filter(loaded_at__isnull=False).exists()


# --- manifest ---


def test_paper_csv_and_json_tell_what_the_rows_hold() -> None:
    delivery = orders.planned()
    loads.taken([delivery])
    load = load_rows().get(delivery=delivery)
    facts = manifest_of(load)
    data = json.loads(json.dumps(manifest_json(facts)))
    rows = list(csv.DictReader(io.StringIO(manifest_csv(facts).decode("utf-8-sig"))))
    bundles = {b.number: b for b in delivery.order.bundles.all()}
    assert {b["number"] for b in data["bundles"]} == set(bundles)
    for entry in data["bundles"]:
        mine = [row for row in rows if row["kind"] == "bundle" and int(row["number"]) == entry["number"]]
        assert (
            sum(int(row["count"]) for row in mine)
            == entry["pieces"]
            == bundles[entry["number"]].pieces.count()
        )
        assert [row["mark"] for row in mine] == [mark["mark"] for mark in entry["marks"]]
        assert float(mine[0]["weight_lb"]) == entry["weight_lb"] == float(bundles[entry["number"]].weight_lb)
        assert {row["code"] for row in mine} == {bundles[entry["number"]].code}
    assert data["weight_lb"] == pytest.approx(float(load.weight_lb))
    offs = sorted(line["off"] for line in (*data["bundles"], *data["cartons"]))
    assert offs == list(range(1, len(offs) + 1))
    assert len(manifest_csv_rows(facts)) == len(rows)
    client = people.client_of(Role.DISPATCHER)
    pdf = client.get(reverse("orders:load_manifest", args=[load.public_id, "pdf"])).content
    text = " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(pdf)).pages).split())
    assert facts.number in text
    assert "Draft" in text
    assert facts.hold is not None
    assert f"Tie-downs on the truck, at least {facts.hold.tie_downs}" in text
    for bundle in facts.bundles:
        for mark in bundle.marks:
            assert f"{mark.count} \u00d7 {mark.mark}" in text
    assert "$" not in text
    api = client.get(f"/api/v1/loads/{load.public_id}/manifest/").json()
    assert api == data


def test_too_heavy_for_the_gear_is_told() -> None:
    delivery = orders.planned()
    Delivery.objects.filter(pk=delivery.pk).update(gear_limit_lb=230)
    facts = manifest_of(load_rows().get(delivery=delivery))
    assert facts.warnings[0] == "Bundle 1 weighs 250 lb; the telehandler there lifts 230 lb."
    assert "full reach" in facts.warnings[-1]
