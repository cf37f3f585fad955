"""The priced option matrix as an operation."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from framing.common.models import Role
from quotes.option_prices import OPTIONS_MOST
from tests.factories import options, people, projects, quotes

pytestmark = pytest.mark.django_db


def ask(role: str, document: Any, project: str) -> Any:
    client = Client()
    client.force_login(people.user(role))
    address = f"/api/v1/projects/{project}/options"
    return client.post(address, document, content_type="application/json")


def test_options_come_with_prices_until_none_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    options.limit(monkeypatch, OPTIONS_MOST + 2)
    quotes.price_book()
    project = projects.project().public_id
    body: dict[str, Any] = {}
    rounds = 0
    while not body or body["waiting"]:
        body = ask(Role.SELLER, projects.document(), project).json()
        rounds += 1
        assert rounds < 30
    assert rounds > 1
    passing = [row for row in body["options"] if row["passes"]]
    assert passing
    assert all(row["goods"] for row in passing)
    failing = [row for row in body["options"] if not row["passes"]]
    assert failing
    assert all(row["goods"] is None and row["reason"] for row in failing)
    (cheapest,) = [row for row in passing if row["cheapest"]]
    assert float(cheapest["goods"]) == min(float(row["goods"]) for row in passing)
    assert [row["spacing_in"] for row in body["options"] if row["drawn"]] == [16]
    assert (body["missing"], body["problem"], body["currency"]) == ([], "", "USD")


def test_a_floor_that_can_not_be_is_refused_with_places() -> None:
    document = projects.document()
    document["bays"][0]["spacing"] = "17"
    answer = ask(Role.SELLER, document, projects.project().public_id)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["place"] == "bays.0.spacing"


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER])
def test_who_sees_no_prices_may_not_ask(role: str) -> None:
    assert ask(role, projects.document(), projects.project().public_id).status_code == 403


def test_a_project_that_is_not_there() -> None:
    assert ask(Role.SELLER, projects.document(), "0" * 20).status_code == 404
