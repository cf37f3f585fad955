"""The orders' API: the way from booking to closing, one order for repeated posts, no price anywhere."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client

from framing.common.access import may
from framing.common.models import Role, User
from orders.models import Order
from tests.common.routes import all_routes
from tests.factories import orders, people, quotes

pytestmark = pytest.mark.django_db
ROUTES = [route for route in all_routes() if route.name.startswith("api:orders_api:")]


class Api:
    """A signed-in caller that speaks JSON."""

    def __init__(self, user: User) -> None:
        self.client = Client()
        self.client.force_login(user)

    def get(self, path: str) -> Any:
        return self.client.get(f"/api/v1/{path}")

    def post(self, path: str, body: object = None, key: str = "") -> Any:
        headers = {"Idempotency-Key": key} if key else {}
        return self.client.post(
            f"/api/v1/{path}", json.dumps(body or {}), content_type="application/json", headers=headers
        )


def api(role: str) -> Api:
    return Api(people.user(role))


def test_from_booking_to_closing() -> None:
    quote = quotes.accepted().quote
    made = api(Role.MANAGER).post("orders/book/", {"quote": quote.public_id}, key="k1")
    assert made.status_code == 201
    here = f"orders/{made.json()['id']}/"
    planner, shop, dispatcher = api(Role.PLANNER), api(Role.SHOP), api(Role.DISPATCHER)
    assert planner.post(here + "release/").status_code == 422
    assert planner.post(here + "approve-drawings/").json()["drawings_approved_by"]
    released = planner.post(here + "release/").json()
    assert (released["stage"], len(released["bundles"])) == ("released", 2)
    assert shop.post(here + "roll/").json()["stage"] == "rolling"
    for bundle in shop.get(here + "bundles/").json():
        finished = shop.post(f"bundles/{bundle['id']}/finish/")
        assert finished.json()["finished_at"]
        assert len(shop.get(f"bundles/{bundle['id']}/").json()["piece_list"]) == bundle["pieces"]
    plan = {"planned_for": "2099-01-05", "contact": "Rae Winter"}
    delivery = dispatcher.post(here + "deliveries/", plan)
    assert delivery.status_code == 201
    assert [truck["bundles"] for truck in delivery.json()["trucks"]] == [[1, 2]]
    there = f"deliveries/{delivery.json()['id']}/"
    assert dispatcher.post(there + "manifest/").status_code == 409, "a draft until it is loaded"
    assert dispatcher.post(there + "load/").json()["state"] == "loaded"
    assert dispatcher.post(there + "manifest/").json() == {"state": "waiting"}
    assert dispatcher.post(there + "deliver/", {}).status_code == 422
    assert dispatcher.post(there + "deliver/", {"received_by": "Rae Winter"}).json()["state"] == "delivered"
    closed = dispatcher.post(here + "close/").json()
    assert [move["to_stage"] for move in closed["moves"]] == [
        "booked", "released", "rolling", "bundled", "loaded", "delivered", "closed",
    ]  # fmt: skip


def test_booking_twice_gives_one_order_and_needs_a_key() -> None:
    quote = quotes.accepted().quote
    manager = api(Role.MANAGER)
    assert manager.post("orders/book/", {"quote": quote.public_id}).status_code == 400
    answers = {
        manager.post("orders/book/", {"quote": quote.public_id}, key=k).json()["id"] for k in ("a", "a", "b")
    }
    assert answers == {Order.objects.get().public_id}


def test_a_key_of_another_quote_is_refused() -> None:
    first, second = quotes.accepted().quote, quotes.accepted().quote
    manager = api(Role.MANAGER)
    assert manager.post("orders/book/", {"quote": first.public_id}, key="a").status_code == 201
    assert manager.post("orders/book/", {"quote": second.public_id}, key="a").status_code == 422
    assert Order.objects.count() == 1


def test_an_illegal_move_is_a_clash_in_words() -> None:
    order = orders.booked()
    answer = api(Role.SHOP).post(f"orders/{order.public_id}/roll/")
    assert answer.status_code == 409
    assert answer["Content-Type"] == "application/problem+json"
    assert "released" in answer.json()["detail"]


def test_holding_asks_for_a_reason() -> None:
    order = orders.booked()
    planner = api(Role.PLANNER)
    refused = planner.post(f"orders/{order.public_id}/hold/", {})
    assert (refused.status_code, list(refused.json()["errors"])) == (422, ["why"])
    assert (
        planner.post(f"orders/{order.public_id}/hold/", {"why": "coil is late"}).json()["held_from"]
        == "booked"
    )
    assert (
        planner.post(f"orders/{order.public_id}/resume/", {"why": "coil is here"}).json()["stage"] == "booked"
    )


def test_a_link_is_told_once_and_withdrawn() -> None:
    delivery = orders.planned()
    dispatcher = api(Role.DISPATCHER)
    made = dispatcher.post(f"deliveries/{delivery.public_id}/links/", {"for_name": "Rae Winter"})
    assert made.status_code == 201
    path = "/l/" + made.json()["address"].split("/l/")[1]
    assert Client().get(path).status_code == 302
    gone = dispatcher.post(f"deliveries/{delivery.public_id}/links/{made.json()['id']}/withdraw/")
    assert gone.status_code == 204
    assert Client().get(path).status_code == 404


def test_unknown_stages_and_states_are_refused() -> None:
    dispatcher = api(Role.DISPATCHER)
    assert dispatcher.get("orders/?stage=somewhere").status_code == 422
    assert dispatcher.get("deliveries/?state=somewhere").status_code == 422
    assert dispatcher.get("orders/?stage=open").json()["orders"] == []


@pytest.mark.parametrize("role", Role.values)
def test_each_role_reaches_its_own_operations_only(role: str) -> None:
    caller = api(role)
    assert len(ROUTES) >= 20
    wrong = []
    for route in ROUTES:
        assert route.act is not None
        path = route.path.removeprefix("/api/v1/")
        statuses = {caller.get(path).status_code, caller.post(path, {}).status_code}
        if (statuses == {403}) == may(role, route.act.object, route.act.verb):
            wrong.append((route.name, statuses))
    assert wrong == []


def test_lists_ask_the_database_a_fixed_number_of_times(django_assert_max_num_queries: Any) -> None:
    for _ in range(3):
        orders.planned()
    dispatcher = api(Role.DISPATCHER)
    with django_assert_max_num_queries(6):
        assert len(dispatcher.get("orders/").json()["orders"]) == 3
    with django_assert_max_num_queries(6):
        assert len(dispatcher.get("deliveries/").json()["deliveries"]) == 3


def test_no_answer_holds_a_price() -> None:
    delivery = orders.planned()
    dispatcher = api(Role.DISPATCHER)
    total = str(delivery.order.revision.total)
    for path in ("orders/", f"orders/{delivery.order.public_id}/", f"deliveries/{delivery.public_id}/"):
        text = dispatcher.get(path).content.decode()
        assert total not in text
        assert not any(word in text for word in ("total", "cost", "price", "margin"))
