"""The API between booking and release: checklist, day, deposits, drawings; amounts for those who see prices only."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from framing.common.models import Role
from orders.models import DrawingSet, Order
from tests.api.test_orders import Api, api
from tests.factories import orders
from tests.projects import plan_seeds

pytestmark = pytest.mark.django_db


def missing(answer: Any) -> list[str]:
    assert answer.status_code == 200
    return [line["key"] for line in answer.json() if not line["ok"]]


def test_from_the_first_drawings_to_release() -> None:
    order = orders.booked()
    here = f"orders/{order.public_id}/"
    seller, planner = Api(order.owner), api(Role.PLANNER)
    assert missing(planner.get(here + "checklist/")) == ["drawings"]
    body = {"people": [{"name": "Rae Winter", "email": "rae@winter.example"}], "word": "As talked over."}
    assert planner.post(here + "drawings/send/", body).status_code == 400, "no key"
    sent = planner.post(here + "drawings/send/", body, key="a")
    assert (sent.status_code, sent.json()["number"], sent.json()["approved"]) == (201, 1, None)
    assert planner.post(here + "drawings/send/", body, key="a").json()["number"] == 1
    bare = {"approved": False, "name": "Rae Winter", "heard": "call"}
    no = planner.post(here + "drawings/record/", bare)
    assert (no.status_code, no.json()["field"]) == (422, "words")
    assert planner.post(here + "drawings/record/", bare | {"words": "Wider stair"}).status_code == 201
    assert planner.post(here + "approve-drawings/").status_code == 409, "the builder was asked"
    assert planner.post(here + "drawings/record/", bare | {"approved": True}).json()["number"] == 2
    listed = planner.get(here + "drawings/").json()
    assert [(one["number"], one["approved"], one["words"]) for one in listed] == [
        (2, True, ""),
        (1, False, "Wider stair"),
    ]
    assert seller.post(here + "day/", {"deliver_on": "2020-01-02"}).json()["field"] == "deliver_on"
    assert seller.post(here + "day/", {"deliver_on": "2099-01-02"}).json()["deliver_on"] == "2099-01-02"
    assert missing(planner.get(here + "checklist/")) == []
    assert planner.post(here + "release/").json()["stage"] == "released"


def test_a_marked_up_file_comes_by_form_data(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path
    order = orders.booked()
    url = f"/api/v1/orders/{order.public_id}/drawings/record/"
    said = {"approved": "false", "name": "Rae Winter", "heard": "at the counter", "words": "See the mark."}
    client = api(Role.PLANNER).client
    wrong = client.post(url, {**said, "file": SimpleUploadedFile("a.dxf", b"0\nSECTION\n")})
    assert (wrong.status_code, wrong.json()["field"]) == (422, "file")
    picture = plan_seeds.saved(plan_seeds.sketch())
    assert client.post(url, {**said, "file": SimpleUploadedFile("a.png", picture)}).status_code == 201
    assert DrawingSet.objects.get().markup_name == "a.png"


def test_deposits_are_written_down_and_taken_back() -> None:
    order = orders.booked()
    here = f"orders/{order.public_id}/deposits/"
    seller = Api(order.owner)
    body = {"amount": "120.50", "received_on": "2026-01-05", "note": "wire 88"}
    assert seller.post(here + "record/", body).status_code == 400
    made = seller.post(here + "record/", body, key="a").json()
    assert seller.post(here + "record/", body, key="a").json()["id"] == made["id"]
    assert seller.get(here).json()["received"] == "120.50"
    back = f"{here}{made['id']}/take-back/"
    assert seller.post(back, {}).status_code in (400, 422)
    assert seller.post(back, {"why": "bounced"}).json()["why"] == "bounced"
    listed = seller.get(here).json()
    assert (listed["received"], len(listed["deposits"])) == ("0.00", 1)
    elsewhere = orders.booked(order.owner)
    assert (
        seller.post(
            f"orders/{elsewhere.public_id}/deposits/{made['id']}/take-back/", {"why": "x"}
        ).status_code
        == 404
    )


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER])
def test_who_sees_no_prices_sees_no_deposits(role: str) -> None:
    order: Order = orders.booked()
    assert api(role).get(f"orders/{order.public_id}/deposits/").status_code == 403
