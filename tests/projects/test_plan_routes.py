"""Pages of a project's plans, who may see and change them, and the editor's JSON about the page under a floor."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import NotAllowed
from framing.common.models import Role, User
from framing.projects import plan_reading
from framing.projects.models import Floor, FloorUnderlay, PlanFile, Project
from framing.projects.plan_services import (
    floor_underlay_set,
    plan_file_add,
    plan_file_remove,
    plan_page_place,
)
from framing.projects.plan_store import picture_bytes
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.projects import plan_seeds as seeds
from tests.projects.draw_helpers import post, saved_of, start_of, url
from tests.projects.plan_helpers import MAY_CHANGE, MAY_LOOK, PDF, add, page_of, page_url, plan_url, read

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> Path:
    settings.PAPERS_DIR = tmp_path
    return tmp_path


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading in this process: what reads is tested beside."""
    monkeypatch.setattr(plan_reading, "run_bounded", seeds.read_here)


@pytest.fixture
def ida() -> User:
    return people.user(Role.SELLER, name="Ida")


@pytest.fixture
def project() -> Project:
    return make.project()


@pytest.mark.parametrize("role", Role.values)
def test_each_role_and_each_route(role: str, project: Project, ida: User) -> None:
    floor, page, client = make.floor(project), page_of(project, ida), client_of(people.user(role))
    plan = page.plan_file
    look, change = role in MAY_LOOK, role in MAY_CHANGE
    upload = {"file": SimpleUploadedFile("two.pdf", seeds.pdf())}
    asked = [
        (look, 200, client.get(url("plan_list", project))),
        (look, 200, client.get(plan_url("plan_page", plan))),
        (look, 200, client.get(page_url("plan_picture", page))),
        (change, 302, client.post(url("plan_list", project), upload)),
        (change, 200, post(client, page_url("plan_place", page), {"x_16": 5})),
        (change, 200, post(client, url("draw_under", floor), {"page": page.public_id})),
        (change, 302, client.post(page_url("plan_lay", page), {"floor": floor.public_id})),
        (change, 302, client.post(plan_url("plan_remove", plan))),
    ]
    assert [answer.status_code for _, _, answer in asked] == [code if may else 403 for may, code, _ in asked]
    assert PlanFile.objects.count() == 1


def test_a_service_asks_for_the_right_itself(project: Project, ida: User) -> None:
    planner, page = person(people.user(Role.PLANNER)), page_of(project, ida)
    with pytest.raises(NotAllowed):
        plan_file_add(actor=planner, at=database_now(), project=project, name="a", data=PDF)
    with pytest.raises(NotAllowed):
        plan_file_remove(actor=planner, at=database_now(), plan_file=page.plan_file)
    with pytest.raises(NotAllowed):
        plan_page_place(actor=planner, page=page, placement={"dim": 1})
    with pytest.raises(NotAllowed):
        floor_underlay_set(actor=planner, floor=make.floor(project), page=page)


def test_a_picture_is_private_and_nothing_else(project: Project, ida: User) -> None:
    page = page_of(project, ida)
    answer = client_of(ida).get(page_url("plan_picture", page))
    assert answer["Content-Type"] == "image/png"
    assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer.content == picture_bytes(page)
    assert Client().get(page_url("plan_picture", page)).status_code == 302
    assert client_of(ida).get(reverse("projects:plan_picture", args=["0" * 20])).status_code == 404


def test_files_are_added_by_the_form(project: Project, ida: User) -> None:
    client, address = client_of(ida), url("plan_list", project)
    assert "No plans yet" in client.get(address).content.decode()
    answer = client.post(address, {"file": SimpleUploadedFile("..\\Lot\u202e 7.pdf", PDF)})
    plan = PlanFile.objects.get()
    assert answer["Location"] == plan_url("plan_page", plan)
    assert plan.name == "Lot 7.pdf"
    shown = client.get(plan_url("plan_page", plan)).content.decode()
    assert "The plan is being read." in shown
    read(plan)
    shown = client.get(plan_url("plan_page", plan)).content.decode()
    assert f"?under={plan.pages.get(number=2).public_id}" in shown
    assert "The plan is being read." not in shown


def test_several_files_at_once_are_told_apart(project: Project, ida: User) -> None:
    client, address = client_of(ida), url("plan_list", project)
    good, bad = SimpleUploadedFile("a.pdf", PDF), SimpleUploadedFile("b.txt", b"Dear builder")
    answer = client.post(address, {"file": [good, bad]})
    assert answer.status_code == 422
    words = answer.content.decode()
    assert "“b.txt”: The file is a text" in words
    assert "a.pdf" in words
    two = [SimpleUploadedFile(name, seeds.pdf(pages)) for name, pages in (("c.pdf", 3), ("d.pdf", 4))]
    assert client.post(address, {"file": two})["Location"] == address
    assert PlanFile.objects.count() == 3
    assert "Choose a file first." in client.post(address, {}).content.decode()
    many = [SimpleUploadedFile(f"{n}.pdf", b"%PDF-") for n in range(11)]
    assert "add at most 10 at a time" in client.post(address, {"file": many}).content.decode()


def test_a_refused_plan_says_why_on_its_page(project: Project, ida: User) -> None:
    plan = read(add(project, ida, b"%PDF-1.7 nothing"))
    shown = client_of(ida).get(plan_url("plan_page", plan)).content.decode()
    assert "The PDF is damaged or has no pages." in shown
    assert "Trace a new floor" not in shown


def test_a_planner_sees_plans_and_no_button_to_change_them(project: Project, ida: User) -> None:
    plan, client = read(add(project, ida)), client_of(Role.PLANNER)
    make.floor(project)
    for address in (url("plan_list", project), plan_url("plan_page", plan)):
        shown = client.get(address).content.decode()
        assert "Lot 7.pdf" in shown
        for words in ("Add the builder", "Take this plan away", "Trace a new floor", "Lay it under"):
            assert words not in shown


def test_a_plan_is_found_in_its_own_project_only(project: Project, ida: User) -> None:
    plan = add(project, ida)
    foreign = make.project()
    for name in ("plan_page", "plan_remove"):
        address = reverse(f"projects:{name}", args=[foreign.public_id, plan.public_id])
        client = client_of(ida)
        answer = client.get(address) if name == "plan_page" else client.post(address)
        assert answer.status_code == 404
    assert PlanFile.objects.exists()


def test_large_files_come_in_here_alone_and_from_those_who_are_signed_in(project: Project, ida: User) -> None:
    noise = b"%PDF-" + bytes(3_000_000)
    address = url("plan_list", project)
    answer = client_of(ida).post(address, {"file": SimpleUploadedFile("large.pdf", noise)})
    assert answer.status_code == 302
    assert PlanFile.objects.get().size == len(noise)
    upload = {"file": SimpleUploadedFile("large.pdf", noise)}
    assert Client().post(address, upload).status_code == 413
    assert (
        client_of(ida)
        .post(url("project_page", project), upload | {"file": SimpleUploadedFile("l", noise)})
        .status_code
        == 413
    )
    too_large = client_of(ida).post(
        address, b"x", content_type="multipart/form-data", CONTENT_LENGTH=str(60_000_000)
    )
    assert too_large.status_code == 413
    assert "fewer files at once" in too_large.content.decode()


def test_the_editor_begins_with_the_page_under_it(project: Project, ida: User) -> None:
    page, client = page_of(project, ida), client_of(ida)
    floor = make.floor(project)
    start = start_of(client.get(url("floor_draw", floor)))
    assert start["under"] is None
    assert start["plans_url"] == url("plan_list", project)
    assert start["under_url"] == url("draw_under", floor)
    answer = client.post(page_url("plan_lay", page), {"floor": floor.public_id})
    assert answer["Location"] == url("floor_draw", floor)
    plan_page_place(actor=person(ida), page=page, placement={"inches_per_px": 0.5, "x_16": 7})
    assert start_of(client.get(url("floor_draw", floor)))["under"] == {
        "page": page.public_id,
        "name": "Lot 7.pdf",
        "number": 1,
        "picture": page_url("plan_picture", page),
        "width_px": 834,
        "height_px": 556,
        "inches_per_px": 0.5,
        "x_16": 7,
        "y_16": 0,
        "quarter_turns": 0,
        "dim": 0.8,
        "locked": False,
        "place_url": page_url("plan_place", page),
    }


def test_a_new_floor_is_traced_over_a_page_and_keeps_it(project: Project, ida: User) -> None:
    page, client = page_of(project, ida), client_of(ida)
    address = f"{url('floor_draw_new', project)}?under={page.public_id}"
    start = start_of(client.get(address))
    assert (start["under"]["page"], start["under_url"]) == (page.public_id, None)
    body = {"document": make.document("Traced")}
    assert start["urls"]["save"] == f"{url('draw_create', project)}?under={page.public_id}"
    for _ in range(2):
        assert post(client, start["urls"]["save"], body).status_code == 201
    floor = Floor.objects.get(name="Traced")
    assert floor.underlay.page == page
    assert start_of(client.get(url("floor_draw", floor)))["under"]["page"] == page.public_id
    named = {"document": make.document("Traced too"), "under": page.public_id}
    assert post(client, url("draw_create", project), named).status_code == 201
    assert page.underlays.count() == 2
    assert client.get(f"{url('floor_draw_new', make.project())}?under={page.public_id}").status_code == 404


@pytest.mark.parametrize("under", [None, "", "0" * 20, 7, ["a"], "no/such"])
def test_a_page_that_is_gone_keeps_no_floor_from_being_saved(project: Project, ida: User, under: Any) -> None:
    body = {"document": make.document("Traced"), "under": under}
    assert post(client_of(ida), url("draw_create", project), body).status_code == 201
    assert not FloorUnderlay.objects.exists()


def test_the_editor_places_a_page_and_is_told_why_not(project: Project, ida: User) -> None:
    page, client = page_of(project, ida), client_of(ida)
    answer = post(client, page_url("plan_place", page), {"inches_per_px": 0.25, "locked": True})
    assert answer.json() == {
        "inches_per_px": 0.25, "x_16": 0, "y_16": 0, "quarter_turns": 0, "dim": 0.8, "locked": True,
    }  # fmt: skip
    answer = post(client, page_url("plan_place", page), {"x_16": 5})
    assert answer.status_code == 409
    assert "locked" in answer.json()["message"]
    assert answer.json()["x_16"] == 0
    assert post(client, page_url("plan_place", page), {"dim": 7}).status_code == 422
    assert post(client, page_url("plan_place", page), b"not json").status_code == 400


def test_the_editor_lays_a_page_and_takes_it_away(project: Project, ida: User) -> None:
    floor, page, client = make.floor(project), page_of(project, ida), client_of(ida)
    laid = post(client, url("draw_under", floor), {"page": page.public_id}).json()
    assert laid["under"]["page"] == page.public_id
    assert post(client, url("draw_under", floor), {"page": 5}).status_code == 422
    assert post(client, url("draw_under", floor), {"page": "0" * 20}).status_code == 404
    assert FloorUnderlay.objects.exists()
    assert post(client, url("draw_under", floor), {"page": None}).json() == {"under": None}
    assert not FloorUnderlay.objects.exists()
    assert saved_of(floor)


def test_the_history_tells_of_plans(project: Project, ida: User) -> None:
    plan = add(project, ida)
    plan_file_remove(actor=person(ida), at=database_now(), plan_file=plan)
    shown = client_of(ida).get(url("project_page", project)).content.decode()
    assert "Ida added the plan “Lot 7.pdf”." in shown
    assert "Ida took away the plan “Lot 7.pdf”." in shown
