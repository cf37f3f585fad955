"""Edges of claims: what a change dropped, reports that come twice, what the shop sees of a replacement (R45, R49)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.utils import translation

from framing.common.errors import Clash, Refused
from framing.common.models import OutboxEntry, Role
from orders import services
from orders.claim_reads import claim_photos, claim_reports
from orders.models import Bundle, ChangeOrder, Claim, Delivery, Order, Piece
from orders.services.claim_ends import claims_replaced
from orders.services.claims import claim_from_receipt, pieces_by_mark
from orders.shop_scope import for_the_shop, is_again, stages_for, still_wanted
from orders.states import OrderStage
from tests.factories import changes, deliveries, orders, people, site

pytestmark = pytest.mark.django_db
AT = orders.AT


def opened(delivery: Delivery, count: int = 0, kind: str = "short") -> Claim:
    """On the first bundle, or so many of its pieces."""
    bundle = delivery.order.bundles.order_by("number").first()
    assert bundle is not None
    return services.claim_open(
        actor=people.actor(Role.MANAGER), at=AT, order=delivery.order, kind=kind, words="Missing", bundle=bundle,
        pieces=list(bundle.pieces.order_by("position")[:count]), delivery=delivery,
    )  # fmt: skip


def replaced(claim: Claim) -> Bundle:
    made = services.claim_replace(actor=people.actor(Role.MANAGER), at=AT, claim=claim).replacement
    assert made is not None
    return made


def changed_and_delivered() -> tuple[Delivery, ChangeOrder]:
    """A delivered order that a change made smaller before it was released."""
    change = changes.applied(changes.asked(orders.approved()))
    planner, shop = people.actor(Role.PLANNER), people.actor(Role.SHOP)
    order = services.drawings_approve(actor=planner, at=AT, order=orders.fresh(change.order))
    order = services.order_release(actor=planner, at=AT, order=order)
    order = services.order_bundle(
        actor=shop, at=AT, order=services.order_roll(actor=shop, at=AT, order=order)
    )
    delivery, dispatcher = deliveries.made(order), deliveries.dispatcher()
    services.delivery_load(actor=dispatcher, at=AT, delivery=delivery)
    return services.delivery_deliver(actor=dispatcher, at=AT, delivery=delivery, received_by="Rae"), change


def test_what_a_change_dropped_is_neither_reported_nor_made_again() -> None:
    delivery, change = changed_and_delivered()
    bundle = delivery.order.bundles.order_by("number")[0]
    dropped = bundle.pieces.order_by("position")[0]
    Piece.objects.filter(pk=dropped.pk).update(dropped_by=change)
    count = bundle.pieces.filter(mark=dropped.mark, dropped_by=None).count()
    with pytest.raises(Refused, match=f"holds {count} of {dropped.mark}"):
        pieces_by_mark(bundle, {dropped.mark: count + 1})
    made = replaced(opened(delivery))
    assert made.pieces.count() == bundle.pieces.count() - 1
    assert not made.pieces.filter(replaces=dropped).exists()
    bundle.pieces.update(dropped_by=change)
    assert not Bundle.objects.filter(still_wanted(), pk=bundle.pk).exists()
    assert Bundle.objects.filter(still_wanted(), pk=made.pk).exists()
    with pytest.raises(Refused, match="no piece that can be made again"):
        replaced(opened(delivery, kind="damaged"))


def test_a_claim_on_the_whole_bundle_stays_one_when_a_piece_is_reported_too() -> None:
    delivery = orders.delivered()
    claim = opened(delivery)
    assert opened(delivery, 2) == claim
    assert not claim.pieces.exists(), "no narrower than it was"


def test_the_longest_lies_at_the_bottom_and_a_tag_is_asked_for() -> None:
    delivery = orders.delivered()
    claim = opened(delivery)
    assert claim.bundle is not None
    first = claim.bundle.pieces.order_by("-position")[0]
    Piece.objects.filter(pk=first.pk).update(length_16=first.length_16 + 160)
    made = replaced(claim)
    lengths = list(made.pieces.order_by("position").values_list("length_16", flat=True))
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[0] > lengths[1]
    assert OutboxEntry.objects.get(kind="again_label").payload == {"claim": claim.pk}


def test_an_order_that_was_settled_by_then_decides_nothing() -> None:
    claim = opened(orders.delivered())
    Order.objects.filter(pk=claim.order_id).update(stage=OrderStage.CANCELLED)
    with pytest.raises(Clash, match="its claims are settled"):
        replaced(claim)


def test_a_report_has_one_claim_also_after_it_was_decided() -> None:
    delivery = orders.loaded()
    bundle = site.things(delivery)[0]
    action = site.act(site.builder(delivery), delivery, "short", bundle, words="One is missing")
    claim = Claim.objects.get()
    services.claim_reject(
        actor=people.actor(Role.MANAGER), at=AT, claim=claim, why="It was in the second lift"
    )
    assert claim_from_receipt(action) == claim
    assert Claim.objects.count() == 1


def test_marks_that_are_reported_in_turn_name_different_pieces() -> None:
    delivery = orders.delivered()
    bundle = delivery.order.bundles.order_by("number")[0]
    mark = bundle.pieces.order_by("position")[0].mark
    assert bundle.pieces.filter(mark=mark).count() > 1
    first = pieces_by_mark(bundle, {mark: 1})
    claim = opened(delivery, kind="damaged")
    claim.pieces.set(first)
    assert set(pieces_by_mark(bundle, {mark: 1})).isdisjoint(first)


def test_a_claim_on_the_whole_delivery_shows_nothing_of_single_things() -> None:
    delivery = orders.loaded()
    site.act(site.builder(delivery), delivery, "short", site.things(delivery)[0], words="One is missing")
    claim = services.claim_open(
        actor=people.actor(Role.MANAGER), at=AT, order=delivery.order, kind="other", words="Late",
        delivery=delivery,
    )  # fmt: skip
    assert not claim_reports(claim).exists()
    assert not claim_photos(claim).exists()


@pytest.fixture
def french() -> Iterator[None]:
    with translation.override("fr"):
        yield


@pytest.mark.usefixtures("french")
def test_a_builder_reads_in_his_language_why_a_report_is_refused() -> None:
    delivery = orders.loaded()
    bundle = site.things(delivery)[0]
    with pytest.raises(Refused, match="Le paquet 1 contient 0") as refused:
        site.act(site.builder(delivery), delivery, "short", bundle, marks={"9Z9": 1})
    assert refused.value.field == "marks"
    with pytest.raises(Clash, match="pas encore quitté notre cour"):
        opened(orders.planned())


# --- what the shop sees ---


def seen(bundle: Bundle) -> bool:
    return Bundle.objects.filter(for_the_shop((OrderStage.ROLLING,)), pk=bundle.pk).exists()


def test_a_replacement_is_for_the_shop_until_it_is_received() -> None:
    delivery = orders.delivered()
    first = delivery.order.bundles.order_by("number")[0]
    made = replaced(opened(delivery, 1))
    assert (seen(made), seen(first)) == (True, False), "the order itself is delivered"
    assert (is_again(made), is_again(first), is_again(Bundle())) == (True, False, False)
    Bundle.objects.filter(pk=made.pk).update(delivery=delivery)
    claims_replaced(actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery)
    assert not seen(made)


def test_nothing_is_made_again_while_the_order_is_held() -> None:
    made = replaced(opened(orders.delivered(), 1))
    Order.objects.filter(pk=made.order_id).update(stage=OrderStage.HELD, held_from=OrderStage.ROLLING)
    assert not seen(made)
    assert OrderStage.HELD not in stages_for(made, (OrderStage.ROLLING,))
    with pytest.raises(Clash):
        services.bundle_start(actor=people.actor(Role.SHOP), at=AT, bundle=Bundle.objects.get(pk=made.pk))


def test_a_replacement_may_be_rolled_at_each_stage_from_release_to_receipt() -> None:
    made = replaced(opened(orders.delivered(), 1))
    first = made.order.bundles.order_by("number")[0]
    assert set(stages_for(made, (OrderStage.ROLLING,))) == {
        OrderStage.RELEASED, OrderStage.ROLLING, OrderStage.BUNDLED, OrderStage.LOADED, OrderStage.DELIVERED,
    }  # fmt: skip
    assert list(stages_for(first, (OrderStage.ROLLING,))) == [OrderStage.ROLLING]
