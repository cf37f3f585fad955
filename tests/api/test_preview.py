"""The stateless preview and the catalogue, and what malformed bodies are answered."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.test import Client

from framing.common.models import Role
from framing.engine.catalogue import load_catalogue
from framing.engine.document import json_schema
from framing.projects.models import Floor
from tests.factories import people
from tests.factories import projects as make

pytestmark = pytest.mark.django_db


@pytest.fixture
def seller() -> Client:
    client = Client()
    client.force_login(people.user(Role.SELLER))
    return client


def preview(client: Client, body: Any) -> Any:
    return client.post("/api/v1/preview", body, content_type="application/json")


def test_a_document_is_answered_with_figures_and_a_drawing(seller: Client) -> None:
    answer = preview(seller, make.document())
    assert answer.status_code == 200
    body = answer.json()
    assert set(body) == {
        "builds",
        "passes",
        "problems",
        "warnings",
        "counts",
        "weight_lb",
        "checks",
        "options",
        "svg",
    }
    assert {row["code"]: row["quantity"] for row in body["counts"]}["joist"] == 17
    assert body["checks"][0]["ratio"] <= 1
    assert not Floor.objects.exists()


def test_a_floor_that_can_not_be_is_answered_with_places(seller: Client) -> None:
    document = make.document()
    document["bays"][0]["spacing"] = "17"
    body = preview(seller, document).json()
    assert (body["builds"], body["problems"][0]["place"]) == (False, "bays.0.spacing")


@pytest.mark.parametrize("role", [Role.SHOP, None])
def test_others_may_not_ask(role: str | None) -> None:
    client = Client()
    if role:
        client.force_login(people.user(role))
    assert preview(client, make.document()).status_code == 403


@pytest.mark.parametrize(
    "body",
    [
        "{",
        "\x00",
        "[" * 10_000,
        '{"a":' * 10_000 + "1" + "}" * 10_000,
        '{"format": NaN}',
        '{"format": Infinity}',
        '{"x": ' + "9" * 5000 + "}",
        b"\xff\xfe",
    ],
)
def test_what_is_no_json_is_a_400(seller: Client, body: str | bytes) -> None:
    answer = preview(seller, body)
    assert answer.status_code == 400
    assert answer.json()["detail"]


@pytest.mark.parametrize(
    "body", ["", "1", "null", '"text"', "[]", "{}", '{"format": 1e999}', '{"version": true}']
)
def test_what_is_no_floor_is_answered_with_problems(seller: Client, body: str) -> None:
    answer = preview(seller, body)
    assert answer.status_code == 200
    assert answer.json()["builds"] is False
    assert answer.json()["problems"][0]["message"]


def test_a_50_mb_body_is_refused_before_it_is_read(seller: Client) -> None:
    class Unread:
        def read(self, *_: Any) -> bytes:
            raise AssertionError("the body was read")

        readline = read

    environment = {"CONTENT_LENGTH": "50000000", "CONTENT_TYPE": "application/json", "wsgi.input": Unread()}
    for path in ("preview", "builders", "projects"):
        answer = seller.generic("POST", f"/api/v1/{path}", **environment)
        assert answer.status_code == 413
        assert "50,000,000" in answer.json()["detail"]


def test_a_body_of_another_kind_is_415(seller: Client) -> None:
    assert seller.post("/api/v1/preview", "a=1", content_type="text/plain").status_code == 415


def test_the_profiles_are_those_of_the_catalogue(seller: Client) -> None:
    rows = seller.get("/api/v1/profiles").json()
    assert [row["designator"] for row in rows] == [row.designator for row in load_catalogue().profiles]
    # 800S162-54, computed: h/t = 136 within G3's limits, so the hole has a strength
    assert rows[0]["method"] == "ASD"
    assert rows[0]["net_shear_lb"] <= rows[0]["shear_lb"]
    assert rows[0]["effective_inertia_in4"] <= rows[0]["gross_inertia_in4"]
    slender = next(row for row in rows if row["designator"] == "1400S162-54")  # h/t = 242
    assert slender["net_shear_lb"] is None
    assert "h/t" in slender["reason"]


def test_the_floor_schema_is_the_engines(seller: Client) -> None:
    answer = seller.get("/api/v1/floor-schema/")
    assert json.loads(answer.content) == json_schema()
