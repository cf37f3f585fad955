"""Claims: opened on what left the yard, growing while open, ended once; an order waits for them (R49)."""

from __future__ import annotations

from decimal import Decimal
from threading import Barrier, Thread

import pytest
from django.db import connection, connections

from framing.common.actors import Actor
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import Role
from orders import services
from orders.models import Bundle, Claim, Delivery, Piece, TruckLoad
from orders.services.claim_ends import claims_replaced
from orders.services.claims import pieces_by_mark
from tests.factories import deliveries, orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


@pytest.fixture
def manager() -> Actor:
    return people.actor(Role.MANAGER)


def thing(delivery: Delivery, number: int = 1) -> Bundle:
    return delivery.order.bundles.get(number=number)


def opened(manager: Actor, delivery: Delivery, count: int = 2, kind: str = "short", number: int = 1) -> Claim:
    bundle = thing(delivery, number)
    return services.claim_open(
        actor=manager,
        at=AT,
        order=delivery.order,
        kind=kind,
        words="Two are missing",
        bundle=bundle,
        pieces=list(bundle.pieces.order_by("position")[:count]),
        delivery=delivery,
    )


def test_an_order_with_an_open_claim_stays_open_until_it_is_settled(manager: Actor) -> None:
    delivery = orders.delivered()
    claim = opened(manager, delivery)
    dispatcher = people.actor(Role.DISPATCHER)
    with pytest.raises(Clash, match=rf"{claim.number} on bundle 1"):
        services.order_close(actor=dispatcher, at=AT, order=delivery.order)
    services.claim_reject(actor=dispatcher, at=AT, claim=claim, why="All were on the second lift")
    order = services.order_close(actor=dispatcher, at=AT, order=delivery.order)
    assert order.stage == "closed"
    with pytest.raises(Clash, match="closed"):
        opened(manager, delivery)


def test_the_same_thing_reported_again_makes_one_claim(manager: Actor) -> None:
    delivery = orders.delivered()
    first = opened(manager, delivery, 1)
    again = opened(manager, delivery, 3)
    assert again == first
    assert first.pieces.count() == 3
    assert [entry.verb for entry in audit_list(first)] == ["claim_open", "claim_report"]
    assert opened(manager, delivery, 1, kind="damaged") != first
    assert opened(manager, delivery, 0) == first
    assert not first.pieces.exists(), "the whole bundle takes in its pieces"


def test_pieces_are_made_again_with_their_marks_and_the_stage_stays(manager: Actor) -> None:
    delivery = orders.delivered()
    claim = opened(manager, delivery)
    wanted = list(claim.pieces.values_list("mark", "profile", "length_16", "holes_16"))
    claim = services.claim_replace(actor=manager, at=AT, claim=claim)
    made = claim.replacement
    assert made is not None
    assert sorted(made.pieces.values_list("mark", "profile", "length_16", "holes_16")) == sorted(wanted)
    assert made.weight_lb == sum(piece.weight_lb for piece in made.pieces.all()).quantize(Decimal("0.1"))
    assert made.length_16 == max(piece.length_16 for piece in made.pieces.all())
    shop = people.actor(Role.SHOP)
    services.bundle_start(actor=shop, at=AT, bundle=made)
    services.bundle_finish(actor=shop, at=AT, bundle=made)
    assert orders.fresh(delivery.order).stage == "delivered"
    made.delivery = delivery
    made.save(update_fields=["delivery"])
    claims_replaced(actor=manager, at=AT, delivery=delivery)
    claim.refresh_from_db()
    assert (claim.state, claim.ended_at) == ("replaced", AT)
    services.order_close(actor=people.actor(Role.DISPATCHER), at=AT, order=delivery.order)


def test_a_replacement_is_on_the_shop_floor_and_in_the_line_plan(manager: Actor) -> None:
    from orders.floor_reads import state_of
    from orders.line_facts import to_roll

    claim = services.claim_replace(actor=manager, at=AT, claim=opened(manager, orders.delivered()))
    made = claim.replacement
    assert made is not None
    assert [bundle.pk for bundle in to_roll()] == [made.pk]
    assert state_of(made) == "waiting"
    assert state_of(claim.bundle) == "away"  # type: ignore[arg-type]


def test_credit_is_in_cents_and_never_over_what_the_order_comes_to(manager: Actor) -> None:
    delivery = orders.delivered()
    total = delivery.order.revision.total
    first = services.claim_credit(
        actor=manager, at=AT, claim=opened(manager, delivery), amount=total - Decimal("1.00"), why="Agreed"
    )
    assert (first.state, first.credit) == ("credited", total - Decimal("1.00"))
    second = opened(manager, delivery, kind="damaged")
    for amount in ("1.01", "0", "-5", "0.005", "NaN"):
        with pytest.raises(Refused):
            services.claim_credit(actor=manager, at=AT, claim=second, amount=Decimal(amount), why="Agreed")
    services.claim_credit(actor=manager, at=AT, claim=second, amount=Decimal("1.00"), why="Agreed")


def test_what_has_not_left_is_no_claim(manager: Actor) -> None:
    delivery = orders.planned()
    with pytest.raises(Clash, match="not left the yard"):
        opened(manager, delivery)


def test_what_left_on_the_first_of_two_trucks_is_reported_before_the_second_is_loaded(manager: Actor) -> None:
    order, one, _rest = deliveries.halves()
    bundle = one.bundles.get()
    load = bundle.load
    assert load is not None
    TruckLoad.objects.create(delivery=one, number=2, weight_lb=1)
    load.loaded_at = AT
    load.save(update_fields=["loaded_at"])
    claim = services.claim_open(
        actor=manager, at=AT, order=order, kind="short", words="One is missing",
        bundle=one.bundles.select_related("load").get(), delivery=one,
    )  # fmt: skip
    assert claim.state == "open"
    assert one.loaded_at is None


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"kind": "bent"}, "Say what it is"),
        ({"words": "  "}, "in a few words"),
        ({"words": "x" * 401}, "At most 400"),
        ({"bundle": None}, "not in that bundle"),
    ],
)
def test_what_makes_no_sense_is_refused(manager: Actor, changed: dict[str, object], told: str) -> None:
    delivery = orders.delivered()
    bundle = thing(delivery)
    asked = {
        "kind": "short",
        "words": "Two missing",
        "bundle": bundle,
        "pieces": list(bundle.pieces.all()[:2]),
    }
    with pytest.raises(Refused, match=told):
        services.claim_open(
            actor=manager,
            at=AT,
            order=delivery.order,
            delivery=delivery,
            **(asked | changed),  # type: ignore[arg-type]
        )


def test_marks_name_pieces_that_no_other_claim_has(manager: Actor) -> None:
    delivery = orders.delivered()
    bundle = thing(delivery)
    mark = bundle.pieces.first().mark  # type: ignore[union-attr]
    count = bundle.pieces.filter(mark=mark).count()
    first = pieces_by_mark(bundle, {mark: 1})
    claim = opened(manager, delivery, 0, kind="damaged")
    claim.pieces.set(first)
    if count > 1:
        assert pieces_by_mark(bundle, {mark: 1}) != first
    with pytest.raises(Refused, match=f"holds {count} of {mark}"):
        pieces_by_mark(bundle, {mark: count + 1})


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.ADMINISTRATOR, Role.SELLER])
def test_only_manager_and_dispatcher_decide(manager: Actor, role: Role) -> None:
    claim = opened(manager, orders.delivered())
    actor = people.actor(role)
    with pytest.raises(NotAllowed):
        services.claim_replace(actor=actor, at=AT, claim=claim)
    with pytest.raises(NotAllowed):
        services.claim_reject(actor=actor, at=AT, claim=claim, why="No")
    with pytest.raises(NotAllowed):
        services.claim_credit(
            actor=people.actor(Role.DISPATCHER), at=AT, claim=claim, amount=Decimal(1), why="x"
        )


@pytest.mark.django_db(transaction=True)
def test_two_decisions_at_once_are_one(manager: Actor) -> None:
    claim = opened(manager, orders.delivered())
    gate, refused = Barrier(8), []

    def decide(index: int) -> None:
        gate.wait()
        try:
            if index % 2:
                services.claim_replace(actor=manager, at=AT, claim=claim)
            else:
                services.claim_reject(actor=manager, at=AT, claim=claim, why="No")
        except Clash as error:
            refused.append(str(error))
        finally:
            connections.close_all()

    threads = [Thread(target=decide, args=(index,)) for index in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(refused) == 7
    assert all("already" in words for words in refused)
    assert Piece.objects.filter(replaces__isnull=False).count() in (0, 2)
    assert connection.vendor == "postgresql"
