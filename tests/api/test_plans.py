"""The API's plans: adding, reading back, placing, what lies under a floor, taking away; each role."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.projects import plan_reading
from framing.projects.models import Floor, FloorUnderlay, PlanFile, PlanPage, Project
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.projects import plan_seeds as seeds

pytestmark = pytest.mark.django_db
MAY_CHANGE = (Role.SELLER, Role.MANAGER)


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.PAPERS_DIR = tmp_path
    monkeypatch.setattr(plan_reading, "run_bounded", seeds.read_here)


@pytest.fixture
def project() -> Project:
    return make.project()


def upload(client: Client, project: Project, data: bytes = b"", name: str = "lot.pdf") -> Any:
    file = SimpleUploadedFile(name, data or seeds.pdf(box="0 0 300 200"))
    return client.post(f"/api/v1/projects/{project.public_id}/plans", {"file": file})


def read_page(project: Project) -> PlanPage:
    upload(client_of(Role.SELLER), project)
    outbox_run(OutboxEntry.objects.get(kind="plan_file_read").pk)
    return PlanPage.objects.get()


def send(client: Client, method: str, address: str, body: Any) -> Any:
    return getattr(client, method)(address, json.dumps(body), content_type="application/json")


def test_a_plan_is_added_and_read_back(project: Project) -> None:
    client = client_of(Role.SELLER)
    added = upload(client, project)
    assert added.status_code == 201
    plan = added.json()
    assert (plan["name"], plan["kind"], plan["state"], plan["message"]) == ("lot.pdf", "pdf", "waiting", "")
    outbox_run(OutboxEntry.objects.get(kind="plan_file_read").pk)
    listed = client.get(f"/api/v1/projects/{project.public_id}/plans").json()
    assert [(row["public_id"], row["state"]) for row in listed] == [(plan["public_id"], "read")]
    whole = client.get(f"/api/v1/projects/{project.public_id}/plans/{plan['public_id']}").json()
    assert whole["facts"]["pages"] == 1
    (page,) = whole["pages"]
    assert (page["number"], page["width_px"], page["inches_per_px"], page["locked"]) == (1, 834, None, False)
    picture = client.get(f"/api/v1/plan-pages/{page['public_id']}/picture")
    assert picture["Content-Type"] == "image/png"
    assert picture["Cache-Control"].startswith("private")
    assert picture.content.startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("body", "status", "words"),
    [
        ({"file": SimpleUploadedFile("a.txt", b"Dear builder")}, 422, "a text without numbers"),
        ({"file": SimpleUploadedFile("a.pdf", b"%PDF-" + bytes(25_000_000))}, 413, "at most 25,000,000"),
        ({"file": "no file"}, 422, "another look"),
        ({}, 422, "another look"),
    ],
)
def test_what_cannot_be_added_is_refused_in_words(
    project: Project, body: dict[str, Any], status: int, words: str
) -> None:
    answer = client_of(Role.SELLER).post(f"/api/v1/projects/{project.public_id}/plans", body)
    assert answer.status_code == status
    assert words in answer.json()["detail"]
    assert not PlanFile.objects.exists()


def test_a_page_is_placed_locked_and_refused_while_locked(project: Project) -> None:
    page, client = read_page(project), client_of(Role.SELLER)
    address = f"/api/v1/plan-pages/{page.public_id}"
    placed = send(client, "patch", address, {"inches_per_px": 0.5, "x_16": -9, "locked": True}).json()
    assert (placed["inches_per_px"], placed["x_16"], placed["locked"]) == (0.5, -9, True)
    assert client.get(address).json() == placed
    refused = send(client, "patch", address, {"x_16": 0})
    assert refused.status_code == 409
    assert "unlock" in refused.json()["detail"]
    wrong = send(client, "patch", address, {"locked": False, "quarter_turns": 5})
    assert wrong.status_code == 422
    assert "0, 1, 2 or 3" in wrong.json()["detail"]
    assert (
        send(client, "patch", address, {"locked": False, "inches_per_px": None}).json()["inches_per_px"]
        is None
    )


def test_a_page_lies_under_a_floor_until_it_is_taken_away(project: Project) -> None:
    page, client, floor = read_page(project), client_of(Role.SELLER), make.floor(project)
    address = f"/api/v1/floors/{floor.public_id}/under"
    assert client.get(address).json() == {"page": None}
    laid = send(client, "put", address, {"page": page.public_id}).json()
    assert laid["page"]["public_id"] == page.public_id
    assert client.get(address).json() == laid
    assert (
        send(
            client, "put", f"/api/v1/floors/{make.floor().public_id}/under", {"page": page.public_id}
        ).status_code
        == 404
    )
    assert send(client, "put", address, {"page": None}).json() == {"page": None}
    assert not FloorUnderlay.objects.exists()


def test_a_plan_is_taken_away(project: Project) -> None:
    page, client, floor = read_page(project), client_of(Role.MANAGER), make.floor(project)
    FloorUnderlay.objects.create(floor=floor, page=page)
    address = f"/api/v1/projects/{project.public_id}/plans/{page.plan_file.public_id}"
    assert client.delete(address).status_code == 204
    assert client.delete(address).status_code == 404
    assert Floor.objects.filter(pk=floor.pk).exists()


@pytest.mark.parametrize("role", Role.values)
def test_each_role(role: str, project: Project) -> None:
    page, floor, client = read_page(project), make.floor(project), client_of(role)
    plan = f"/api/v1/projects/{project.public_id}/plans/{page.plan_file.public_id}"
    look, change = role != Role.SHOP, role in MAY_CHANGE
    asked = [
        (look, 200, client.get(f"/api/v1/projects/{project.public_id}/plans")),
        (look, 200, client.get(plan)),
        (look, 200, client.get(f"/api/v1/plan-pages/{page.public_id}")),
        (look, 200, client.get(f"/api/v1/plan-pages/{page.public_id}/picture")),
        (look, 200, client.get(f"/api/v1/floors/{floor.public_id}/under")),
        (change, 201, upload(client, project, seeds.pdf())),
        (change, 200, send(client, "patch", f"/api/v1/plan-pages/{page.public_id}", {"dim": 1})),
        (
            change,
            200,
            send(client, "put", f"/api/v1/floors/{floor.public_id}/under", {"page": page.public_id}),
        ),
        (change, 204, client.delete(plan)),
    ]
    assert [answer.status_code for _, _, answer in asked] == [code if may else 403 for may, code, _ in asked]
    assert Client().get(plan).status_code in (401, 403)
