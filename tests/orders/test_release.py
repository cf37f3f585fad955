"""Release makes rows that equal the accepted snapshot; finishing bundles; trucks of a delivery."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import pytest

from framing.common.errors import Clash, NotThere, Refused
from framing.common.links import link_list
from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from orders import services
from orders.models import Bundle, Order, Piece
from orders.selectors import accepted_package, mark_counts, piece_runs
from orders.services.release import weight
from tests.factories import orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


def test_bundles_pieces_and_cartons_equal_the_snapshot() -> None:
    order = orders.released()
    package = accepted_package(order)
    assert package.bundles, "the sample floor has enough joists for a bundle"
    rows = {bundle.number: bundle for bundle in order.bundles.prefetch_related("pieces")}
    assert sorted(rows) == [bundle.number for bundle in package.bundles]
    for wanted in package.bundles:
        row = rows[wanted.number]
        assert (row.profile, row.zone, row.length_16, row.short, row.note) == (
            wanted.profile, wanted.zone, wanted.length_16, wanted.short, wanted.note,
        )  # fmt: skip
        assert row.weight_lb == weight(wanted.weight_lb)
        names = [floor.plan.name for floor in package.floors]
        assert Counter(
            (p.floor, p.copy, p.piece_id, p.mark, p.length_16) for p in row.pieces.all()
        ) == Counter((names[p.floor], p.copy, p.piece, p.mark, p.length_16) for p in wanted.pieces)
        from_bottom = list(row.pieces.order_by("position"))
        assert [p.position for p in from_bottom] == list(range(1, len(wanted.pieces) + 1))
        assert [p.length_16 for p in from_bottom] == sorted((p.length_16 for p in from_bottom), reverse=True)
    assert order.pieces.count() == sum(len(floor.pieces) * floor.plan.repeat for floor in package.floors)
    assert [(c.number, c.title, c.contents) for c in order.cartons.all()] == [
        (c.number, c.title, [list(line) for line in c.contents]) for c in package.cartons
    ]


def test_pieces_of_the_sample_floor_are_seventeen_joists_in_two_bundles() -> None:
    # 24 ft at 16 in: stations at 16, 32, ... 272 in = 17 joists (R3); R35: 17 pieces are 8 + 9, larger first.
    order = orders.released()
    assert [bundle.pieces.count() for bundle in order.bundles.all()] == [9, 8]


def test_the_last_finished_bundle_moves_the_order() -> None:
    order = orders.rolling()
    shop = people.actor(Role.SHOP)
    bundles = list(order.bundles.all())
    for bundle in bundles[:-1]:
        services.bundle_finish(actor=shop, at=AT, bundle=bundle)
        assert orders.fresh(order).stage == "rolling"
    services.bundle_finish(actor=shop, at=AT, bundle=bundles[-1])
    assert orders.fresh(order).stage == "bundled"


def test_finishing_a_bundle_twice_changes_nothing() -> None:
    order = orders.rolling()
    bundle = order.bundles.all()[0]
    services.bundle_finish(actor=people.actor(Role.SHOP), at=AT, bundle=bundle)
    later = services.bundle_finish(actor=people.actor(Role.SHOP), at=AT + timedelta(hours=1), bundle=bundle)
    assert (later.changed, later.bundle.finished_at) == (False, AT)


def test_a_bundle_is_not_finished_before_rolling_or_on_a_held_order() -> None:
    released = orders.released()
    with pytest.raises(Clash, match="rolling"):
        services.bundle_finish(actor=people.actor(Role.SHOP), at=AT, bundle=released.bundles.all()[0])
    held = orders.rolling()
    services.order_hold(actor=people.actor(Role.PLANNER), at=AT, order=held, why="coil is late")
    with pytest.raises(Clash, match="held"):
        services.bundle_finish(actor=people.actor(Role.SHOP), at=AT, bundle=held.bundles.all()[0])


def test_a_delivery_takes_everything_on_the_trucks_of_the_snapshot() -> None:
    order = orders.bundled()
    delivery = orders.planned(order)
    package = accepted_package(order)
    trucks = list(delivery.loads.order_by("number"))
    assert [(t.number, t.weight_lb) for t in trucks] == [
        (load.number, weight(load.weight_lb)) for load in package.loads
    ]
    assert sorted(b.number for t in trucks for b in t.bundles.all()) == [b.number for b in package.bundles]
    assert sorted(c.number for t in trucks for c in t.cartons.all()) == [c.number for c in package.cartons]
    with pytest.raises(Clash, match=delivery.number):
        orders.planned(order)


@pytest.mark.parametrize(
    ("change", "field"),
    [({"contact": " "}, "contact"), ({"planned_for": AT.date() - timedelta(days=1)}, "planned_for"),
     ({"notes": "x" * 401}, "notes"), ({"contact": "x" * 161}, "contact")],
)  # fmt: skip
def test_a_delivery_that_makes_no_sense_is_refused(change: dict[str, object], field: str) -> None:
    values: dict[str, object] = {
        "planned_for": orders.PLANNED_FOR,
        "contact": "Rae Winter",
        "notes": "",
    } | change
    order = orders.bundled()
    with pytest.raises(Refused) as refusal:
        services.delivery_make(actor=people.actor(Role.DISPATCHER), at=AT, order=order, **values)  # type: ignore[arg-type]
    assert refusal.value.field == field
    assert order.deliveries.count() == 0


def test_nothing_is_planned_before_release() -> None:
    with pytest.raises(Clash, match="between release and loading"):
        orders.planned(orders.booked())


def test_a_planned_delivery_waits_for_the_last_bundle() -> None:
    delivery = orders.planned(orders.rolling())
    with pytest.raises(Clash, match="bundled"):
        services.delivery_load(actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery)


def test_receipt_needs_a_name() -> None:
    delivery = orders.loaded()
    with pytest.raises(Refused) as refusal:
        services.delivery_deliver(
            actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery, received_by=" "
        )
    assert refusal.value.field == "received_by"


def test_stopped_manifest_work_is_put_back_in_line_by_asking_again() -> None:
    delivery = orders.loaded()
    entry = OutboxEntry.objects.get(kind="manifest_paper", key=f"load {delivery.loads.get().pk}")
    OutboxEntry.objects.filter(pk=entry.pk).update(parked_at=AT, attempts=3, error="no paper")
    services.manifest_request(actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery)
    entry.refresh_from_db()
    assert (entry.parked_at, entry.attempts) == (None, 0)


def test_a_link_of_another_delivery_is_not_withdrawn() -> None:
    mine, other = orders.planned(), orders.planned()
    dispatcher = people.actor(Role.DISPATCHER)
    link, address = services.delivery_link_make(actor=dispatcher, at=AT, delivery=mine, for_name="Rae Winter")
    assert "/l/" in address
    with pytest.raises(NotThere):
        services.delivery_link_withdraw(actor=dispatcher, at=AT, delivery=other, link_id=link.public_id)
    assert link_list(mine)[0].withdrawn_at is None
    services.delivery_link_withdraw(actor=dispatcher, at=AT, delivery=mine, link_id=link.public_id)
    assert link_list(mine)[0].withdrawn_at == AT


def test_marks_are_counted_longest_first() -> None:
    order = orders.released()
    bundle = Bundle.objects.filter(order=order).prefetch_related("pieces")[0]
    counts = mark_counts(list(bundle.pieces.all()))
    assert sum(mark.count for mark in counts) == bundle.pieces.count()
    assert [m.length_16 for m in counts] == sorted((m.length_16 for m in counts), reverse=True)


def test_equal_pieces_stand_together_from_the_bottom_up() -> None:
    def piece(position: int, mark: str, copy: int = 1) -> Piece:
        return Piece(floor="Loft", copy=copy, mark=mark, length_16=1600, position=position)

    runs = piece_runs([piece(3, "1J02"), piece(1, "1J01"), piece(2, "1J01"), piece(4, "1J02", copy=2)])
    assert [(run.first, run.last, run.mark, run.floor) for run in runs] == [
        (1, 2, "1J01", "Loft"),
        (3, 3, "1J02", "Loft"),
        (4, 4, "1J02", "Loft, copy 2"),
    ]


@pytest.mark.django_db(transaction=True)
def test_the_outbox_books_the_order_of_an_acceptance_once() -> None:
    from tests.factories import quotes

    acceptance = quotes.accepted()
    entry = OutboxEntry.objects.get(kind="order_book", key=str(acceptance.quote_id))
    assert outbox_run(entry.pk) is True
    assert outbox_run(entry.pk) is False
    order = Order.objects.get()
    assert (order.revision_id, order.stage) == (acceptance.revision_id, "booked")
