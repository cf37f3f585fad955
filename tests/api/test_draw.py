"""The API's plan editor: answers, places, own drafts, versions, who is there; the same words as the page's."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from framing.api import draw_shapes as shapes
from framing.common.models import AuditEntry, Role
from framing.projects.models import Floor, FloorDraft
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db

OPENING = {"id": "S1", "kind": "stair", "corner": ["8'", "2'"], "size": ["4'", "8'"]}
WALL = {"id": "W1", "kind": "wall", "from": ["0", "10' 6\""], "to": ["24'", "10' 6\""]}
LOOKS = {
    Role.SELLER: 200,
    Role.MANAGER: 200,
    Role.PLANNER: 200,
    Role.SHOP: 403,
    Role.DISPATCHER: 200,
    Role.ADMINISTRATOR: 200,
}
CHANGES = (Role.SELLER, Role.MANAGER)


@pytest.fixture(autouse=True)
def nobody_is_there() -> None:
    cache.clear()


@pytest.fixture
def floor() -> Floor:
    return make.floor(name="Upper floor")


def path(floor: Floor, last: str) -> str:
    return f"/api/v1/floors/{floor.public_id}/{last}"


def project_path(floor: Floor, last: str) -> str:
    return f"/api/v1/projects/{floor.project.public_id}/draw/{last}"


def saved_of(floor: Floor) -> dict[str, Any]:
    document: dict[str, Any] = floor.versions.order_by("-number")[0].document
    return document


def with_opening(floor: Floor) -> dict[str, Any]:
    return saved_of(floor) | {"openings": [OPENING]}


def send(client: Client, method: str, address: str, body: Any) -> Any:
    return getattr(client, method)(address, body, "application/json")


@pytest.mark.parametrize("role", Role.values)
def test_each_role(role: str, floor: Floor) -> None:
    client = client_of(people.user(role))
    drawing = {"sequence": 1, "document": saved_of(floor), "code": "strap"}
    draft = {"document": with_opening(floor), "base_version": 1}
    looked = [
        send(client, "post", project_path(floor, "answer"), drawing),
        send(client, "post", project_path(floor, "places"), drawing),
        send(client, "post", path(floor, "presence"), {"base_version": 1}),
        client.get(path(floor, "versions")),
        client.get(path(floor, "versions/1")),
    ]
    changed = [
        client.get(path(floor, "draft")),
        send(client, "put", path(floor, "draft"), draft),
        client.delete(path(floor, "draft")),
    ]
    allowed = role in CHANGES
    assert {answer.status_code for answer in looked} == {LOOKS[Role(role)]}
    assert [answer.status_code for answer in changed] == ([200, 200, 204] if allowed else [403] * 3)
    assert not AuditEntry.objects.filter(verb__startswith="draft").exists()


@pytest.mark.parametrize(
    ("document", "state"),
    [
        (make.document(openings=[OPENING], supports=[WALL]), "drawn"),
        (make.document(openings=[OPENING | {"corner": ["40'", "0"]}]), "refused"),
        ({"a\ud800": "\x00"}, "unread"),
    ],
)
def test_an_answer_has_the_shape_that_the_schema_tells(
    floor: Floor, document: dict[str, Any], state: str
) -> None:
    document |= (
        {"partitions": [{"id": "P1", "from": ["2'", "1'"], "to": ["2'", "5'"]}]} if state != "unread" else {}
    )
    body = {"sequence": 7, "document": document}
    answer = send(client_of(Role.SELLER), "post", project_path(floor, "answer"), body).json()
    assert (answer["sequence"], answer["state"]) == (7, state)
    assert same_keys(answer, shapes.DrawAnswerOutput()) == []


def same_keys(value: Any, shape: Any, place: str = "") -> list[str]:
    """Places where a value has other keys than its shape."""
    wrong = []
    inner = getattr(shape, "child", None)
    if value is None:
        return [] if shape.allow_null else [place]
    if isinstance(value, list):
        return [found for entry in value for found in same_keys(entry, inner, f"{place}[]")]
    if hasattr(shape, "fields"):
        if set(value) != set(shape.fields):
            wrong.append(f"{place}: {sorted(set(value) ^ set(shape.fields))}")
        for name, field in shape.fields.items():
            wrong += same_keys(value.get(name), field, f"{place}.{name}")
    return wrong


def test_a_shape_with_a_key_too_many_or_too_few_is_seen() -> None:
    shape = shapes.PlacesOutput()
    right = {"code": "strap", "places": [{"id": "a", "at": [0, 0], "to": None}]}
    assert same_keys(right, shape) == []
    assert same_keys(right | {"more": 1}, shape)
    assert same_keys({"code": "strap", "places": [{"id": "a", "at": [0, 0]}]}, shape)


def test_all_other_answers_have_their_shapes(floor: Floor) -> None:
    client, other = client_of(Role.SELLER), client_of(Role.SELLER)
    draft = {"document": with_opening(floor), "base_version": 1}
    assert same_keys(send(client, "put", path(floor, "draft"), draft).json(), shapes.DraftOutput()) == []
    assert same_keys(client.get(path(floor, "draft")).json(), shapes.OwnDraftOutput()) == []
    there = send(other, "post", path(floor, "presence"), {"base_version": 1}).json()
    assert len(there["others"]) == 1
    assert same_keys(there, shapes.PresenceOutput()) == []
    saved = send(client, "put", path(floor, "")[:-1], {"document": with_opening(floor), "version": 1})
    assert saved.json()["version"] == 2
    assert same_keys(client.get(path(floor, "versions")).json(), shapes.VersionsOutput()) == []
    old = client.get(path(floor, "versions/1")).json()
    assert len(old["differences"]) >= 4
    assert same_keys(old, shapes.VersionOutput()) == []
    places = {"document": saved_of(floor), "code": "strap"}
    found = send(client, "post", project_path(floor, "places"), places).json()
    assert found["places"]
    assert same_keys(found, shapes.PlacesOutput()) == []


def test_a_draft_is_the_own_one(floor: Floor) -> None:
    ida, ben = client_of(Role.SELLER), client_of(Role.SELLER)
    assert send(ida, "put", path(floor, "draft"), {"document": {"a": 1}, "base_version": 1}).json()["draft"]
    mine, his = ida.get(path(floor, "draft")).json(), ben.get(path(floor, "draft")).json()
    assert (mine["document"], mine["from_draft"]) == ({"a": 1}, True)
    assert (his["document"], his["from_draft"]) == (saved_of(floor), False)
    ben.delete(path(floor, "draft"))
    assert FloorDraft.objects.count() == 1
    ida.delete(path(floor, "draft"))
    assert not FloorDraft.objects.exists()


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({"document": {}, "base_version": 2}, 422),
        ({"document": {}, "base_version": 0}, 422),
        ({"document": [], "base_version": 1}, 422),
        ({"document": "{}", "base_version": 1}, 422),
        ({"base_version": 1}, 422),
        ({"document": {"a": "x" * 1_000_000}, "base_version": 1}, 413),
    ],
)
def test_what_is_no_draft_is_refused(floor: Floor, body: Any, status: int) -> None:
    answer = send(client_of(Role.SELLER), "put", path(floor, "draft"), body)
    assert answer.status_code == status
    assert answer["Content-Type"] == "application/problem+json"
    assert not FloorDraft.objects.exists()


def test_what_is_not_there(floor: Floor) -> None:
    client = client_of(Role.SELLER)
    assert client.get(path(floor, "versions/2")).status_code == 404
    assert client.get(path(floor, "versions/99999999999999999999")).status_code == 404
    nowhere = f"/api/v1/projects/{'0' * 20}/draw/answer"
    assert send(client, "post", nowhere, {"sequence": 1, "document": {}}).status_code == 404
