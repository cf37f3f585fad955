"""The builder's page by link and its batches; staff's page and API of a receipt; languages."""

from __future__ import annotations

import html
import json
import re
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.staticfiles import finders
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import translation

from framing.common.clock import database_now
from framing.common.company import company
from framing.common.documents import RenderedPaper
from framing.common.links import link_make
from framing.common.models import AccessLink, LinkPurpose, Role
from orders.models import Bundle, LinkLanguage, ReceiptAction, ReceiptLine, SitePhoto
from orders.site_plans import floor_places
from orders.site_reads import Thing
from tests.factories import orders, people
from tests.factories.pictures import photo
from tests.factories.site import act, browser, builder, things

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _folder(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path


def at(name: str, link_id: str, *more: object) -> str:
    return reverse(f"orders:{name}", args=[link_id, *more])


def wire(verb: str, thing: Thing | None = None, **more: Any) -> dict[str, Any]:
    return {"id": str(uuid4()), "verb": verb, "code": thing.code if thing else "", **more}


def send(client: Client, link_id: str, acts: Any) -> Any:
    body = json.dumps({"acts": acts})
    return client.post(at("your_acts", link_id), body, content_type="application/json")


def test_the_page_shows_everything_in_order_of_unloading() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    page = client.get(at("your_delivery", link_id)).content.decode()
    for thing in things(delivery):
        assert f'data-code="{thing.code}"' in page
        assert ("Bundle " if isinstance(thing, Bundle) else "Carton C") + str(thing.number) in page
    assert f"{len(things(delivery))} not ticked yet" in page
    assert "tel:" in page
    assert "<script>" not in page
    assert " style=" not in page


def test_a_batch_is_answered_act_by_act_and_counts_once() -> None:
    delivery, other = orders.loaded(), orders.loaded()
    client, link_id = browser(delivery)
    mine = things(delivery)
    acts = [
        wire("tick", mine[0], tapped_at="1999-01-01T00:00:00Z"),
        wire("tick", things(other)[0]),
        wire("dance", mine[1]),
        wire("damaged", mine[1], words="Bent <b>twice</b>"),
        wire("sign", name="Rae"),
    ]
    first = send(client, link_id, acts).json()
    assert [one["outcome"] for one in first["answers"]] == ["done", "refused", "refused", "done", "refused"]
    assert "not of this delivery" in first["answers"][1]["words"]
    assert other.order.number not in json.dumps(first)
    assert first["states"] == {mine[0].code: "received", mine[1].code: "damaged"}
    assert first["delivered"] is False
    again = send(client, link_id, acts).json()
    assert [one["outcome"] for one in again["answers"]] == ["again", "refused", "refused", "again", "refused"]
    assert ReceiptAction.objects.count() == 2
    rest = send(client, link_id, [*(wire("tick", one) for one in mine[2:]), wire("sign", name="Rae")]).json()
    assert {one["outcome"] for one in rest["answers"]} == {"done"}
    assert rest["delivered"] is True
    late = send(client, link_id, [wire("sign", name="Bo")]).json()["answers"][0]
    assert (late["outcome"], "signed for by Rae" in late["words"]) == ("refused", True)
    page = client.get(at("your_delivery", link_id)).content.decode()
    assert "Rae signed on" in page
    assert "Bent &lt;b&gt;twice&lt;/b&gt;" in page


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"", 400),
        (b"[]", 400),
        (b'{"acts": 7}', 400),
        (b'{"acts": [7]}', 400),
        (b'{"acts": [' + b"[" * 5000, 400),
        (json.dumps({"acts": [{}] * 51}).encode(), 413),
        (b" " * 200_001, 413),
    ],
)
def test_what_is_no_batch_changes_nothing(body: bytes, status: int) -> None:
    client, link_id = browser(orders.loaded())
    assert client.post(at("your_acts", link_id), body, content_type="application/json").status_code == status
    assert not ReceiptAction.objects.exists()


@pytest.mark.parametrize(
    "odd",
    [
        {"id": "no number"},
        {"id": None},
        {"verb": 7},
        {"words": "a\x00b"},
        {"marks": [1]},
        {"marks": {"J1": "many"}},
        {"marks": {"J1": 1e400}},
        {"marks": {"a\x00": 1}},
        {"code": {"a": 1}},
    ],
)
def test_an_act_with_odd_parts_is_refused_in_words(odd: dict[str, Any]) -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    sent = {**wire("short", things(delivery)[0]), **odd}
    answer = send(client, link_id, [sent])
    assert answer.status_code == 200
    assert answer.json()["answers"][0]["outcome"] == "refused"
    assert answer.json()["answers"][0]["words"]


def test_without_script_the_same_forms_work() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    first, second, *_ = things(delivery)
    assert isinstance(first, Bundle)
    where = at("your_act", link_id)
    assert client.post(where, {"do": f"tick {first.code} {uuid4()}"}).status_code == 302
    assert client.get(at("your_thing", link_id, second.code)).status_code == 200
    mark = first.pieces.all()[0].mark
    fields = {
        "id": str(uuid4()),
        "photo_id": str(uuid4()),
        "code": first.code,
        "verb": "short",
        "words": "Gone",
    }
    refused = client.post(where, {**fields, f"mark.{mark}": "999"})
    assert refused.status_code == 422
    assert "can&#x27;t be reported" in refused.content.decode()
    assert "Gone" in refused.content.decode(), "nothing typed is lost"
    file = SimpleUploadedFile("bend.jpg", photo())
    done = client.post(where, {**fields, f"mark.{mark}": "1", "file": file}, follow=True)
    assert "Thank you, that is noted." in done.content.decode()
    assert ReceiptLine.objects.get(bundle=first).state == "short"
    assert str(SitePhoto.objects.get().action_id) == fields["id"]
    strange = client.post(where, {"verb": "tick", "id": str(uuid4()), "code": "0" * 12}, follow=True)
    assert "not of this delivery" in strange.content.decode()


def test_a_photo_goes_to_staff_and_to_its_own_link_only() -> None:
    delivery, other = orders.loaded(), orders.loaded()
    client, link_id = browser(delivery)
    stranger, other_id = browser(other)
    fields = {"photo_id": str(uuid4()), "file": SimpleUploadedFile("<script>alert(1)</script>.jpg", photo())}
    assert client.post(at("your_photo_take", link_id), fields).json()["outcome"] == "done"
    row = SitePhoto.objects.get()
    shown = client.get(at("your_photo", link_id, row.public_id))
    assert (shown["Content-Type"], shown["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert shown.content.startswith(b"\xff\xd8\xff")
    assert stranger.get(at("your_photo", other_id, row.public_id)).status_code == 404
    assert stranger.get(at("your_photo", link_id, row.public_id)).status_code == 404
    assert "<script>alert" not in client.get(at("your_delivery", link_id)).content.decode()
    staff = reverse("orders:site_photo", args=[row.public_id])
    assert Client().get(staff).status_code == 302
    assert people.client_of(Role.SELLER).get(staff).content == shown.content
    page = people.client_of(Role.PLANNER).get(reverse("orders:receipt_page", args=[delivery.public_id]))
    assert staff in page.content.decode()
    assert "<script>alert" not in page.content.decode()


def test_a_photo_that_can_not_be_is_answered_in_words() -> None:
    client, link_id = browser(orders.loaded())
    where = at("your_photo_take", link_id)
    for fields in (
        {"photo_id": str(uuid4())},
        {"photo_id": "7", "file": SimpleUploadedFile("a.jpg", photo())},
        {"photo_id": str(uuid4()), "file": SimpleUploadedFile("a.jpg", b"GIF89a")},
        {"photo_id": str(uuid4()), "action_id": "x", "file": SimpleUploadedFile("a.jpg", photo())},
    ):
        answer = client.post(where, fields).json()
        assert answer["outcome"] == "refused"
        assert answer["words"]
    big = SimpleUploadedFile("a.jpg", photo() + bytes(3_000_000))
    assert client.post(where, {"photo_id": str(uuid4()), "file": big}).json()["outcome"] == "done"
    assert Client().post(where, {"file": SimpleUploadedFile("a.jpg", bytes(3_000_000))}).status_code == 413


def test_the_floor_is_shown_with_this_deliverys_bundles() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    (place, *_) = floor_places(delivery)
    drawn = client.get(at("your_where", link_id, 0, place.digest))
    assert drawn["Content-Type"] == "image/svg+xml"
    text = drawn.content.decode()
    for number in place.lots:
        assert f'data-lot="{number}"' in text
    assert client.get(at("your_where", link_id, 0, "0" * 12)).status_code == 404
    assert client.get(at("your_where", link_id, 99, place.digest)).status_code == 404


def test_without_script_the_floor_shows_its_one_bundle() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    bundle = delivery.order.bundles.order_by("number").first()
    assert bundle is not None
    text = client.get(at("your_thing", link_id, bundle.code)).content.decode()
    source = html.unescape(text.partition('<img src="')[2].partition('"')[0])
    assert source.endswith(f"?lot={bundle.number}")
    picture = client.get(source).content.decode()
    assert picture.count(f'data-lot="{bundle.number}" stroke="#0B5C6B"') == 1
    assert picture.count("#0B5C6B") == 1, "no other bundle"
    for odd in ("", "999", '1" onload="x', "\u0661"):
        plain = client.get(source.partition("?")[0], {"lot": odd}).content.decode()
        assert "#0B5C6B" not in plain
        assert "onload" not in plain


def test_a_tag_leads_on_to_where_it_goes() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    carton = delivery.order.cartons.get(title__endswith=": Fasteners")
    page = client.get(
        at("your_tag", link_id), {"code": carton.code}, headers={"accept-language": "es"}
    ).content.decode()
    assert at("your_thing", link_id, carton.code) in page
    assert carton.title.replace("Fasteners", "Tornillería y clavos") in page


def test_the_phone_keeps_the_page_by_a_worker_of_its_own() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    page = at("your_delivery", link_id)
    worker = client.get(at("your_worker", link_id))
    assert worker["Content-Type"].startswith("text/javascript")
    assert at("your_worker", link_id).startswith(page), "it reaches this page and no other"
    script = worker.content.decode()
    facts = json.loads(script[script.index("{") : script.index(";\n")])
    assert facts["page"] == page
    for url in facts["files"]:
        if url.startswith("/static/"):
            assert finders.find(url.removeprefix("/static/")), url
        else:
            assert client.get(url).status_code == 200, url
    facts = client.get(at("your_app", link_id)).json()
    assert (facts["scope"], facts["start_url"], facts["display"]) == (page, page, "standalone")


def test_a_withdrawn_link_opens_none_of_it() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    AccessLink.objects.filter(public_id=link_id).update(withdrawn_at=database_now())
    code = things(delivery)[0].code
    for name, more in (("your_delivery", ()), ("your_thing", (code,)), ("your_worker", ()), ("your_app", ())):
        assert client.get(at(name, link_id, *more)).status_code == 404
    assert send(client, link_id, [wire("tick", things(delivery)[0])]).status_code == 404
    assert client.post(at("your_act", link_id), {"do": f"tick {code} {uuid4()}"}).status_code == 404
    assert not ReceiptAction.objects.exists()


def test_the_page_asks_as_often_with_many_bundles(django_assert_num_queries: Any) -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    url = at("your_delivery", link_id)
    client.get(url)
    with CaptureQueriesContext(connection) as few:
        client.get(url)
    first = delivery.order.bundles.all()[0]
    many = [
        Bundle(order=delivery.order, delivery=first.delivery, load=first.load, number=100 + n, profile=first.profile,
               zone="Zone", length_16=first.length_16, weight_lb=first.weight_lb)
        for n in range(190)
    ]  # fmt: skip
    Bundle.objects.bulk_create(many)
    with django_assert_num_queries(len(few)):
        page = client.get(url)
    assert page.content.decode().count("<li data-code=") >= 190


# --- staff ---


def test_staff_note_what_was_told_by_telephone() -> None:
    delivery = orders.loaded()
    thing = things(delivery)[0]
    dispatcher = people.client_of(Role.DISPATCHER)
    page = reverse("orders:receipt_page", args=[delivery.public_id])
    assert "Told by telephone" in dispatcher.get(page).content.decode()
    where = reverse("orders:receipt_act", args=[delivery.public_id])
    fields = {
        "action_id": str(uuid4()),
        "code": thing.code,
        "verb": "short",
        "words": "Rae called: two are missing",
    }
    for _ in range(2):
        assert dispatcher.post(where, fields).status_code == 302
    assert ReceiptAction.objects.get().words == "Rae called: two are missing"
    assert "Rae called: two are missing" in dispatcher.get(page).content.decode()
    refused = dispatcher.post(where, {**fields, "action_id": str(uuid4()), "verb": "untick"})
    assert refused.status_code == 422
    assert "taken back here" in refused.content.decode()
    assert dispatcher.post(where, {**fields, "code": "0" * 12}).status_code == 422
    photos = reverse("orders:receipt_photo", args=[delivery.public_id])
    sent = {"photo_id": str(uuid4()), "file": SimpleUploadedFile("a.jpg", photo())}
    assert dispatcher.post(photos, sent).status_code == 302
    bad = {"photo_id": str(uuid4()), "file": SimpleUploadedFile("a.jpg", b"GIF89a")}
    assert dispatcher.post(photos, bad).status_code == 422
    assert SitePhoto.objects.get().by is not None


@pytest.mark.parametrize("role", Role.values)
def test_each_role_by_page_and_by_api(role: str) -> None:
    delivery = orders.loaded()
    client = people.client_of(Role(role))
    reads = role != Role.SHOP
    acts = role == Role.DISPATCHER
    page = reverse("orders:receipt_page", args=[delivery.public_id])
    assert client.get(page).status_code == (200 if reads else 403)
    base = f"/api/v1/deliveries/{delivery.public_id}"
    assert client.get(f"{base}/receipt/").status_code == (200 if reads else 403)
    assert client.get(f"{base}/photos/").status_code == (200 if reads else 403)
    body = {"action_id": str(uuid4()), "verb": "tick", "code": things(delivery)[0].code}
    done = client.post(f"{base}/receipt/act/", body, content_type="application/json")
    assert done.status_code == (200 if acts else 403)
    sent = {"photo_id": str(uuid4()), "file": SimpleUploadedFile("a.jpg", photo())}
    assert client.post(f"{base}/photos/take/", sent).status_code == (201 if acts else 403)
    for name in ("receipt_act", "receipt_photo"):
        status = client.post(reverse(f"orders:{name}", args=[delivery.public_id]), {}).status_code
        assert status == (422 if acts else 403)


def test_the_api_tells_the_receipt_and_takes_it() -> None:
    delivery = orders.loaded()
    client = people.client_of(Role.DISPATCHER)
    base = f"/api/v1/deliveries/{delivery.public_id}"
    first, *rest = things(delivery)
    body = {"action_id": str(uuid4()), "verb": "short", "code": first.code, "words": "One", "marks": {}}
    one = client.post(f"{base}/receipt/act/", body, content_type="application/json").json()
    assert (one["verb"], one["bundle"], one["carton"], one["changed"]) == ("short", first.number, None, True)
    again = client.post(f"{base}/receipt/act/", body, content_type="application/json").json()
    assert again == one
    strange = client.post(
        f"{base}/receipt/act/",
        {**body, "action_id": str(uuid4()), "code": "0" * 12},
        content_type="application/json",
    )
    assert (strange.status_code, strange.json()["field"]) == (422, "code")
    for thing in rest:
        tick = {"action_id": str(uuid4()), "verb": "tick", "code": thing.code}
        assert client.post(f"{base}/receipt/act/", tick, content_type="application/json").status_code == 200
    sign = {"action_id": str(uuid4()), "verb": "sign", "name": "Rae Winter"}
    assert client.post(f"{base}/receipt/act/", sign, content_type="application/json").status_code == 200
    told = client.get(f"{base}/receipt/").json()
    assert told["received_by"] == "Rae Winter"
    assert [thing["state"] for load in told["loads"] for thing in load["things"]].count("short") == 1
    assert len(told["acts"]) == len(rest) + 2
    photo_row = client.get(f"{base}/photos/").json()
    assert photo_row == []


# --- languages ---


@pytest.mark.parametrize(
    ("code", "word"), [("fr", "Votre livraison"), ("es", "Su entrega"), ("en", "Your delivery")]
)
def test_the_page_speaks_the_browsers_language_until_another_is_chosen(code: str, word: str) -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    page = at("your_delivery", link_id)
    asked = client.get(page, headers={"accept-language": f"de, {code}-CA;q=0.9, en;q=0.1"})
    assert word in asked.content.decode()
    assert asked["Content-Language"] == code
    assert f'<html lang="{code}">' in asked.content.decode()
    assert client.post(at("your_delivery_language", link_id), {"language": "es"}).status_code == 302
    assert "Su entrega" in client.get(page, headers={"accept-language": code}).content.decode()
    assert client.post(at("your_delivery_language", link_id), {"language": "xx"}).status_code == 422
    assert LinkLanguage.objects.get().code == "es"


def test_the_paper_is_english_whoever_asks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its own words are, so what it takes from rows and sketch must be, too."""
    asked: list[str] = []

    def rendered(_facts: object) -> RenderedPaper:
        asked.append(translation.get_language())
        return RenderedPaper(b"", 1)

    monkeypatch.setattr("orders.manifest_files.manifest_render", rendered)
    client, link_id = browser(orders.planned())
    answer = client.get(at("your_delivery_manifest", link_id), headers={"accept-language": "fr"})
    assert (answer.status_code, asked) == (200, ["en"])


def test_a_cartons_title_is_told_in_it_too() -> None:
    delivery = orders.loaded()
    title = delivery.order.cartons.get(title__endswith=": Fasteners").title
    client, link_id = browser(delivery)
    page = client.get(at("your_delivery", link_id), headers={"accept-language": "fr"}).content.decode()
    assert title.replace("Fasteners", "Fixations") in page
    assert "Fasteners" not in page


def test_refusals_and_the_missing_page_are_told_in_it_too() -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    body = json.dumps({"acts": [wire("tick", None, code="0" * 12)]})
    answer = client.post(
        at("your_acts", link_id), body, content_type="application/json", headers={"accept-language": "fr"}
    )
    assert "livraison" in answer.json()["answers"][0]["words"]
    gone = Client().get("/l/nothing-of-ours/", headers={"accept-language": "fr"})
    assert gone.status_code == 404
    told = gone.content.decode()
    assert "Il n\u2019y a rien ici" in told
    assert f"Appeler {company().name} : {company().phone}" in told
    assert f'href="tel:{company().phone}"' in told
    assert 'href="/"' not in told, "he has no account to sign in with"
    staff = people.client_of(Role.PLANNER).get("/orders/nothing-of-ours/").content.decode()
    assert 'href="/"' in staff


@pytest.mark.parametrize(
    ("code", "big", "late"), [("fr", "octets", "trop longtemps"), ("es", "bytes", "demasiado tiempo")]
)
def test_what_is_refused_before_it_is_read_is_told_in_it_too(code: str, big: str, late: str) -> None:
    delivery = orders.loaded()
    client, link_id = browser(delivery)
    whole = SimpleUploadedFile("IMG.jpg", b"x" * 10_200_000, "image/jpeg")
    heavy = client.post(at("your_photo_take", link_id), {"file": whole}, headers={"accept-language": code})
    assert heavy.status_code == 413
    assert "10\u00a0100\u00a0000" in heavy.content.decode()
    assert big in heavy.content.decode()
    assert "What was sent" not in heavy.content.decode()
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = client.cookies
    stale = strict.post(at("your_act", link_id), {"verb": "sign"}, headers={"accept-language": code})
    assert stale.status_code == 403
    assert late in stale.content.decode()
    assert company().phone in stale.content.decode()


def test_the_orders_link_tells_its_deliveries_in_the_chosen_language() -> None:
    delivery = orders.loaded()
    _link, secret = link_make(
        actor=people.actor(Role.DISPATCHER), purpose=LinkPurpose.ORDER, subject=delivery.order, for_name="Rae",
        expires_at=database_now() + timedelta(days=9), at=database_now(),
    )  # fmt: skip
    client = Client()
    page = client.get(f"/l/{secret}/")["Location"]
    shown = client.get(page).content.decode()
    assert delivery.number in shown
    assert "On its way" in shown
    assert client.post(f"{page}language/", {"language": "es"}).status_code == 302
    shown = client.get(page).content.decode()
    assert "En camino" in shown
    assert "Su pedido" in shown
    assert "Booked" not in shown, "stages too"
    assert "psf live" not in shown
    assert re.search(r">\d+ [a-z]+\.? 20\d\d</time>", shown), "days of stages as one writes them there"


def test_staff_read_english_whatever_their_browser_asks_for() -> None:
    delivery = orders.loaded()
    act(builder(delivery), delivery, "tick", things(delivery)[0])
    page = people.client_of(Role.PLANNER).get(
        reverse("orders:receipt_page", args=[delivery.public_id]), headers={"accept-language": "fr"}
    )
    assert "Received" in page.content.decode()
    assert "Reçu" not in page.content.decode()
