"""The API's practice sets: reads, drafts, changes, putting in force; refusals name their values."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from framing.common.models import Role
from framing.projects.models import PracticeSet
from framing.projects.practice_fields import FIELDS
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
PRACTICE, SETS = "/api/v1/practice", "/api/v1/practice/sets"
DRAFT = {"name": "House", "reason": "softer floors sell", "values": {"live_deflection": 360}}


@pytest.fixture
def client() -> Client:
    return client_of(Role.MANAGER)


def post(client: Client, address: str, body: Any) -> Any:
    return client.post(address, body, content_type="application/json")


def put(client: Client, address: str, body: Any) -> Any:
    return client.put(address, body, content_type="application/json")


def test_the_rules_defaults_with_all_values(client: Client) -> None:
    body = client.get(PRACTICE).json()
    assert body["set"] is None
    assert [value["name"] for value in body["values"]] == list(FIELDS)
    bearing = body["values"][0]
    assert bearing == {
        "name": "outside_bearing_16",
        "rule": "R2",
        "words": "Width of an outside wall",
        "kind": "length",
        "unit": "",
        "limits": '2 1/2" to 2\'-0"',
        "value": 88,
        "shown": '5 1/2"',
        "default": 88,
        "differs": False,
    }


def test_from_a_draft_to_force(client: Client) -> None:
    made = post(client, SETS, DRAFT)
    assert made.status_code == 201
    told = made.json()
    assert (told["name"], told["version"], told["state"], told["edit"]) == ("House", 1, "draft", 1)
    here = f"{SETS}/{told['id']}"
    changed = put(client, here, {"reason": "firmer", "values": {"live_deflection": 600}, "edit": 1}).json()
    assert (changed["edit"], changed["values"]) == (2, {"live_deflection": 600})
    assert put(client, here, {"reason": "firmer", "values": {}, "edit": 1}).status_code == 409
    assert post(client, f"{here}/force", {"edit": 1}).status_code == 409
    before = client.get(PRACTICE).json()["set"]
    forced = post(client, f"{here}/force", {"edit": 2, "replaces": before["id"]})
    assert (forced.status_code, forced.json()["state"]) == (200, "in_force")
    now = client.get(PRACTICE).json()
    assert now["set"] == forced.json() == client.get(here).json()["set"]
    assert [value["name"] for value in now["values"] if value["differs"]] == ["live_deflection"]
    assert [row["state"] for row in client.get(SETS).json()] == ["in_force", "earlier"]
    assert put(client, here, {"reason": "x", "values": {}, "edit": 2}).status_code == 409
    assert post(client, f"{here}/force", {"edit": 2}).status_code == 409


def test_two_sets_compared_and_what_floors_make_of_one(client: Client) -> None:
    floor = make.floor(name="Firm", profile="800S162-54")
    told = post(client, SETS, DRAFT | {"values": {"live_deflection": 1000}}).json()
    assert client.get(f"{PRACTICE}/compare?b={told['id']}").json() == [
        {
            "name": "live_deflection",
            "rule": "R16",
            "words": "Deflection under live load",
            "a": 480,
            "b": 1000,
        }
    ]
    assert client.get(f"{PRACTICE}/compare").json() == []
    effects = client.get(f"{SETS}/{told['id']}/effects").json()
    assert (effects["looked"], effects["total"], effects["changing"]) == (1, 1, [])
    assert [(found["floor"], found["words"]) for found in effects["failing"]] == [
        (floor.public_id, "fails a check")
    ]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"values": {"live_deflection": 90}}, "live_deflection"),
        ({"values": {"impulse_a_mm_per_kn": 3}}, "impulse_a_mm_per_kn"),
        ({"reason": ""}, "reason"),
        ({"name": ""}, "name"),
        ({"values": []}, "values"),
        ({"values": None}, "values"),
    ],
)
def test_a_slip_is_refused_at_its_field(client: Client, change: dict[str, Any], field: str) -> None:
    answer = post(client, SETS, DRAFT | change)
    assert answer.status_code == 422
    assert field in answer.json()["errors"]
    assert not PracticeSet.objects.filter(name="House").exists()


@pytest.mark.parametrize(
    "values", [{"gravity": 1}, {"method": "GUESS"}, {"plies_most": "3"}, {"rim_sticks_ft": {"a": 1}}]
)
def test_values_of_another_kind_are_refused(client: Client, values: dict[str, Any]) -> None:
    answer = post(client, SETS, DRAFT | {"values": values})
    assert (answer.status_code, answer.json()["field"]) == (422, "values")


@pytest.mark.parametrize("role", [Role.SELLER, Role.PLANNER, Role.ADMINISTRATOR])
def test_others_read_only(client: Client, role: str) -> None:
    told = post(client, SETS, DRAFT).json()
    here, reader = f"{SETS}/{told['id']}", client_of(role)
    for address in (PRACTICE, SETS, here, f"{here}/effects", f"{PRACTICE}/compare"):
        assert reader.get(address).status_code == 200
    assert post(reader, SETS, DRAFT).status_code == 403
    assert put(reader, here, {"reason": "x", "values": {}, "edit": 1}).status_code == 403
    assert post(reader, f"{here}/force", {"edit": 1}).status_code == 403
    assert PracticeSet.objects.get(name="House").state == "draft"


def test_a_set_that_is_not_there_is_not_found(client: Client) -> None:
    for public_id in ("0" * 20, "%00"):
        assert client.get(f"{SETS}/{public_id}").status_code == 404
        assert client.get(f"{SETS}/{public_id}/effects").status_code == 404
        assert post(client, f"{SETS}/{public_id}/force", {"edit": 1}).status_code == 404
