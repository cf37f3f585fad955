"""The API's floors of a project: repeated, counted, moved, taken off and put back, by each role."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from framing.common.models import Role
from framing.projects.models import Floor, Project
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
COPY = {"name": "Second floor", "level": "2"}


@pytest.fixture
def home() -> Project:
    return make.project()


@pytest.fixture
def floor(home: Project) -> Floor:
    return make.floor(home, name="Main floor")


@pytest.fixture
def client() -> Client:
    return client_of(Role.SELLER)


def path(floor: Floor, verb: str) -> str:
    return f"/api/v1/floors/{floor.public_id}/{verb}"


def back_path(home: Project) -> str:
    return f"/api/v1/projects/{home.public_id}/floors/put-back"


def repeat(client: Client, floor: Floor, *copies: dict[str, Any], key: str = "k") -> Any:
    headers = {"Idempotency-Key": key} if key else {}
    return client.post(path(floor, "repeat"), {"copies": list(copies)}, "application/json", headers=headers)


def put(client: Client, address: str, body: Any) -> Any:
    return client.put(address, body, "application/json")


@pytest.mark.parametrize("role", Role.values)
def test_each_role(role: str, home: Project, floor: Floor) -> None:
    client = client_of(people.user(role))
    statuses = [
        repeat(client, floor, COPY).status_code,
        put(client, path(floor, "times"), {"repeat": 2, "version": 1}).status_code,
        put(client, path(floor, "place"), {"place": 1}).status_code,
        client.post(path(floor, "take-off")).status_code,
        client.post(back_path(home), {"floor": floor.public_id}, "application/json").status_code,
    ]
    may = role in (Role.SELLER, Role.MANAGER)
    assert statuses == ([201, 200, 200, 204, 200] if may else [403] * 5)


def test_floors_are_repeated_once_a_key(client: Client, home: Project, floor: Floor) -> None:
    mirror = {"name": "Unit B", "level": "1", "mirrored": "front-back", "repeat": 3}
    made = repeat(client, floor, COPY, mirror)
    assert [row["name"] for row in made.json()] == ["Second floor", "Unit B"]
    assert [row["position"] for row in made.json()] == [2, 3]
    assert repeat(client, floor, COPY, mirror).json() == made.json()
    assert home.floors.count() == 3
    assert repeat(client, floor, COPY, key="").status_code == 400


def test_what_is_wrong_is_named_by_its_place(client: Client, floor: Floor) -> None:
    taken = repeat(client, floor, COPY | {"name": "Main floor"})
    assert taken.status_code == 422
    assert taken.json()["field"] == "copies.0.name"
    unread = repeat(client, floor, COPY | {"mirrored": "upside-down", "repeat": 0})
    assert set(unread.json()["errors"]["copies"]["0"]) == {"mirrored", "repeat"}
    assert repeat(client, floor).status_code == 422
    assert Floor.objects.count() == 1


def test_times_and_places(client: Client, home: Project, floor: Floor) -> None:
    make.floor(home, name="Loft")
    saved = put(client, path(floor, "times"), {"repeat": 5, "version": 1}).json()
    assert (saved["version"], saved["document"]["repeat"]) == (2, 5)
    assert put(client, path(floor, "times"), {"repeat": 6, "version": 1}).status_code == 409
    assert put(client, path(floor, "times"), {"repeat": 100, "version": 2}).status_code == 422
    moved = put(client, path(floor, "place"), {"place": 2}).json()
    assert [row["name"] for row in moved] == ["Loft", "Main floor"]
    assert put(client, path(floor, "place"), {"place": 3}).json()["field"] == "place"


def test_taken_off_and_put_back(client: Client, home: Project, floor: Floor) -> None:
    assert client.post(path(floor, "take-off")).status_code == 204
    assert client.post(path(floor, "take-off")).status_code == 404
    body = {"floor": floor.public_id}
    back = client.post(back_path(home), body, "application/json")
    assert back.json() == {"id": floor.public_id, "name": "Main floor", "position": 1, "version": 1}
    assert client.post(back_path(home), body, "application/json").json() == back.json()
    assert client.post(back_path(home), {"floor": "0" * 20}, "application/json").status_code == 404
