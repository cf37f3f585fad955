"""Claims on pages and by the API: the same verbs, the same words."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.models import Role
from orders import services
from orders.claim_forms import marks_typed
from orders.models import Claim, Delivery
from tests.factories import orders, people

pytestmark = pytest.mark.django_db
AT = orders.AT


def signed_in(role: Role) -> Client:
    client = Client()
    client.force_login(people.user(role))
    return client


def opened(delivery: Delivery, kind: str = "short") -> Claim:
    return services.claim_open(
        actor=people.actor(Role.MANAGER), at=AT, order=delivery.order, kind=kind, words="Two are missing",
        bundle=delivery.order.bundles.first(), delivery=delivery,
    )  # fmt: skip


def test_a_claim_is_opened_from_the_delivery_and_made_again() -> None:
    delivery, client = orders.delivered(), signed_in(Role.DISPATCHER)
    page = client.get(reverse("orders:delivery_page", args=[delivery.public_id]))
    new = reverse("orders:claim_new", args=[delivery.public_id])
    assert new in page.content.decode()
    bundle = delivery.order.bundles.order_by("number").first()
    assert bundle is not None
    piece = bundle.pieces.first()
    assert piece is not None
    typed = {
        "thing": f"bundle-{bundle.public_id}",
        "kind": "damaged",
        "marks": piece.mark,
        "words": "Bent flange",
    }
    answer = client.post(new, typed, follow=True)
    claim = Claim.objects.get()
    assert answer.redirect_chain[-1][0] == reverse("orders:claim_page", args=[claim.public_id])
    assert [row.mark for row in claim.pieces.all()] == [piece.mark]
    answer = client.post(
        reverse("orders:claim_replace", args=[claim.public_id]), {"replace-why": ""}, follow=True
    )
    claim.refresh_from_db()
    assert claim.replacement is not None
    assert f"Bundle {claim.replacement.number} waits in the shop" in answer.content.decode()


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"marks": "9Z99"}, "holds 0 of 9Z99"),
        ({"marks": "2J07 x"}, "is no mark with a count"),
        ({"words": ""}, "This field is required"),
        ({"thing": "whole", "marks": "2J07"}, "Marks are of a bundle"),
    ],
)
def test_what_is_refused_stands_at_its_field_with_what_was_typed(typed: dict[str, str], told: str) -> None:
    delivery, client = orders.delivered(), signed_in(Role.MANAGER)
    bundle = delivery.order.bundles.first()
    assert bundle is not None
    full = {"thing": f"bundle-{bundle.public_id}", "kind": "short", "marks": "", "words": "Bent by the crane"}
    answer = client.post(reverse("orders:claim_new", args=[delivery.public_id]), full | typed)
    assert answer.status_code == 422
    assert told in answer.content.decode()
    assert (full | typed)["marks"] in answer.content.decode()
    assert not Claim.objects.exists()


def test_marks_are_read_as_people_write_them() -> None:
    assert marks_typed("2J07 x 3, 2j08,2J07") == {"2J07": 4, "2J08": 1}
    assert marks_typed("1B02 2") == {"1B02": 2}
    assert marks_typed(" ") == {}


def test_by_the_api_it_is_the_same() -> None:
    delivery, client = orders.delivered(), signed_in(Role.MANAGER)
    bundle = delivery.order.bundles.first()
    assert bundle is not None
    url = reverse("api:orders_api:claim_open", args=[delivery.public_id])
    answer = client.post(
        url, {"kind": "short", "words": "All of it", "bundle": bundle.public_id}, "application/json"
    )
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["state"], told["bundle"], told["pieces"]) == ("open", bundle.public_id, [])
    credit = reverse("api:orders_api:claim_credit", args=[told["id"]])
    refused = client.post(credit, {"amount": "0.00", "why": "x"}, "application/json")
    assert refused.status_code == 422
    done = client.post(credit, {"amount": "10.00", "why": "Agreed by phone"}, "application/json")
    assert (done.json()["state"], done.json()["credit"]) == ("credited", "10.00")
    again = client.post(
        reverse("api:orders_api:claim_reject", args=[told["id"]]), {"why": "No"}, "application/json"
    )
    assert again.status_code == 409
    rows = client.get(reverse("api:orders_api:claim_list"), {"state": "credited"}).json()
    assert [row["number"] for row in rows["claims"]] == [told["number"]]
    assert client.get(reverse("api:orders_api:claim_list"), {"state": "lost"}).status_code == 422


def test_a_strange_bundle_is_not_there() -> None:
    delivery, other = orders.delivered(), orders.bundled()
    strange = other.bundles.first()
    assert strange is not None
    url = reverse("api:orders_api:claim_open", args=[delivery.public_id])
    body: dict[str, Any] = {"kind": "short", "words": "x", "bundle": strange.public_id}
    assert signed_in(Role.MANAGER).post(url, body, "application/json").status_code == 404


def test_the_list_asks_as_often_for_many_as_for_few() -> None:
    delivery, client = orders.delivered(), signed_in(Role.DISPATCHER)
    url = reverse("orders:claim_list")

    def asked() -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert client.get(url).status_code == 200
        return len(queries)

    opened(delivery)
    asked()
    few = asked()
    for kind in ("damaged", "wrong", "other"):
        opened(delivery, kind)
    assert asked() == few
    text = client.get(url).content.decode()
    assert "C-" in text
    rows = b"".join(client.get(reverse("orders:claim_file", args=["csv"])).streaming_content).decode()  # type: ignore[attr-defined]
    assert rows.count("C-") == 4
