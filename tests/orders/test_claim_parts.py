"""A claim of which a part is made again and the rest is credited or rejected, by service, page and API (R49)."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from django.urls import reverse

from framing.common.errors import Clash, Refused
from framing.common.models import Role
from orders import services
from orders.claim_reads import claim_get, claims_for_builder
from orders.models import Claim
from orders.waiting import waiting_for
from tests.factories import orders, people, site
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
AT = orders.AT


def opened(count: int = 3) -> Claim:
    """On some pieces of one mark of a delivered bundle; on all of the bundle where `count` is 0."""
    delivery = orders.delivered()
    bundle = delivery.order.bundles.earliest("number")
    claim = services.claim_open(
        actor=people.actor(Role.MANAGER), at=AT, order=delivery.order, kind="damaged", words="Bent by the fork",
        bundle=bundle, pieces=list(bundle.pieces.order_by("position")[:count]), delivery=delivery,
    )  # fmt: skip
    return claim_get(claim.public_id)


def mark_of(claim: Claim) -> str:
    assert claim.bundle is not None
    return claim.bundle.pieces.earliest("position").mark


def test_two_of_three_are_made_again_and_the_third_is_credited() -> None:
    claim, manager = opened(), people.actor(Role.MANAGER)
    named = set(claim.pieces.values_list("pk", flat=True))
    done = services.claim_replace(actor=manager, at=AT, claim=claim, marks={mark_of(claim): 2})
    rest = Claim.objects.get(split_from=claim)
    assert done.replacement is not None
    assert (done.state, done.replacement.pieces.count(), rest.pieces.count()) == ("replacing", 2, 1)
    assert {*done.pieces.values_list("pk", flat=True), *rest.pieces.values_list("pk", flat=True)} == named
    assert (rest.state, rest.kind, rest.words, rest.created_at) == (
        "open",
        "damaged",
        claim.words,
        claim.created_at,
    )
    services.claim_credit(
        actor=manager, at=AT, claim=rest, amount=Decimal("31.50"), why="You cut one on site"
    )
    with pytest.raises(Clash, match=claim.number):
        services.order_close(actor=people.actor(Role.DISPATCHER), at=AT, order=claim.order)
    assert claim.delivery is not None
    told = {row.number: (row.state, row.pieces) for row in claims_for_builder(claim.delivery)}
    mark = mark_of(claim)
    assert told == {claim.number: ("replacing", f"{mark} x 2"), rest.number: ("credited", mark)}


def test_of_a_claim_on_a_whole_bundle_the_rest_is_named_piece_by_piece() -> None:
    claim = opened(0)
    assert claim.bundle is not None
    count = claim.bundle.pieces.count()
    done = services.claim_replace(
        actor=people.actor(Role.DISPATCHER), at=AT, claim=claim, marks={mark_of(claim): 1}
    )
    assert (done.pieces.count(), Claim.objects.get(split_from=claim).pieces.count()) == (1, count - 1)


def test_all_named_is_no_part() -> None:
    claim = opened()
    services.claim_replace(actor=people.actor(Role.DISPATCHER), at=AT, claim=claim, marks={mark_of(claim): 3})
    assert not Claim.objects.filter(split_from=claim).exists()


@pytest.mark.parametrize(("mark", "count"), [("", 4), ("9Z99", 1), ("", 0)])
def test_what_the_claim_does_not_name_is_refused_and_nothing_changes(mark: str, count: int) -> None:
    claim = opened()
    with pytest.raises(Refused, match="can't be made again") as caught:
        services.claim_replace(
            actor=people.actor(Role.DISPATCHER), at=AT, claim=claim, marks={mark or mark_of(claim): count}
        )
    assert caught.value.field == "marks"
    assert Claim.objects.get().state == "open"
    assert Claim.objects.get().pieces.count() == 3


def test_the_page_takes_the_marks_apart_and_leads_from_one_claim_to_the_other() -> None:
    claim, client = opened(), client_of(Role.DISPATCHER)
    page, url = (reverse(f"orders:claim_{name}", args=[claim.public_id]) for name in ("page", "replace"))
    mark = mark_of(claim)
    assert f'value="{mark} x 3"' in client.get(page).content.decode()
    refused = client.post(url, {"replace-marks": f"{mark} x 9", "replace-why": "Soon"})
    assert refused.status_code == 422
    assert f'value="{mark} x 9"' in refused.content.decode(), "what was typed stays"
    shown = client.post(
        url, {"replace-marks": f"{mark} x 2", "replace-why": ""}, follow=True
    ).content.decode()
    rest = Claim.objects.get(split_from=claim)
    there = reverse("orders:claim_page", args=[rest.public_id])
    assert there in shown
    assert page in client.get(there).content.decode()


def test_by_the_api_it_is_the_same() -> None:
    claim, client = opened(), client_of(Role.DISPATCHER)
    url = reverse("api:orders_api:claim_replace", args=[claim.public_id])
    done = client.post(url, json.dumps({"marks": {mark_of(claim): 1}}), "application/json")
    assert done.status_code == 200, done.content
    rest = Claim.objects.get(split_from=claim)
    got = client.get(reverse("api:orders_api:claim_get", args=[rest.public_id])).json()
    assert (got["split_from"], got["state"], got["pieces"][0]["count"]) == (claim.public_id, "open", 2)


def test_an_order_that_a_claim_holds_up_is_not_there_to_close() -> None:
    claim, title = opened(), "Delivered, to close"

    def titles() -> list[str]:
        return [section.title for section in waiting_for(people.user(Role.DISPATCHER), AT)]

    assert title not in titles()
    dispatcher = client_of(Role.DISPATCHER)
    url, close = (
        reverse(f"orders:{name}", args=[claim.order.public_id]) for name in ("order_page", "order_close")
    )
    shown = dispatcher.get(url).content.decode()
    assert reverse("orders:claim_page", args=[claim.public_id]) in shown
    assert "once the open claim has ended" in shown
    assert close not in shown
    services.claim_reject(actor=people.actor(Role.DISPATCHER), at=AT, claim=claim, why="It was straight")
    assert title in titles()
    shown = dispatcher.get(url).content.decode()
    assert "Rejected" in shown
    assert close in shown


def test_the_order_names_the_claim_of_a_bundle_that_is_made_again() -> None:
    claim = opened()
    services.claim_replace(actor=people.actor(Role.DISPATCHER), at=AT, claim=claim)
    shown = (
        client_of(Role.PLANNER)
        .get(reverse("orders:order_page", args=[claim.order.public_id]))
        .content.decode()
    )
    assert "short bundle" not in shown
    assert shown.count(claim.number) >= 2, "at its bundle, and among the claims"


def test_what_was_done_on_site_stands_in_words_in_the_deliverys_history() -> None:
    """Ticks have a page of their own; nothing is called as the program calls it."""
    delivery = orders.loaded()
    builder, (first, *others) = site.builder(delivery), site.things(delivery)
    for thing in others:
        site.act(builder, delivery, "tick", thing)
    site.act(builder, delivery, "damaged", first, words="Bent")
    site.act(builder, delivery, "sign", name="Rae Winter")
    page = client_of(Role.DISPATCHER).get(reverse("orders:delivery_page", args=[delivery.public_id]))
    told = [words for _entry, words in page.context["entries"]]
    assert not [words for words in told if "_" in words]
    assert "signed on site" in told
    assert "reported something damaged" in told
    assert len(told) < len(others) + 2, "no line a tick"
