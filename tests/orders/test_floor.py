"""Shop floor pages: lists in running order, taps by plain forms and by the script's requests, words at the field."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.clock import database_now
from framing.common.models import Role, User
from framing.common.zones import company_zone, day_in
from orders import services
from orders.models import Bundle, Line, LinePlan, LineRun, Remake, ShopAction
from tests.factories import orders, people
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
LIST = reverse("orders:floor")


@pytest.fixture
def sam() -> User:
    return people.user(Role.SHOP, name="Sam Tolley")


def text(response: Any) -> str:
    return str(response.content.decode())


def address(name: str, bundle: Bundle) -> str:
    return reverse(f"orders:floor_{name}", args=[bundle.public_id])


def plan_of(bundles: list[Bundle], days: list[int]) -> LinePlan:
    """A plan in force with the bundles in that order on one line, each so many days from today."""
    today = day_in(database_now(), company_zone())
    line = Line.objects.create(name="North line", feet_per_minute=60)
    plan = LinePlan.objects.create(number=1, state="in_force", frozen_through=today, taken_at=database_now())
    for place, (bundle, days_on) in enumerate(zip(bundles, days, strict=True), 1):
        day = today + timedelta(days=days_on)
        LineRun.objects.create(
            plan=plan, line=line, bundle=bundle, position=place, day=day, start_minute=420 + 30 * place,
            end_day=day, end_minute=440 + 30 * place,
        )  # fmt: skip
    return plan


def test_without_a_plan_bundles_stand_by_the_day_on_site(sam: User) -> None:
    order = orders.released()
    page = text(client_of(sam).get(LIST))
    assert "No line plan is in force" in page
    assert page.count('class="floor-card"') == order.bundles.count() == 2


def test_todays_list_is_in_running_order_and_says_what_comes_next(sam: User) -> None:
    order, apart = orders.released(), orders.released()
    first, second = order.bundles.order_by("number")
    plan_of([second, first], [0, 1])
    client = client_of(sam)
    page = text(client.get(LIST))
    assert page.index(second.public_id) < page.index("After today") < page.index(first.public_id)
    assert apart.number not in page
    assert page.index("07:30") < page.index("08:00")
    others = text(client.get(LIST, {"line": "others"}))
    assert apart.number in others
    assert order.number not in others
    assert client.get(LIST, {"line": "nowhere"}).status_code == 404


def test_what_is_left_over_or_started_early_stands_in_todays_list(sam: User) -> None:
    order = orders.released()
    late, early = order.bundles.order_by("number")
    plan_of([late, early], [-2, 3])
    services.bundle_start(actor=people.actor(Role.SHOP), at=database_now(), bundle=early)
    page = text(client_of(sam).get(LIST))
    assert "After today" not in page
    assert page.count('class="floor-card"') == 2


def test_a_bundle_is_started_and_finished_by_plain_forms(sam: User) -> None:
    bundle = orders.released().bundles.order_by("number")[0]
    client = client_of(sam)
    tap = {"action_id": str(uuid4()), "back": LIST}
    for _ in range(2):
        answer = client.post(address("start", bundle), tap)
        assert (answer.status_code, answer["Location"]) == (302, LIST)
    assert "is started." in text(client.get(LIST))
    away = client.post(address("finish", bundle), {"back": "https://elsewhere.example/"})
    assert away["Location"] == address("bundle", bundle)
    bundle.refresh_from_db()
    assert bundle.finished_by == "Sam Tolley"
    assert ShopAction.objects.count() == 2
    assert client.get(address("start", bundle)).status_code == 405


def test_the_script_gets_words_and_the_parts_that_changed(sam: User) -> None:
    bundle = orders.released().bundles.order_by("number")[0]
    client = client_of(sam)
    tap = {"action_id": str(uuid4()), "tapped_at": "2026-11-29T08:00:00Z"}
    body = client.post(address("start", bundle), tap, headers={"X-Tap": "card"}).json()
    assert (body["tone"], body["undo"]) == ("good", tap["action_id"])
    assert 'data-state="started"' in body["parts"][f"b-{bundle.public_id}"]
    assert ShopAction.objects.get().tapped_at is not None
    sheet = client.post(address("start", bundle), {"tapped_at": "noon"}, headers={"X-Tap": "sheet"}).json()
    assert sorted(sheet["parts"]) == ["floor-again", "floor-state", "floor-told"]
    assert (sheet["tone"], sheet["undo"]) == ("note", "")
    refused = client.post(address("reopen", bundle), {"why": ""}, headers={"X-Tap": "sheet"})
    assert (refused.status_code, refused.json()["tone"]) == (422, "bad")
    gone = client.post(reverse("orders:floor_start", args=["0" * 20]), {}, headers={"X-Tap": "card"})
    assert (gone.status_code, gone.json()["parts"]) == (404, {})
    back = {"undoes": tap["action_id"]}
    assert client.post(address("undo", bundle), back, headers={"X-Tap": "card"}).json()["undo"] == ""
    bundle.refresh_from_db()
    assert bundle.started_at is None


def test_the_sheet_shows_pieces_and_does_every_tap_without_script(sam: User) -> None:
    bundle = orders.rolling().bundles.order_by("number")[0]
    client = client_of(sam)
    client.post(address("start", bundle), {})
    sheet = text(client.get(address("bundle", bundle)))
    assert sheet.count("data-piece=") == bundle.pieces.count()
    assert "Take back “started”" in sheet
    piece = bundle.pieces.all()[0]
    client.post(address("scrap", bundle), {"piece": piece.code, "reason": "holes"})
    assert "1 to make again" in text(client.get(LIST))
    client.post(address("remade", bundle), {"piece": piece.code})
    assert Remake.objects.get().made_at is not None
    client.post(address("weigh", bundle), {"weighed_lb": "9999.5"})
    page = text(client.get(address("bundle", bundle)))
    assert "over the lift limit of 2,000 lb" in page
    client.post(address("finish", bundle), {})
    client.post(address("reopen", bundle), {"why": "one is bent"})
    page = text(client.get(address("bundle", bundle)))
    assert "one is bent" in page
    assert "Take back" not in page.split("What was done")[1].split("<ol")[0], "opening again stays"


def test_what_is_refused_comes_back_at_its_field_with_what_was_typed(sam: User) -> None:
    bundle = orders.rolling().bundles.order_by("number")[0]
    client = client_of(sam)
    answer = client.post(address("weigh", bundle), {"weighed_lb": "heavy"})
    assert answer.status_code == 422
    assert "That is no weight" in text(answer)
    assert 'value="heavy"' in text(answer)
    for name, data, words in (
        ("scrap", {"reason": "bent"}, "Tap the piece"),
        ("scrap", {"piece": "A" * 12}, "Tap what is wrong"),
        ("reopen", {"why": ""}, "Say why"),
    ):
        answer = client.post(address(name, bundle), data)
        assert answer.status_code == 422, name
        assert words in text(answer)
    clash = client.post(address("scrap", bundle), {"piece": bundle.pieces.all()[0].code, "reason": "bent"})
    assert clash.status_code == 409
    assert "not started" in text(clash)
    assert client.post(address("undo", bundle), {}).status_code == 422


def test_scans_by_form_and_by_script(sam: User) -> None:
    order = orders.released()
    bundle, other = order.bundles.order_by("number")
    client, scan = client_of(sam), reverse("orders:floor_scan")
    answer = client.post(scan, {"code": bundle.code})
    assert answer["Location"] == address("bundle", bundle)
    foreign = client.post(scan, {"code": "4006381333931"})
    assert foreign.status_code == 422
    assert "is not one of our codes" in text(foreign)
    wrong = {"code": other.pieces.all()[0].code, "hand": bundle.public_id}
    assert "belongs to bundle 2" in text(client.post(scan, wrong))
    said = client.post(scan, wrong, headers={"X-Tap": "sheet"})
    assert (said.status_code, said.json()["tone"]) == (422, "bad")
    piece = bundle.pieces.order_by("position")[0]
    looked = client.post(scan, {"code": piece.code, "hand": bundle.public_id}, headers={"X-Tap": "sheet"})
    assert (looked.json()["piece"], looked.json()["tone"]) == (piece.code, "note")
    gone = client.post(scan, {"code": bundle.code, "hand": "0" * 20}, headers={"X-Tap": "sheet"})
    assert gone.status_code == 422


def test_held_orders_offer_no_tap(sam: User) -> None:
    order = orders.released()
    services.order_hold(
        actor=people.actor(Role.PLANNER), at=database_now(), order=order, why="The coil is late."
    )
    page = text(client_of(sam).get(LIST))
    assert page.count("Held: leave it") == 2
    assert page.count('name="start" disabled') == 2
    assert client_of(sam).post(address("start", order.bundles.all()[0]), {}).status_code == 409


@pytest.mark.parametrize("role", Role.values)
def test_the_page_is_for_shop_and_planner(role: str) -> None:
    assert client_of(role).get(LIST).status_code == (200 if role in ("shop", "planner") else 403)


def test_the_page_alone_may_ask_for_the_camera(sam: User) -> None:
    client = client_of(sam)
    assert "camera=(self)" in client.get(LIST)["Permissions-Policy"]
    assert "camera=()" in client.get(reverse("orders:bundle_list"))["Permissions-Policy"]
    assert Client().get(LIST).status_code == 302


def test_the_list_asks_as_often_with_many_bundles(sam: User, django_assert_num_queries: Any) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    orders.released()
    client = client_of(sam)
    client.get(LIST)
    with CaptureQueriesContext(
        connection,
    ) as few:
        client.get(LIST)
    order = orders.released()
    mould = order.bundles.all()[0]
    Bundle.objects.bulk_create(
        Bundle(order=order, number=number, profile=mould.profile, zone=mould.zone, length_16=9, weight_lb=9)
        for number in range(3, 43)
    )
    with django_assert_num_queries(len(few)):
        assert text(client.get(LIST)).count('class="floor-card"') == 44
