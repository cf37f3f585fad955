"""The page of an order's bundles and its operations: what is shown, refused with what was ticked, clashes in words."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.models import Role
from framing.common.outbox import outbox_run, outbox_waiting
from orders.models import Bundle, Order, Piece
from tests.factories import orders, people
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


def planner() -> Client:
    return client_of(people.user(Role.PLANNER))


def at(name: str, order: Order, *more: object) -> str:
    return reverse(f"orders:{name}", args=[order.public_id, *more])


def api(name: str, order: Order) -> str:
    return reverse(f"api:orders_api:{name}", args=[order.public_id])


def text(response: Any) -> str:
    return str(response.content.decode())


def version(client: Client, order: Order) -> str:
    return str(client.get(api("bundle_plan", order)).json()["version"])


def post(client: Client, order: Order, **data: Any) -> Any:
    return client.post(at("bundle_edit", order), {"version": version(client, order), **data})


def test_the_page_shows_every_piece_with_limits_and_steps() -> None:
    order, client = orders.released(), planner()
    page = text(client.get(at("bundle_plan", order)))
    assert page.count("data-piece=") == 17
    assert page.count('type="checkbox" name="pieces"') == 17
    assert "of at most 13" in page or "of at most 15" in page or "of at most 11" in page
    assert "Lift at" in page
    assert 'value="split"' in page
    shop = text(client_of(people.user(Role.SHOP)).get(at("bundle_plan", order)))
    assert shop.count("data-piece=") == 17
    assert 'value="split"' not in shop
    assert "checkbox" not in shop


def test_before_release_the_page_says_what_will_be_there() -> None:
    assert "No bundles yet" in text(planner().get(at("bundle_plan", orders.booked())))


def test_a_step_leads_back_to_its_bundle_and_can_be_undone_and_redone() -> None:
    order, client = orders.released(), planner()
    answer = post(client, order, edit="split", number=1, at=5)
    assert (answer.status_code, answer["Location"]) == (302, at("bundle_plan", order) + "#bundle-1")
    page = text(client.get(at("bundle_plan", order)))
    assert "Split bundle 1: 5 stay, 4 from the top are bundle 3." in page
    assert "4 of at least 8 pieces" in page
    for name, count in (("bundle_undo", 2), ("bundle_redo", 3)):
        assert client.post(at(name, order), {"version": version(client, order)}).status_code == 302
        assert order.bundles.count() == count
    assert client.post(at("bundle_redo", order), {"version": version(client, order)}).status_code == 422
    assert client.post(at("bundle_undo", order), {"version": "old"}).status_code == 409


def test_a_refusal_keeps_what_was_ticked_and_stands_at_the_bundle() -> None:
    order, client = orders.released(), planner()
    codes = list(Piece.objects.filter(bundle__number=1, bundle__order=order).values_list("code", flat=True))
    answer = post(client, order, edit="merge", number=1, other=2, pieces=codes[:2])
    page = text(answer)
    assert answer.status_code == 422
    assert "would hold 17 pieces" in page
    assert "Not done." in page
    assert page.count(" checked") == 2
    assert "Show bundle 1" in page


def test_a_clash_shows_the_bundles_as_they_are_with_the_ticks_still_there() -> None:
    order, client = orders.released(), planner()
    code = Piece.objects.filter(bundle__number=1, bundle__order=order).first().code  # type: ignore[union-attr]
    old = version(client, order)
    post(client, order, edit="fix", number=2)
    answer = client.post(
        at("bundle_edit", order), {"version": old, "edit": "move", "number": 1, "to": 2, "pieces": [code]}
    )
    page = text(answer)
    assert answer.status_code == 409
    assert "Fixed bundle 2." in page
    assert page.count(" checked") == 1


@pytest.mark.parametrize(
    "data",
    [
        {"edit": "shuffle"},
        {"edit": "split", "number": 1, "at": "half"},
        {"edit": "split", "number": "99999999999"},
        {"edit": "move", "number": 1, "to": "x"},
        {"edit": "move", "number": 1},
        {"edit": "move", "number": 1, "to": "new", "pieces": ["A" * 50] * 500},
        {"edit": "split", "number": "²", "at": 5},
    ],
)
def test_what_makes_no_sense_comes_back_with_words(data: dict[str, Any]) -> None:
    order, client = orders.released(), planner()
    answer = post(client, order, **data)
    assert answer.status_code == 422
    assert order.bundles.count() == 2


def test_bundling_anew_is_shown_before_it_is_done() -> None:
    order, client = orders.released(), planner()
    assert "They come out as they are." in text(client.get(at("bundle_anew", order)))
    post(client, order, edit="split", number=1, at=5)
    page = text(client.get(at("bundle_anew", order)))
    assert "Take these" in page
    answer = post(client, order, edit="again", way="fewer")
    assert answer.status_code == 302
    assert sorted(bundle.pieces.count() for bundle in order.bundles.all()) == [8, 9]
    for number in order.bundles.values_list("number", flat=True):
        post(client, order, edit="fix", number=number)
    assert "Nothing is free" in text(client.get(at("bundle_anew", order)))


def test_tags_of_a_step_are_a_paper_once_they_are_made() -> None:
    order, client = orders.released(), planner()
    post(client, order, edit="split", number=1, at=5)
    step = order.bundle_changes.get()
    assert client.get(at("bundle_change_tags", order, step.pk)).status_code == 404
    for pk in outbox_waiting():
        outbox_run(pk)
    assert client.get(at("bundle_change_tags", order, step.pk))["Content-Type"] == "application/pdf"
    assert at("bundle_change_tags", order, step.pk) in text(client.get(at("bundle_plan", order)))
    assert client.get(at("bundle_change_tags", orders.released(), step.pk)).status_code == 404


def test_the_same_by_the_api() -> None:
    order, client = orders.released(), planner()

    def send(verb: str, **data: Any) -> Any:
        body = {"version": version(client, order), **data}
        return client.post(api(f"bundles_{verb}", order), body, content_type="application/json")

    shown = client.get(api("bundle_plan", order)).json()
    assert [len(bundle["pieces"]) for bundle in shown["bundles"]] == [9, 8]
    assert shown["profiles"][0]["least"] == 2
    code = shown["bundles"][0]["pieces"][0]["code"]
    moved = send("edit", edit="move", pieces=[code], to=2).json()
    assert [len(bundle["pieces"]) for bundle in moved["bundles"]] == [8, 9]
    assert moved["undo"] == "Moved 1 piece from bundle 1 to bundle 2."
    assert [len(b["pieces"]) for b in send("undo").json()["bundles"]] == [9, 8]
    assert [len(b["pieces"]) for b in send("redo").json()["bundles"]] == [8, 9]
    assert send("redo").status_code == 422
    split = send("edit", edit="split", number=1, at=3).json()
    assert {said["rule"] for bundle in split["bundles"] for said in bundle["remarks"]} >= {"short"}
    refused = send("edit", edit="merge", number=1, other=1)
    assert (refused.status_code, refused.json()["field"]) == (422, "other")
    assert send("edit", edit="fix", number=77).json()["field"] == "number"
    assert send("edit", edit="fix", number=1, version="old").status_code == 409
    shop = client_of(people.user(Role.SHOP))
    assert shop.get(api("bundle_plan", order)).status_code == 200
    assert shop.post(api("bundles_edit", order), {}, content_type="application/json").status_code == 403


def test_ten_bundles_and_two_hundred_ask_the_database_alike() -> None:
    order, client = orders.released(), planner()
    asked = []
    for count in (10, 200):
        have = order.bundles.count()
        for number in range(have + 1, count + 1):
            row = Bundle.objects.create(
                order=order, number=number, profile=order.bundles.first().profile, zone="Z", length_16=3000,
                weight_lb=40,
            )  # fmt: skip
            Piece.objects.create(
                order=order, bundle=row, floor="Made up", piece_id=f"X{number}", mark="1J09", profile=row.profile,
                length_16=3000, weight_lb=40, sequence=number, position=1,
            )  # fmt: skip
        with CaptureQueriesContext(connection) as queries:
            assert client.get(at("bundle_plan", order)).status_code == 200
        asked.append(len(queries))
    assert asked[0] == asked[1]
