"""Deliveries of an order: what goes on them, day and window, and what they do to the order's stage (R44)."""

from __future__ import annotations

from datetime import date, time, timedelta
from typing import Any

import pytest

from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.links import link_list
from framing.common.models import LinkPurpose, Role
from orders import services
from orders.delivery_floors import floor_of
from orders.delivery_reads import floors_left, left_of
from orders.line_facts import to_roll
from orders.models import Bundle, Carton, Delivery, DeliveryMove, Order, TruckLoad
from orders.services.delivery_stage import bundle_numbers
from orders.services.delivery_things import things_left
from orders.services.delivery_typed import read_window
from tests.factories import deliveries, orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


def numbers(delivery: Delivery) -> list[int]:
    return list(delivery.bundles.order_by("number").values_list("number", flat=True))


def load(delivery: Delivery) -> Delivery:
    return services.delivery_load(actor=deliveries.dispatcher(), at=AT, delivery=delivery)


def deliver(delivery: Delivery) -> Delivery:
    return services.delivery_deliver(
        actor=deliveries.dispatcher(), at=AT, delivery=delivery, received_by="Rae Winter"
    )


# --- what goes ---


def test_an_order_splits_and_each_thing_is_on_one_delivery() -> None:
    order, one, rest = deliveries.halves()
    assert numbers(one) == [1]
    assert numbers(rest) == list(order.bundles.filter(number__gt=1).values_list("number", flat=True))
    assert (one.cartons.count(), rest.cartons.count()) == (0, order.cartons.count())
    assert not things_left(order)
    for delivery in (one, rest):
        assert not delivery.bundles.filter(load=None).exists()
        assert {row.delivery_id for row in TruckLoad.objects.filter(bundles__delivery=delivery)} == {
            delivery.pk
        }
    with pytest.raises(Clash, match=f"{one.number}, {rest.number}"):
        deliveries.made(order)


def two_floors() -> Order:
    """An order whose first bundle is for a loft, with a carton of its own and one that belongs to no floor."""
    order = orders.bundled()
    first, second, *_ = order.cartons.order_by("number")
    order.pieces.filter(bundle__number=1).update(floor="Loft")
    order.cartons.filter(pk=first.pk).update(title="Loft: Short pieces and blocks")
    order.cartons.filter(pk=second.pk).update(title="Paint for cut ends")
    return order


def test_a_floor_goes_with_its_bundles_and_its_cartons_and_what_belongs_to_none() -> None:
    order = two_floors()
    loft, rest = deliveries.made(order, floors=["Loft"]), deliveries.made(order)
    assert numbers(loft) == [1]
    assert sorted(loft.cartons.values_list("title", flat=True)) == [
        "Loft: Short pieces and blocks",
        "Paint for cut ends",
    ]
    assert rest.cartons.count() == order.cartons.count() - 2 > 0
    assert not things_left(order)


def test_the_form_says_what_goes_with_each_floor() -> None:
    order = two_floors()
    assert order.bundles.count() == 2
    house = order.pieces.filter(bundle__number=2)[0].floor
    cartons = order.cartons.count()
    assert floors_left(order, left_of(order)) == [
        (house, f"1 bundle and {cartons - 2} cartons"),
        ("Loft", "1 bundle and 1 carton"),
    ]
    deliveries.made(order, floors=["Loft"])
    assert [floor for floor, _ in floors_left(order, left_of(order))] == [house]


@pytest.mark.parametrize(
    ("title", "floor"),
    [
        ("House: Boards", "House"),
        ("House (2 of 3): Boards", "House"),
        ("House: upper floor: Boards", "House: upper floor"),
        ("House boat: Boards", None),
        ("Screws", None),
        ("x" * 90 + ": Boards", "x" * 80),
    ],
)
def test_a_cartons_floor_is_told_by_its_title(title: str, floor: str | None) -> None:
    assert floor_of(Carton(title=title), ["House", "House: upper floor", "x" * 80]) == floor


@pytest.mark.parametrize(
    ("chosen", "field"),
    [
        ({"floors": ["Attic"]}, "floors"),
        ({"bundles": ["0" * 20]}, "bundles"),
        ({"bundles": [], "cartons": [99]}, "cartons"),
        ({"bundles": [], "cartons": []}, "bundles"),
        ({"gear": "ladder"}, "gear"),
        ({"gear_limit_lb": 0}, "gear_limit_lb"),
        ({"phone": "5" * 41}, "phone"),
        ({"window_from": time(9)}, "window_to"),
        ({"window_to": time(9)}, "window_from"),
        ({"window_from": time(9), "window_to": time(9)}, "window_to"),
        ({"window_from": time(10), "window_to": time(9)}, "window_to"),
        ({"planned_for": date(2999, 1, 1)}, "planned_for"),
    ],
)
def test_what_makes_no_sense_is_refused_at_its_field(chosen: dict[str, Any], field: str) -> None:
    order = orders.bundled()
    with pytest.raises(Refused) as refusal:
        deliveries.made(order, **chosen)
    assert refusal.value.field == field
    assert order.deliveries.count() == 0


def test_another_orders_bundle_and_one_that_is_on_its_way_are_refused() -> None:
    order, one, _ = deliveries.halves()
    mine = one.bundles.get()
    with pytest.raises(Clash, match=f"Bundle 1 is on delivery {one.number} already"):
        deliveries.made(order, bundles=[mine.public_id], cartons=[])
    other = orders.bundled()
    with pytest.raises(Refused, match="not of this order"):
        deliveries.made(other, bundles=[mine.public_id])


def test_the_trucks_are_filled_by_what_each_delivery_holds() -> None:
    _, one, rest = deliveries.halves()
    for delivery in (one, rest):
        things = [*delivery.bundles.all(), *delivery.cartons.all()]
        assert sum(row.weight_lb for row in delivery.loads.all()) == sum(row.weight_lb for row in things)
        assert [row.number for row in delivery.loads.order_by("number")] == list(
            range(1, delivery.loads.count() + 1)
        )


def test_things_move_between_deliveries_that_are_not_loaded() -> None:
    order, one, rest = deliveries.halves()
    second = order.bundles.get(number=2)
    services.delivery_move_things(
        actor=deliveries.dispatcher(), at=AT, delivery=one, bundles=[second.public_id], cartons=[1]
    )
    assert numbers(one) == [1, 2]
    assert one.cartons.get().number == 1
    assert 2 not in numbers(rest)
    for delivery in (one, rest):
        things = [*delivery.bundles.all(), *delivery.cartons.all()]
        assert sum(row.weight_lb for row in delivery.loads.all()) == sum(row.weight_lb for row in things)
        assert audit_list(delivery).filter(verb="delivery_move_things").count() == 1
    again = Delivery.objects.get(pk=one.pk).edition
    services.delivery_move_things(
        actor=deliveries.dispatcher(), at=AT, delivery=one, bundles=[second.public_id]
    )
    assert Delivery.objects.get(pk=one.pk).edition == again, "it is there already"


def test_a_delivery_is_never_left_with_nothing_and_a_loaded_one_keeps_its_things() -> None:
    order, one, rest = deliveries.halves()
    first = order.bundles.get(number=1)
    with pytest.raises(Clash, match="with nothing"):
        services.delivery_move_things(
            actor=deliveries.dispatcher(), at=AT, delivery=rest, bundles=[first.public_id]
        )
    load(one)
    with pytest.raises(Clash, match="is loaded with delivery"):
        services.delivery_move_things(
            actor=deliveries.dispatcher(), at=AT, delivery=rest, bundles=[first.public_id]
        )
    with pytest.raises(Clash, match="is loaded; it is changed before"):
        services.delivery_move_things(actor=deliveries.dispatcher(), at=AT, delivery=one, cartons=[1])


def test_a_dropped_delivery_frees_its_things_and_ends_its_links() -> None:
    order, one, _ = deliveries.halves()
    services.delivery_link_make(actor=deliveries.dispatcher(), at=AT, delivery=one, for_name="Rae")
    services.delivery_drop(actor=deliveries.dispatcher(), at=AT, delivery=one, why="Goes with the rest.")
    one.refresh_from_db()
    assert (one.state, one.edition, one.loads.count()) == ("dropped", 2, 0)
    assert [bundle.number for bundle in things_left(order).bundles] == [1]
    assert link_list(one).filter(withdrawn_at=None).count() == 0
    with pytest.raises(Clash, match="is dropped"):
        load(one)
    with pytest.raises(Clash, match="gets no links"):
        services.delivery_link_make(actor=deliveries.dispatcher(), at=AT, delivery=one, for_name="Rae")
    assert numbers(deliveries.made(order)) == [1]


# --- day and window ---


def test_another_day_is_kept_with_why_and_bundles_are_due_by_it() -> None:
    order = orders.released()
    delivery = deliveries.made(order)
    deliveries.moved(delivery)
    delivery.refresh_from_db()
    row = DeliveryMove.objects.get()
    assert (row.from_day, row.to_day, row.why) == (
        orders.PLANNED_FOR,
        delivery.planned_for,
        "The crane is late.",
    )
    assert (row.from_window, row.to_window) == ("", "7:30 to 9:00")
    assert delivery.edition == 2
    assert {bundle.delivery.planned_for for bundle in to_roll() if bundle.delivery} == {delivery.planned_for}
    with pytest.raises(Refused, match="on that day and window already"):
        deliveries.moved(delivery)
    with pytest.raises(Refused) as refusal:
        deliveries.moved(delivery, window_to=time(10), why=" ")
    assert refusal.value.field == "why"
    assert DeliveryMove.objects.count() == 1


def test_a_loaded_delivery_stays_on_its_day() -> None:
    _, one, _ = deliveries.halves()
    load(one)
    with pytest.raises(Clash, match="before it is loaded"):
        deliveries.moved(one)


def test_all_but_the_day_is_changed_in_one_go_and_only_where_it_differs() -> None:
    delivery = orders.planned()
    values: dict[str, Any] = {
        "contact": "Kit Moss",
        "phone": "555-0100",
        "gear": "crane",
        "gear_limit_lb": 4000,
    }
    for _ in range(2):
        services.delivery_change(actor=deliveries.dispatcher(), at=AT, delivery=delivery, **values)
    delivery.refresh_from_db()
    assert (delivery.contact, delivery.gear, delivery.gear_limit_lb, delivery.edition) == (
        "Kit Moss", "crane", 4000, 2,
    )  # fmt: skip
    assert audit_list(delivery).filter(verb="delivery_change").count() == 1


# Denver, 2027: clocks go from 2:00 to 3:00 on March 14 and from 2:00 back to 1:00 on November 7.
SPRING, AUTUMN = date(2027, 3, 14), date(2027, 11, 7)


def test_a_window_that_clocks_skip_is_refused_and_one_around_it_holds() -> None:
    with pytest.raises(Refused, match="skip 2:30 on March 14, 2027") as refusal:
        read_window(time(2, 30), time(4), SPRING, "America/Denver")
    assert refusal.value.field == "window_from"
    with pytest.raises(Refused, match="skip 2:15"):
        read_window(time(1), time(2, 15), SPRING, "America/Denver")
    assert read_window(time(1, 30), time(3), SPRING, "America/Denver").words == "1:30 to 3:00"
    assert read_window(time(2, 30), time(4), SPRING, "America/Regina").words == "2:30 to 4:00", (
        "no summer time"
    )


def test_a_window_in_the_hour_that_comes_twice_holds() -> None:
    assert read_window(time(1, 15), time(1, 45), AUTUMN, "America/Denver").words == "1:15 to 1:45"


# --- stage ---


def test_the_order_is_loaded_and_delivered_with_its_last_delivery() -> None:
    order, one, rest = deliveries.halves()
    load(one)
    assert orders.fresh(order).stage == "bundled"
    deliver(one)
    assert orders.fresh(order).stage == "bundled"
    load(rest)
    assert orders.fresh(order).stage == "loaded"
    deliver(rest)
    assert orders.fresh(order).stage == "delivered"
    assert order.moves.filter(to_stage__in=("loaded", "delivered")).count() == 2


def test_a_delivery_goes_out_while_other_floors_still_roll() -> None:
    order = orders.rolling()
    order, one, rest = deliveries.halves(order)
    deliveries.finished(order, one.bundles.get())
    load(one)
    assert orders.fresh(order).stage == "rolling"
    with pytest.raises(Clash, match="not bundled yet"):
        load(rest)
    with pytest.raises(Clash, match="becomes a claim"):
        services.bundle_reopen(actor=people.actor(Role.PLANNER), at=AT, bundle=one.bundles.get(), why="bent")
    deliver(one)
    for bundle in rest.bundles.all():
        deliveries.finished(order, bundle)
    assert orders.fresh(order).stage == "bundled"
    load(rest)
    deliver(rest)
    assert orders.fresh(order).stage == "delivered"


def test_what_is_on_no_delivery_keeps_an_order_from_being_loaded() -> None:
    order = orders.bundled()
    one = deliveries.made(order, bundles=[order.bundles.order_by("number")[0].public_id], cartons=[])
    deliver(load(one))
    assert orders.fresh(order).stage == "bundled"


def test_a_held_order_is_not_loaded_and_one_loaded_in_part_not_cancelled() -> None:
    order, one, rest = deliveries.halves()
    load(one)
    planner, manager = people.actor(Role.PLANNER), people.actor(Role.MANAGER)
    services.order_hold(actor=planner, at=AT, order=order, why="The site is shut.")
    with pytest.raises(Clash, match="not while it is held"):
        load(rest)
    for _ in range(2):
        with pytest.raises(Clash, match=rf"{one.number} \(bundle 1\) is loaded"):
            services.order_cancel(actor=manager, at=AT, order=order, why="sold")
    deliver(one)
    assert orders.fresh(order).stage == "held"


def test_one_truck_at_a_time_and_the_delivery_with_its_last() -> None:
    delivery = orders.planned()
    extra = TruckLoad.objects.create(delivery=delivery, number=99, weight_lb=1)
    bundle = delivery.bundles.order_by("-number")[0]
    Bundle.objects.filter(pk=bundle.pk).update(load=extra)
    first = delivery.loads.exclude(pk=extra.pk)
    for load_row in first:
        services.load_loaded(actor=deliveries.dispatcher(), at=AT, load=load_row)
    assert Delivery.objects.get(pk=delivery.pk).state == "planned"
    with pytest.raises(Clash, match="loaded already"):
        services.load_loaded(actor=deliveries.dispatcher(), at=AT, load=first[0])
    with pytest.raises(Clash, match="is loaded; the rest follows"):
        deliveries.moved(delivery)
    services.load_loaded(actor=deliveries.dispatcher(), at=AT, load=extra)
    assert Delivery.objects.get(pk=delivery.pk).state == "loaded"
    assert orders.fresh(delivery.order).stage == "loaded"


def test_what_is_on_no_truck_is_not_loaded() -> None:
    delivery = orders.planned()
    Bundle.objects.filter(delivery=delivery, number=1).update(load=None)
    with pytest.raises(Clash, match="on no truck yet"):
        load(delivery)
    assert not delivery.loads.filter(loaded_at__isnull=False).exists()


def test_a_received_replacement_ends_its_claim_and_leaves_the_stage() -> None:
    delivery = orders.delivered()
    order = delivery.order
    manager = people.actor(Role.MANAGER)
    bundle = delivery.bundles.order_by("number")[0]
    claim = services.claim_open(
        actor=manager,
        at=AT,
        order=order,
        kind="damaged",
        words="bent",
        bundle=bundle,
        pieces=[bundle.pieces.all()[0]],
    )
    claim = services.claim_replace(actor=manager, at=AT, claim=claim, why="bent")
    assert claim.replacement is not None
    deliveries.finished(order, claim.replacement)
    later = deliveries.made(orders.fresh(order))
    assert numbers(later) == [claim.replacement.number]
    deliver(load(later))
    claim.refresh_from_db()
    assert claim.state == "replaced"
    assert orders.fresh(order).stage == "delivered"


# --- who ---


@pytest.mark.parametrize("role", [role for role in Role.values if role != Role.DISPATCHER])
def test_only_the_dispatcher_changes_deliveries(role: str) -> None:
    delivery = orders.planned()
    who = people.actor(Role(role))
    acts: list[Any] = [
        lambda: services.delivery_change(actor=who, at=AT, delivery=delivery, contact="x", gear="hand"),
        lambda: services.delivery_reschedule(
            actor=who, at=AT, delivery=delivery, planned_for=orders.PLANNED_FOR + timedelta(days=1), why="x"
        ),
        lambda: services.delivery_move_things(actor=who, at=AT, delivery=delivery, cartons=[1]),
        lambda: services.delivery_drop(actor=who, at=AT, delivery=delivery, why="x"),
        lambda: services.load_loaded(actor=who, at=AT, load=delivery.loads.all()[0]),
    ]
    for act in acts:
        with pytest.raises(NotAllowed):
            act()


def test_a_link_receives_its_own_delivery_only() -> None:
    from framing.common.actors import by_link  # beside its one use
    from framing.common.links import link_make

    _, one, rest = deliveries.halves()
    load(one)
    load(rest)
    link, _ = link_make(
        actor=deliveries.dispatcher(),
        purpose=LinkPurpose.DELIVERY,
        subject=one,
        for_name="Rae",
        expires_at=AT + timedelta(days=9),
        at=AT,
    )
    with pytest.raises(NotThere):
        services.delivery_deliver(actor=by_link(link), at=AT, delivery=rest, received_by="Rae")
    services.delivery_deliver(actor=by_link(link), at=AT, delivery=one, received_by="Rae")
    assert Delivery.objects.get(pk=one.pk).received_by == "Rae"


def test_runs_of_numbers_are_drawn_together() -> None:
    assert bundle_numbers([3, 1, 2, 7]) == "Bundles 1 to 3, 7"
    assert bundle_numbers([4, 5]) == "Bundles 4, 5"
    assert (bundle_numbers([9]), bundle_numbers([])) == ("Bundle 9", "")
