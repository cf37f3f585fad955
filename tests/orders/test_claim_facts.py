"""What stands on a claim's page to decide it by, and what the builder reads of it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import translation

from framing.common.models import Role
from orders import services
from orders.claim_facts import credit_room, held_rows, next_step, where_it_goes, worth_by_weight
from orders.claim_reads import claim_get, claims_for_builder
from orders.models import Bundle, Claim, Delivery, Order
from tests.factories import orders, people
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
AT = orders.AT
LATER = date(2027, 3, 4)


def opened(delivery: Delivery, count: int = 2, kind: str = "damaged", words: str = "Bent") -> Claim:
    bundle = delivery.order.bundles.order_by("number").first()
    assert bundle is not None
    claim = services.claim_open(
        actor=people.actor(Role.MANAGER), at=AT, order=delivery.order, kind=kind, words=words, bundle=bundle,
        pieces=list(bundle.pieces.order_by("position")[:count]), delivery=delivery,
    )  # fmt: skip
    return claim_get(claim.public_id)


def replaced(claim: Claim) -> Claim:
    services.claim_replace(actor=people.actor(Role.MANAGER), at=AT, claim=claim)
    return claim_get(claim.public_id)


def step(claim: Claim) -> str:
    found = next_step(claim_get(claim.public_id))
    return f"{found.title} {found.words}" if found else ""


def test_the_rows_are_all_that_the_bundle_holds_with_what_is_claimed() -> None:
    claim = opened(orders.delivered())
    rows = held_rows(claim)
    assert claim.bundle is not None
    assert sum(row.count for row in rows) == claim.bundle.pieces.count()
    assert sum(row.claimed for row in rows) == 2
    named = {piece.mark for piece in claim.pieces.all()}
    assert {row.mark for row in rows if row.claimed} == named
    claim.pieces.clear()
    assert [row.claimed for row in held_rows(claim)] == [row.count for row in rows], "none named: all of it"


def test_a_credit_has_room_up_to_what_was_accepted() -> None:
    delivery = orders.delivered()
    total = delivery.order.revision.total
    assert (credit_room(delivery.order).total, credit_room(delivery.order).left) == (total, total)
    manager = people.actor(Role.MANAGER)
    services.claim_credit(actor=manager, at=AT, claim=opened(delivery), amount=Decimal("12.50"), why="Agreed")
    room = credit_room(delivery.order)
    assert (room.given, room.left) == (Decimal("12.50"), total - Decimal("12.50"))


def test_what_it_is_worth_by_weight_is_its_part_of_the_total() -> None:
    claim = opened(orders.delivered())
    order = claim.order
    pounds = sum((piece.weight_lb for piece in claim.pieces.all()), Decimal(0))
    weights = [
        *order.bundles.values_list("weight_lb", flat=True), *order.cartons.values_list("weight_lb", flat=True)
    ]  # fmt: skip
    worth = (order.revision.total * pounds / sum(weights)).quantize(Decimal("0.01"))
    assert worth_by_weight(claim) == worth > 0
    replaced(claim)
    assert worth_by_weight(claim) == worth, "what was made again weighs nothing here"
    whole = services.claim_open(
        actor=people.actor(Role.MANAGER),
        at=AT,
        order=order,
        kind="other",
        words="Late",
        delivery=claim.delivery,
    )
    assert worth_by_weight(whole) is None


def test_the_claimed_pieces_are_lit_on_their_floor() -> None:
    claim = opened(orders.delivered(), 1)
    (place,) = where_it_goes(claim)
    piece = claim.pieces.get()
    assert place.title == piece.floor
    assert place.svg.count("data-lot=") == 1
    assert where_it_goes(claim) == [place], "kept"
    claim.pieces.set(claim.bundle.pieces.all()[:3])  # type: ignore[union-attr]
    assert where_it_goes(claim)[0].svg != place.svg


def test_what_comes_next_is_told_at_each_step() -> None:
    delivery = orders.delivered()
    claim = opened(delivery)
    assert step(claim).startswith("To decide.")
    claim = replaced(claim)
    made, shop = claim.replacement, people.actor(Role.SHOP)
    assert made is not None
    dispatcher = people.actor(Role.DISPATCHER)
    assert "waits in the shop to be rolled" in step(claim)
    services.bundle_start(actor=shop, at=AT, bundle=made)
    assert "is being rolled" in step(claim)
    services.bundle_finish(actor=shop, at=AT, bundle=made)
    found = next_step(claim_get(claim.public_id))
    assert found is not None
    assert found.url == reverse("orders:delivery_new", args=[delivery.order.public_id])
    assert found.act == ("delivery", "make")
    second = services.delivery_make(
        actor=dispatcher, at=AT, order=orders.fresh(delivery.order), planned_for=LATER, contact="Rae",
        bundles=[made.public_id], cartons=[],
    )  # fmt: skip
    assert step(claim).endswith(f"Bundle {made.number} goes with delivery {second.number} on Mar 4.")
    services.delivery_load(actor=dispatcher, at=AT, delivery=second)
    assert "is on its way" in step(claim)
    services.delivery_deliver(actor=dispatcher, at=AT, delivery=second, received_by="Rae")
    assert step(claim) == ""


def test_a_planned_delivery_waits_for_what_is_still_to_roll() -> None:
    delivery = orders.delivered()
    claim = replaced(opened(delivery))
    Bundle.objects.filter(replaces_claim=claim).update(delivery=delivery)
    Delivery.objects.filter(pk=delivery.pk).update(delivered_at=None, received_by="", loaded_at=None)
    assert "is still to roll; delivery" in step(claim)
    Order.objects.filter(pk=claim.order_id).update(stage="held", held_from="delivered")
    assert step(claim).startswith("On hold.")


def test_the_page_shows_each_role_what_it_may_decide() -> None:
    claim = opened(orders.delivered())
    url = reverse("orders:claim_page", args=[claim.public_id])
    shown = {
        role: client_of(role).get(url).content.decode() for role in (Role.MANAGER, Role.DISPATCHER, Role.SHOP)
    }
    for role, text in shown.items():
        assert ("Credit it" in text) == (role == Role.MANAGER), role
        assert ("Make it again" in text) == (role != Role.SHOP), role
        assert "be closed until this claim has ended" in text
        assert "2 of its" in text
        assert "dw-lots" in text
    assert "A dispatcher or a sales manager decides." in shown[Role.SHOP]
    assert f"${claim.order.revision.total:,.2f}" in shown[Role.MANAGER]


def test_the_builder_reads_what_comes_of_it_in_his_language() -> None:
    delivery = orders.delivered()
    claim = opened(delivery, words="Damaged on site")
    (told,) = claims_for_builder(delivery)
    assert (told.kind, told.words, told.thing) == ("Damaged", "", "bundle 1")
    assert told.next == "We look at it and tell you here what comes of it."
    claim = replaced(claim)
    made = claim.replacement
    assert made is not None
    assert "which delivery brings it is not settled yet" in claims_for_builder(delivery)[0].next
    shop, dispatcher = people.actor(Role.SHOP), people.actor(Role.DISPATCHER)
    services.bundle_start(actor=shop, at=AT, bundle=made)
    services.bundle_finish(actor=shop, at=AT, bundle=made)
    second = services.delivery_make(
        actor=dispatcher, at=AT, order=orders.fresh(delivery.order), planned_for=LATER, contact="Rae",
        bundles=[made.public_id], cartons=[],
    )  # fmt: skip
    with translation.override("fr"):
        (told,) = claims_for_builder(delivery)
        assert told.thing == "paquet 1"
        assert told.next == f"Cela vient avec la livraison {second.number}, prévue le 4 mars 2027."
    with translation.override("es"):
        (told,) = claims_for_builder(second)
        assert told.next == "Llega con esta entrega."


def test_why_the_shop_was_asked_stays_inside_and_a_refusal_is_told() -> None:
    delivery = orders.delivered()
    manager = people.actor(Role.MANAGER)
    services.claim_replace(actor=manager, at=AT, claim=opened(delivery), why="Before Sam goes on holiday")
    assert claims_for_builder(delivery)[0].why == ""
    other = opened(delivery, kind="wrong")
    services.claim_reject(actor=manager, at=AT, claim=other, why="As drawn")
    told = claims_for_builder(delivery)[0]
    assert (told.state, told.why) == ("rejected", "As drawn")
