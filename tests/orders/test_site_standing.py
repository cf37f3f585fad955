"""What the builder's page says stands and still offers: after the proof, the signature, the days, the closing."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import Any
from uuid import uuid4
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.clock import database_now
from framing.common.links import link_make
from framing.common.models import LinkPurpose, Role
from orders import services
from orders.models import Claim, Delivery, ReceiptAction, TruckLoad
from orders.site_reads import Thing
from tests.factories import loads, orders, people
from tests.factories.site import act, browser, builder, things

pytestmark = pytest.mark.django_db
CODE, SIGN = 'id="site-code"', 'id="site-sign"'


@pytest.fixture(autouse=True)
def _folder(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path


def at(name: str, link_id: str, *more: object) -> str:
    return reverse(f"orders:{name}", args=[link_id, *more])


def shown(client: Client, link_id: str, language: str = "en") -> str:
    return client.get(at("your_delivery", link_id), headers={"accept-language": language}).content.decode()


def proved(words: str = "") -> Delivery:
    """Left on site by the driver a moment ago."""
    delivery = orders.planned()
    loads.taken([delivery])
    dispatcher, now = people.actor(Role.DISPATCHER), database_now()
    services.delivery_load(actor=dispatcher, at=now, delivery=delivery)
    for load in TruckLoad.objects.filter(delivery=delivery).select_related("delivery"):
        services.stop_unload(actor=dispatcher, at=now, load=load, handed_to="Gate keeper", words=words)
    return Delivery.objects.select_related("order").get(pk=delivery.pk)


def send(client: Client, link_id: str, verb: str, thing: Thing | None = None, **more: Any) -> Any:
    sent = {"id": str(uuid4()), "verb": verb, "code": thing.code if thing else "", **more}
    body = json.dumps({"acts": [sent]})
    return client.post(at("your_acts", link_id), body, content_type="application/json").json()


def received_ago(delivery: Delivery, days: int) -> None:
    Delivery.objects.filter(pk=delivery.pk).update(delivered_at=database_now() - timedelta(days=days))


def test_after_the_drivers_proof_the_page_says_so_and_goes_on() -> None:
    delivery = proved("By the gate")
    client, link_id = browser(delivery)
    page = shown(client, link_id)
    for words in (
        "Left with Gate keeper on",
        "by the driver.",
        "By the gate",
        "report what is wrong by",
        "and sign",
    ):
        assert words in page
    assert CODE in page
    assert SIGN in page
    first, *rest = things(delivery)
    told = send(client, link_id, "damaged", first, words="Bent under the strap")
    assert told["answers"][0]["outcome"] == "done"
    before = told["terms"]
    for thing in rest:
        assert send(client, link_id, "tick", thing)["terms"] == before
    signed = send(client, link_id, "sign", name="Rae Winter")
    assert signed["answers"][0]["outcome"] == "done"
    assert signed["terms"] != before, "the page is loaded anew"
    page = shown(client, link_id)
    assert "Rae Winter signed on" in page
    assert "Tap it and report it by" in page
    assert (CODE in page, SIGN in page, "data-reports" in page) == (False, False, True)


def test_after_the_days_reports_are_refused_with_whom_to_call_and_ticking_goes_on() -> None:
    delivery = proved()
    received_ago(delivery, 9)
    client, link_id = browser(delivery)
    page = shown(client, link_id)
    assert "was to be reported by" in page
    assert ("data-reports" in page, CODE in page) == (False, True)
    thing = things(delivery)[0]
    late = send(client, link_id, "damaged", thing, words="Too late")["answers"][0]
    assert late["outcome"] == "refused"
    assert f"Call {delivery.order.owner.name}, 555-0100" in late["words"]
    assert send(client, link_id, "tick", thing)["answers"][0]["outcome"] == "done"
    fields = {"id": str(uuid4()), "photo_id": str(uuid4()), "code": thing.code, "verb": "damaged"}
    answer = client.post(at("your_act", link_id), fields | {"words": "Bent at the end"})
    assert answer.status_code == 409
    assert "Bent at the end" in answer.content.decode(), "what was typed stays in sight"
    assert not Claim.objects.exists()


def test_a_closed_order_keeps_its_page_and_takes_nothing() -> None:
    delivery = proved()
    services.order_close(actor=people.actor(Role.DISPATCHER), at=database_now(), order=delivery.order)
    client, link_id = browser(delivery)
    page = shown(client, link_id)
    assert "The order is closed" in page
    assert (CODE in page, SIGN in page, "data-reports" in page) == (False, False, False)
    refused = send(client, link_id, "sign", name="Rae Winter")["answers"][0]
    assert (refused["outcome"], "is closed" in refused["words"]) == ("refused", True)
    fields = {"id": str(uuid4()), "verb": "sign", "name": "Rae of Winter"}
    answer = client.post(at("your_act", link_id), fields)
    assert answer.status_code == 409
    assert "Rae of Winter" in answer.content.decode()
    assert not ReceiptAction.objects.exists()


def test_without_script_a_refused_signature_keeps_its_name_in_the_field() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    fields = {"id": str(uuid4()), "verb": "sign", "name": "Somebody Else"}
    answer = client.post(at("your_act", link_id), fields)
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "not ticked yet" in page
    assert 'value="Somebody Else"' in page


@pytest.mark.parametrize(("code", "words"), [("fr", "par le chauffeur"), ("es", "por el conductor")])
def test_what_stands_is_said_in_the_readers_language(code: str, words: str) -> None:
    delivery = proved()
    client, link_id = browser(delivery)
    assert words in shown(client, link_id, code)
    received_ago(delivery, 9)
    body = json.dumps(
        {"acts": [{"id": str(uuid4()), "verb": "short", "code": things(delivery)[0].code, "words": "x"}]}
    )
    answer = client.post(
        at("your_acts", link_id), body, content_type="application/json", headers={"accept-language": code}
    )
    said = answer.json()["answers"][0]["words"]
    assert "reported by" not in said
    assert "555-0100" in said


def test_staff_and_the_api_tell_the_proof_from_the_signature() -> None:
    delivery = proved()
    dispatcher = people.client_of(Role.DISPATCHER)
    page = reverse("orders:receipt_page", args=[delivery.public_id])
    receipt = f"/api/v1/deliveries/{delivery.public_id}/receipt/"
    assert "The driver left it with Gate keeper" in dispatcher.get(page).content.decode()
    told = dispatcher.get(receipt).json()
    assert (told["by_driver"], told["signed_by"], told["signed_at"]) == (True, "", None)
    assert told["report_until"]
    rae = builder(delivery)
    for thing in things(delivery):
        act(rae, delivery, "tick", thing)
    act(rae, delivery, "sign", name="Rae Winter")
    told = dispatcher.get(receipt).json()
    assert (told["received_by"], told["signed_by"]) == ("Gate keeper", "Rae Winter")
    text = dispatcher.get(page).content.decode()
    assert "Rae Winter on" in text
    assert "Told by telephone" in text, "staff may still note what was told"


def test_of_an_orders_deliveries_todays_stands_first() -> None:
    order = orders.bundled()
    one, *rest = [bundle.public_id for bundle in order.bundles.order_by("number")]
    today = database_now().astimezone(ZoneInfo(order.revision.quote.project.site.time_zone)).date()
    made = [
        services.delivery_make(
            actor=people.actor(Role.DISPATCHER), at=orders.AT, order=order, planned_for=orders.PLANNED_FOR,
            contact="Rae Winter", bundles=bundles, cartons=[],
        )
        for bundles in ([one], rest)
    ]  # fmt: skip
    for delivery, days in zip(made, (-1, 0), strict=True):
        Delivery.objects.filter(pk=delivery.pk).update(planned_for=today + timedelta(days=days))
    _link, secret = link_make(
        actor=people.actor(Role.DISPATCHER), purpose=LinkPurpose.ORDER, subject=order, for_name="Rae",
        expires_at=database_now() + timedelta(days=9), at=database_now(),
    )  # fmt: skip
    page = Client().get(f"/l/{secret}/", follow=True).content.decode()
    earlier, due = (page.index(delivery.number) for delivery in made)
    assert due < earlier
    assert page.count("<strong>Today</strong>") == 1


def test_whoever_scans_a_tag_without_an_account_is_told_where_its_code_goes() -> None:
    """The same for a code that nobody has: the page tells nothing of what exists."""
    for door in ("/T/P3HW1DWAY768/", "/T/000000000000/"):
        page = Client().get(door, follow=True).content.decode()
        assert f'type this code there: <strong class="fig">{door[3:15]}</strong>' in page
        assert page.count("<p lang=") == 2
    door = reverse("account_login")
    odd = Client().get(door, {"next": "/T/<b>x</b>/"}).content.decode()
    assert "&lt;b&gt;x" in odd
    assert "<b>" not in odd
    plain = Client().get(door, {"next": "/orders/"}).content.decode()
    assert "I forgot my password" in plain
    assert "type this code" not in plain
