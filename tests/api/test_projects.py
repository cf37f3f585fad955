"""The API's builders, projects and floors."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from framing.common.models import Role
from framing.projects.models import Builder, Floor
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


def send(client: Client, method: str, path: str, body: Any) -> Any:
    return getattr(client, method)(f"/api/v1/{path}", body, content_type="application/json")


@pytest.fixture
def seller() -> Client:
    return client_of(Role.SELLER)


BUILDER = {"name": "Hollin Homes", "contact_name": "Rae Winter", "email": "rae@example.test"}


def test_from_builder_to_floor(seller: Client) -> None:
    builder = send(seller, "post", "builders", BUILDER)
    assert builder.status_code == 201
    assert set(builder.json()) == {"id", "name", "contact_name", "email", "phone", "tier", "owner"}
    site = {"line": "1 Lane", "city": "Alder", "region": "OH", "postal_code": "4", "freight_zone": "near"}
    asked = {"builder": builder.json()["id"], "name": "Lane 1", "site": site | {"tax_place": "OH"}}
    project = send(seller, "post", "projects", asked)
    assert project.status_code == 201
    assert project.json()["builder_name"] == "Hollin Homes"
    path = f"projects/{project.json()['id']}/floors"
    floor = send(seller, "post", path, make.document("First floor"))
    assert floor.status_code == 201
    assert (floor.json()["version"], floor.json()["position"]) == (1, 1)
    listed = seller.get(f"/api/v1/{path}").json()
    assert [row["name"] for row in listed] == ["First floor"]
    assert seller.get(f"/api/v1/floors/{listed[0]['id']}").json()["document"]["name"] == "First floor"


def test_a_floor_is_saved_from_its_version(seller: Client) -> None:
    floor = make.floor(name="First floor")
    body = {"version": 1, "document": make.document("First floor", width="26'")}
    saved = send(seller, "put", f"floors/{floor.public_id}", body)
    assert (saved.status_code, saved.json()["version"]) == (200, 2)
    body = {"version": 1, "document": make.document("First floor", width="28'")}
    stale = send(seller, "put", f"floors/{floor.public_id}", body)
    assert stale.status_code == 409
    assert stale["Content-Type"] == "application/problem+json"
    errors = stale.json()["errors"]
    assert errors["version"] == 2
    assert errors["saved_by"]
    assert {row["place"] for row in errors["differences"]} == {"outline.1.0", "outline.2.0"}
    assert Floor.objects.get().version == 2


def test_fields_that_are_not_asked_for_do_not_stick(seller: Client) -> None:
    send(seller, "post", "builders", BUILDER | {"owner": 1, "public_id": "mine", "id": "mine"})
    builder = Builder.objects.get()
    assert builder.public_id != "mine"


def test_lists_come_in_pages(seller: Client) -> None:
    for _ in range(3):
        make.project()
    first = seller.get("/api/v1/projects?limit=2").json()
    assert (first["count"], len(first["results"])) == (3, 2)
    assert len(seller.get("/api/v1/builders?limit=2&offset=2").json()["results"]) == 1


@pytest.mark.parametrize("role", [Role.PLANNER, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_readers_read_and_write_nothing(role: str) -> None:
    client, floor = client_of(role), make.floor()
    assert client.get(f"/api/v1/floors/{floor.public_id}").status_code == 200
    assert send(client, "post", "builders", BUILDER).status_code == 403
    body = {"version": 1, "document": make.document("X")}
    assert send(client, "put", f"floors/{floor.public_id}", body).status_code == 403
    path = f"projects/{floor.project.public_id}/floors"
    assert send(client, "post", path, make.document("X")).status_code == 403
    assert Floor.objects.get().version == 1


@pytest.mark.parametrize("path", ["builders", "projects", "profiles", "floor-schema/", "schema/"])
def test_strangers_get_nothing(path: str) -> None:
    assert Client().get(f"/api/v1/{path}").status_code in (401, 403)


@pytest.mark.parametrize(
    "path", ["builders/zz", "projects/" + "0" * 20, "floors/%00", "projects/zz/floors", "floors/%E2%98%83"]
)
def test_what_is_not_there_is_404(seller: Client, path: str) -> None:
    response = seller.get(f"/api/v1/{path}")
    assert response.status_code == 404
    assert response.json()["status"] == 404


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ({}, 422),
        ({"version": "one", "document": {}}, 422),
        ({"version": 1}, 422),
        ({"version": 1, "document": []}, 422),
        ({"version": 1, "document": {}}, 422),
        ({"version": -1, "document": {}}, 422),
        ({"version": 10**30, "document": {}}, 422),
        ([], 422),
        ('"text"', 422),
        ("null", 422),
    ],
)
def test_a_bad_save_is_a_problem_document(seller: Client, body: Any, status: int) -> None:
    floor = make.floor()
    response = send(seller, "put", f"floors/{floor.public_id}", body)
    assert response.status_code == status
    assert response.json()["detail"]
    assert Floor.objects.get().version == 1


@pytest.mark.parametrize("field", ["name", "contact_name", "email"])
@pytest.mark.parametrize("text", ["", "\x00", "x" * 5000, 7.5, None, [], {}])
def test_a_bad_builder_is_refused_or_stored_as_text(seller: Client, field: str, text: Any) -> None:
    response = send(seller, "post", "builders", BUILDER | {field: text})
    assert response.status_code in (201, 422)
    if response.status_code == 422:
        assert field in response.json()["errors"]
        assert not Builder.objects.exists()
