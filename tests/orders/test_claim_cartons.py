"""A claim on a carton, by page and API: packed again whole or in part, and brought to the site like a bundle (R49)."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from django.urls import reverse

from framing.common.errors import Clash, Refused
from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from orders import services
from orders.claim_facts import FROM_STOCK, Step
from orders.claim_facts import next_step as next_step_of
from orders.claim_reads import claim_get, claims_to_deliver
from orders.models import Carton, Claim, Delivery, Order
from orders.papers.codes import read_code
from orders.selectors import accepted_package
from orders.waiting import waiting_for
from tests.factories import orders, people
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
AT = orders.AT
PACK = "Cartons to pack again"


def screws(order: Order) -> Carton:
    """The carton that holds the most kinds of things."""
    return max(order.cartons.all(), key=lambda carton: len(carton.contents))


def short(delivery: Delivery) -> Claim:
    return services.claim_open(
        actor=people.actor(Role.DISPATCHER), at=AT, order=delivery.order, kind="short",
        words="A box is short", carton=screws(delivery.order), delivery=delivery,
    )  # fmt: skip


def next_step(claim: Claim) -> Step:
    found = next_step_of(claim)
    assert found is not None
    return found


def again(claim: Claim, contents: Any = ()) -> Carton:
    done = services.claim_replace(actor=people.actor(Role.DISPATCHER), at=AT, claim=claim, contents=contents)
    assert done.replacement_carton is not None
    return done.replacement_carton


def test_a_whole_carton_is_packed_again() -> None:
    claim = short(orders.delivered())
    made = again(claim)
    assert claim.carton is not None
    assert (made.contents, made.weight_lb) == (claim.carton.contents, claim.carton.weight_lb)
    assert made.number == claim.order.cartons.count()
    assert claim.number in made.title


def test_of_a_carton_goes_again_what_is_named_with_its_weight() -> None:
    claim = short(orders.delivered())
    assert claim.carton is not None
    what, _, unit = claim.carton.contents[0]
    made = again(claim, [[what, 1, unit]])
    assert made.contents == [[what, 1, unit]]
    lines = [line for floor in accepted_package(claim.order).floors for line in floor.bill]
    line = next(line for line in lines if (line.description, line.sold_by) == (what, unit))
    by_hand = Decimal(repr(line.weight_lb)) / line.bought
    assert made.weight_lb == max(Decimal("0.1"), by_hand.quantize(Decimal("0.1")))
    assert made.weight_lb < claim.carton.weight_lb


def test_what_has_no_known_weight_counts_as_the_whole() -> None:
    claim = short(orders.delivered())
    assert claim.carton is not None
    Carton.objects.filter(pk=claim.carton.pk).update(
        contents=[["Odd thing", 2, "piece"], ["Other", 1, "box"]]
    )
    assert again(Claim.objects.get(), [["Odd thing", 1, "piece"]]).weight_lb == claim.carton.weight_lb


@pytest.mark.parametrize("how", ["too many", "strange", "nothing", "less than nothing"])
def test_what_the_carton_does_not_hold_is_refused(how: str) -> None:
    claim = short(orders.delivered())
    assert claim.carton is not None
    what, held, unit = claim.carton.contents[0]
    asked, told = {
        "too many": ([[what, held + 1, unit]], f"holds {held} of"),
        "strange": ([["Gold nail", 1, "box"]], "“Gold nail” is not in carton"),
        "nothing": ([[what, 0, unit]], "Say how many"),
        "less than nothing": ([[what, -1, unit]], "can't be packed again"),
    }[how]
    with pytest.raises(Refused, match=told):
        again(claim, asked)
    assert Claim.objects.get().state == "open"
    assert not Carton.objects.filter(number__gt=screws(claim.order).order.cartons.count()).exists()


def test_a_bundle_is_not_packed_in_part() -> None:
    delivery = orders.delivered()
    claim = services.claim_open(
        actor=people.actor(Role.DISPATCHER), at=AT, order=delivery.order, kind="short", words="Two",
        bundle=delivery.order.bundles.first(), delivery=delivery,
    )  # fmt: skip
    with pytest.raises(Refused, match="Only a carton"):
        again(claim, [["Screw", 1, "box"]])


def test_the_page_asks_how_many_of_which_and_packs_them() -> None:
    delivery, client = orders.delivered(), client_of(Role.DISPATCHER)
    carton = screws(delivery.order)
    page = client.get(reverse("orders:claim_new", args=[delivery.public_id])).content.decode()
    assert f"carton-{carton.number}" in page
    typed = {"thing": f"carton-{carton.number}", "kind": "short", "marks": "", "words": "One box is short"}
    client.post(reverse("orders:claim_new", args=[delivery.public_id]), typed)
    claim = Claim.objects.get()
    assert (claim.carton, claim.bundle) == (carton, None)
    url = reverse("orders:claim_replace", args=[claim.public_id])
    what, held, unit = carton.contents[0]
    too_many = {"replace-why": "For the stairs", "replace-line_0": str(held + 5)}
    refused = client.post(url, too_many)
    assert refused.status_code == 422
    assert "For the stairs" in refused.content.decode()
    assert f'value="{held + 5}"' in refused.content.decode(), "what was typed stays"
    assert client.post(url, {"replace-line_0": "0"}).status_code == 422
    client.post(url, {"replace-line_0": "1", "replace-why": ""})
    claim.refresh_from_db()
    assert claim.replacement_carton is not None
    assert claim.replacement_carton.contents == [[what, 1, unit]]


def test_by_the_api_it_is_the_same() -> None:
    delivery, client = orders.delivered(), client_of(Role.DISPATCHER)
    carton = screws(delivery.order)
    opened = client.post(
        reverse("api:orders_api:claim_open", args=[delivery.public_id]),
        {"kind": "short", "words": "One box is short", "carton": carton.number}, "application/json",
    )  # fmt: skip
    assert opened.status_code == 201, opened.content
    url = reverse("api:orders_api:claim_replace", args=[opened.json()["id"]])
    what, held, unit = carton.contents[0]
    line = {"what": what, "count": held + 1, "unit": unit}
    refused = client.post(url, json.dumps({"contents": [line]}), "application/json")
    assert refused.status_code == 422, refused.content
    told = client.post(url, json.dumps({"contents": [{**line, "count": 1}]}), "application/json").json()
    assert told["replacement_carton"] == delivery.order.cartons.count()
    assert Carton.objects.get(order=delivery.order, number=told["replacement_carton"]).contents == [
        [what, 1, unit]
    ]


def waits(role: Role, title: str) -> list[str]:
    """What stands under a heading of somebody's Today."""
    sections = waiting_for(people.user(role), AT)
    return [row.words for section in sections if section.title == title for row in section.rows]


def test_the_shop_is_told_to_pack_it_until_it_is_on_a_truck() -> None:
    """As with all cartons nobody ticks that it is packed; that it went on the truck is what counts."""
    delivery = orders.delivered()
    assert not waits(Role.SHOP, PACK)
    claim = short(delivery)
    assert claim.carton is not None
    what, _, unit = claim.carton.contents[0]
    made = again(claim, [[what, 1, unit]])
    assert next_step(claim_get(claim.public_id)).words == (
        f"Carton {made.number} is on no delivery yet. {FROM_STOCK}"
    )
    (told,) = waits(Role.SHOP, PACK)
    assert f"carton {made.number}" in told
    assert what in told
    assert waits(Role.DISPATCHER, "To go again, on no delivery") == [
        f"{claim.number}  {claim.order.number}, carton {made.number} is packed from stock"
    ]
    order, actor = orders.fresh(claim.order), people.actor(Role.DISPATCHER)
    second = services.delivery_make(
        actor=actor, at=AT, order=order, planned_for=orders.PLANNED_FOR, contact="Rae", bundles=[],
        cartons=[made.number],
    )  # fmt: skip
    assert len(waits(Role.SHOP, PACK)) == 1, "planned is not packed"
    assert FROM_STOCK in next_step(claim_get(claim.public_id)).words
    services.delivery_load(actor=actor, at=AT, delivery=second)
    assert not waits(Role.SHOP, PACK)
    assert FROM_STOCK not in next_step(claim_get(claim.public_id)).words


@pytest.mark.parametrize("of", ["carton", "bundle"])
def test_its_own_tag_or_label_is_made_at_once(of: str) -> None:
    """One label with the code of what goes again; the order's other tags stay as they were."""
    delivery, shop = orders.delivered(), client_of(Role.SHOP)
    if of == "carton":
        claim = short(delivery)
    else:
        claim = services.claim_open(
            actor=people.actor(Role.DISPATCHER), at=AT, order=delivery.order, kind="short", words="Two",
            bundle=delivery.order.bundles.first(), delivery=delivery,
        )  # fmt: skip
    url, page = (reverse(f"orders:claim_{name}", args=[claim.public_id]) for name in ("label", "page"))
    services.claim_replace(actor=people.actor(Role.DISPATCHER), at=AT, claim=claim)
    assert shop.get(url).status_code == 404
    assert url not in shop.get(page).content.decode()
    outbox_run(OutboxEntry.objects.get(kind="again_label").pk)
    answer = shop.get(url)
    assert answer["Content-Type"] == "application/pdf"
    claim = claim_get(claim.public_id)
    made = claim.replacement or claim.replacement_carton
    assert made is not None
    paper = pypdfium2.PdfDocument(b"".join(answer))
    (seen,) = zxingcpp.read_barcodes(paper[0].render(scale=200 / 72).to_pil().convert("L"))
    assert (len(paper), read_code(seen.text)) == (1, made.code)
    shown = shop.get(page).content.decode()
    assert url in shown
    assert ("Its label" in shown, "Its tag" in shown) == (of == "carton", of == "bundle")
    seller = client_of(Role.SELLER)
    assert url not in seller.get(page).content.decode()
    assert seller.get(url).status_code == 403


def test_it_goes_on_a_delivery_like_a_bundle_and_the_claim_ends_there() -> None:
    delivery = orders.delivered()
    claim, dispatcher = short(delivery), people.user(Role.DISPATCHER)
    made = again(claim)
    assert list(claims_to_deliver()) == [claim]
    title = "To go again, on no delivery"
    assert title in [section.title for section in waiting_for(dispatcher, AT)]
    order, actor = orders.fresh(claim.order), people.actor(Role.DISPATCHER)
    second = services.delivery_make(
        actor=actor, at=AT, order=order, planned_for=orders.PLANNED_FOR, contact="Rae", bundles=[],
        cartons=[made.number],
    )  # fmt: skip
    assert not claims_to_deliver().exists()
    assert list(second.loads.get().cartons.all()) == [made]
    services.delivery_load(actor=actor, at=AT, delivery=second)
    with pytest.raises(Clash, match=claim.number):
        services.order_close(actor=actor, at=AT, order=order)
    services.delivery_deliver(actor=actor, at=AT, delivery=second, received_by="Rae")
    claim.refresh_from_db()
    assert (claim.state, claim.ended_at) == ("replaced", AT)
    assert orders.fresh(order).stage == "delivered", "what replaces something leaves the stage"
    assert services.order_close(actor=actor, at=AT, order=orders.fresh(order)).stage == "closed"
