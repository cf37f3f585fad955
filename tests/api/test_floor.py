"""The shop floor's operations: a tap's number, what it came to in words, and the list of a line."""

from __future__ import annotations

from uuid import uuid4

import pytest

from framing.common.models import Role
from orders.models import ShopAction
from tests.api.test_orders import api
from tests.factories import orders

pytestmark = pytest.mark.django_db


def test_a_bundle_from_start_to_weight_by_the_api() -> None:
    order = orders.released()
    shop = api(Role.SHOP)
    (first, _) = shop.get("shop-floor/").json()["bundles"]
    assert (first["state"], first["pieces"], first["clock"]) == ("waiting", 9, "")
    here = f"bundles/{first['id']}/"
    number = str(uuid4())
    for _ in range(2):
        started = shop.post(here + "start/", {"action_id": number}).json()
        assert (started["action_id"], started["changed"]) == (number, True)
    assert started["said"] == f"Bundle 1 of {order.number} is started."
    assert ShopAction.objects.count() == 1
    piece = order.bundles.get(number=1).pieces.all()[0]
    there = f"{here}pieces/{piece.code}/"
    assert shop.post(there + "scrap/", {"reason": "other"}).status_code == 422
    assert shop.post(there + "scrap/", {"reason": "bent"}).json()["verb"] == "scrap"
    assert shop.post(here + "finish/").status_code == 409
    assert shop.get("shop-floor/").json()["bundles"][0]["remakes_open"] == 1
    assert shop.post(there + "remade/").json()["changed"]
    heavy = shop.post(here + "weigh/", {"weighed_lb": "2500"}).json()
    assert heavy["tone"] == "care"
    assert "over the lift limit" in heavy["said"]
    assert heavy["weighed_lb"] == "2500.0"
    back = shop.post(here + "undo/", {"undoes": heavy["action_id"]}).json()
    assert (back["changed"], back["weighed_lb"]) == (True, None)
    assert shop.post(here + "finish/", {"action_id": str(uuid4())}).json()["finished_at"]
    assert shop.post(here + "reopen/", {"why": "a joist short"}).json()["bundle"]["finished_at"] is None


def test_scans_and_what_they_refuse() -> None:
    order = orders.released()
    first, second = order.bundles.order_by("number")
    shop = api(Role.SHOP)
    assert shop.post("bundles/scan/", {"code": first.code}).json()["verb"] == "start"
    looked = shop.post("bundles/scan/", {"code": first.pieces.all()[0].code, "hand": first.public_id}).json()
    assert (looked["verb"], looked["changed"], looked["action_id"]) == ("", False, None)
    wrong = shop.post("bundles/scan/", {"code": second.pieces.all()[0].code, "hand": first.public_id})
    assert (wrong.status_code, "belongs to bundle 2" in wrong.json()["detail"]) == (422, True)
    foreign = shop.post("bundles/scan/", {"code": "4006381333931"})
    assert foreign.json()["field"] == "code"


def test_a_tap_of_another_bundle_is_not_taken_back_here() -> None:
    order = orders.released()
    first, second = order.bundles.order_by("number")
    shop = api(Role.SHOP)
    started = shop.post(f"bundles/{first.public_id}/start/").json()
    undo = {"undoes": started["action_id"]}
    assert shop.post(f"bundles/{second.public_id}/undo/", undo).status_code == 404
    assert shop.post(f"bundles/{first.public_id}/undo/", {"undoes": "x"}).status_code == 422


def test_an_unknown_line_is_not_there() -> None:
    assert api(Role.SHOP).get("shop-floor/?line=nowhere").status_code == 404
