"""The import page and its API: from the file to the floor, rights, refusals in words, nothing saved by looking."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.module_loading import import_string

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import NotAllowed, Refused
from framing.common.models import AuditEntry, Role, User
from framing.projects.import_choice import Choice
from framing.projects.import_floor import can_import, first_choice
from framing.projects.import_services import floor_import
from framing.projects.models import Floor, PlanFile, PlanState, Project
from framing.projects.plan_reading import plan_file_settle
from framing.projects.plan_services import plan_file_add
from framing.projects.reading import READERS
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.projects.draw_helpers import start_of
from tests.projects.reading_dxf_files import L_SHAPE, box, drawing, lines, ring, text_of

pytestmark = pytest.mark.django_db

MAKERS = (Role.SELLER, Role.MANAGER)
LOOKERS = (Role.PLANNER, Role.DISPATCHER, Role.ADMINISTRATOR)
LIST = b"x,y,what\n0,0\n24',0\n24',14'\n0,14'\n4',2',opening S1\n8',10',opening S1\n"


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> None:
    settings.PAPERS_DIR = tmp_path


@pytest.fixture
def ida() -> User:
    return people.user(Role.SELLER, name="Ida")


@pytest.fixture
def project(ida: User) -> Project:
    return make.project(ida)


def plan_dxf() -> bytes:
    made = drawing()
    space = made.modelspace()
    lines(space, L_SHAPE, "FLOOR & 1")
    ring(space, box((0, 190), (480, 193.5)), "WALL")
    ring(space, box((40, 40), (84, 160)), "HOLE")
    space.add_text("STAIR <b>", dxfattribs={"insert": (50, 100), "layer": "WORDS"})
    return text_of(made)


def added(project: Project, data: bytes, name: str, *, bounded: bool = False) -> PlanFile:
    """A plan that was read: here and now, or as the worker does in a process of its own."""
    plan = plan_file_add(
        actor=person(project.owner), at=database_now(), project=project, name=name, data=data
    )
    if bounded:
        plan_file_settle(plan.pk)
        plan.refresh_from_db()
    else:
        reader = import_string(READERS[plan.kind])
        plan.state, plan.facts = PlanState.READ, json.loads(json.dumps(reader(data, {})[0]))
        plan.save()
    assert plan.state == PlanState.READ, plan.message
    return plan


def address(plan: PlanFile, name: str = "projects:import_file") -> str:
    return reverse(name, args=[plan.project.public_id, plan.public_id])


def hidden(answer: Any) -> dict[str, str]:
    """The fields of the form that makes the floor, as a browser would send them."""
    form = re.search(r'<form method="post".*?</form>', answer.content.decode(), re.DOTALL)
    assert form is not None
    rows = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form[0])
    return {name: unescape(value) for name, value in rows}


def test_a_drawing_becomes_a_floor(project: Project, ida: User) -> None:
    plan, client = added(project, plan_dxf(), "Lot 7.dxf", bounded=True), client_of(ida)
    page = client.get(address(plan))
    text = page.content.decode()
    assert "FLOOR &amp; 1" in text
    assert "<b>" not in text
    assert page.context["found"].problems == ()
    assert Floor.objects.count() == 0
    answer = client.post(address(plan), hidden(page))
    floor = Floor.objects.get()
    assert answer["Location"] == reverse("projects:floor_page", args=[floor.public_id])
    document = floor.versions.get().document
    assert document["name"] == "Lot 7"
    assert document["outline"][1] == ["40'-0\"", '0"']
    assert document["openings"][0]["name"] == "STAIR <b>"
    assert document["supports"][0]["width"] == '3 1/2"'
    assert AuditEntry.objects.filter(verb="floor_create").count() == 1
    client.post(address(plan), hidden(page))  # a second click
    assert Floor.objects.count() == 1


def test_choices_change_what_is_shown(project: Project, ida: User) -> None:
    plan, client = added(project, plan_dxf(), "Lot 7.dxf"), client_of(ida)
    none = client.get(
        address(plan), {"chosen": "1", "walls": "-1", "openings": "-1", "units": "mm", "outline": "0"}
    )
    assert none.context["found"].document is None
    assert "choose another" in none.content.decode()
    plain = client.get(address(plan), {"chosen": "1", "walls": "-1", "openings": "-1", "name": "Upper"})
    document = plain.context["found"].document
    assert (document["supports"], document["openings"], document["name"]) == ([], [], "Upper")
    assert "the layer was not chosen" in plain.content.decode()


def test_the_editor_opens_with_it_and_nothing_is_saved(project: Project, ida: User) -> None:
    plan, client = added(project, plan_dxf(), "Lot 7.dxf"), client_of(ida)
    page = client.get(address(plan))
    link = re.search(r'href="([^"]*/import/draw/\?[^"]*)"', page.content.decode())
    assert link is not None
    start = start_of(client.get(unescape(link[1])))
    assert start["document"] == page.context["found"].document
    assert (start["base_version"], start["urls"]["draft"]) == (0, None)
    assert Floor.objects.count() == 0
    asked = client.get(address(plan, "projects:import_draw"), {"outline": "-1", "chosen": "1"})
    assert "on which layer the outline lies" in asked.content.decode()


def test_a_taken_name_is_asked_for(project: Project, ida: User) -> None:
    make.floor(project, name="Lot 7")
    plan, client = added(project, plan_dxf(), "Lot 7.dxf"), client_of(ida)
    page = client.get(address(plan))
    assert "The name is taken." in page.content.decode()
    assert "Make the floor" not in page.content.decode()
    refused = client.post(address(plan), page.context["hidden"])
    assert refused.status_code == 422
    assert "named “Lot 7” already" in refused.content.decode()
    assert client.post(address(plan), page.context["hidden"] | {"name": "Lot 7, upper"}).status_code == 302


def test_a_floor_that_can_not_be_framed_goes_to_the_editor(project: Project, ida: User) -> None:
    made = drawing()
    lines(made.modelspace(), L_SHAPE, "A")
    ring(made.modelspace(), box((440, 10), (500, 60)), "B")
    plan, client = added(project, text_of(made), "a.dxf"), client_of(ida)
    chosen = {"chosen": "1", "openings": "1"}
    text = client.get(address(plan), chosen).content.decode()
    assert "can&#x27;t be framed as it is" in text or "can't be framed as it is" in text
    assert "Make the floor" not in text
    assert "Open it in the plan editor" in text
    assert client.post(address(plan), chosen).status_code == 422


def test_a_list_of_corners_becomes_a_floor(project: Project, ida: User) -> None:
    plan, client = added(project, LIST, "corners.csv"), client_of(ida)
    page = client.get(address(plan))
    assert "A number without a unit is in" in page.content.decode()
    assert client.post(address(plan), hidden(page)).status_code == 302
    assert Floor.objects.get().versions.get().document["openings"][0]["size"] == ["4'-0\"", "8'-0\""]


def test_errors_of_a_list_have_row_and_column(project: Project, ida: User) -> None:
    plan = added(project, b"x,y\n0,0\n5 cubits,1\n9,9\n", "corners.csv")
    text = client_of(ida).get(address(plan)).content.decode()
    assert "row 3, column x" in text
    assert "5 cubits" in text


def test_a_floor_document_comes_in_whole(project: Project, ida: User) -> None:
    document = make.document("Loft", supports=[{"id": "W1", "from": ["0", "7'"], "to": ["24'", "7'"]}])
    plan, client = added(project, json.dumps(document).encode(), "loft.json"), client_of(ida)
    page = client.get(address(plan))
    assert client.post(address(plan), hidden(page) | {"level": "3"}).status_code == 302
    assert Floor.objects.get().versions.get().document == document | {"level": "3"}
    broken = added(project, json.dumps(document | {"bays": []}).encode(), "broken.json")
    text = client.get(address(broken)).content.decode()
    assert '<span class="fig">bays</span>' in text
    assert "at least 1 are taken" in text


def test_who_may_look_and_who_may_make(project: Project) -> None:
    plan = added(project, plan_dxf(), "Lot 7.dxf")
    for role in MAKERS:
        assert "Make the floor" in client_of(role).get(address(plan)).content.decode()
    for role in LOOKERS:
        client = client_of(role)
        text = client.get(address(plan)).content.decode()
        assert "Make the floor" not in text
        assert "plan editor" not in text
        assert client.post(address(plan), {}).status_code == 403
        assert client.get(address(plan, "projects:import_draw")).status_code == 403
        with pytest.raises(NotAllowed):
            floor_import(actor=people.actor(role), at=database_now(), plan=plan, choice=first_choice(plan))
    assert client_of(Role.SHOP).get(address(plan)).status_code == 403
    assert Client().get(address(plan)).status_code == 302
    assert Floor.objects.count() == 0


def test_what_is_no_drawing_or_not_read_has_no_import(project: Project, ida: User) -> None:
    waiting = plan_file_add(
        actor=person(ida), at=database_now(), project=project, name="a.dxf", data=plan_dxf()
    )
    assert not can_import(waiting)
    client = client_of(ida)
    assert client.get(address(waiting)).status_code == 404
    assert client.get(reverse("projects:import_file", args=[project.public_id, "nothing"])).status_code == 404
    other = make.project(ida)
    assert (
        client.get(reverse("projects:import_file", args=[other.public_id, waiting.public_id])).status_code
        == 404
    )
    with pytest.raises(Refused, match="No floor can be taken from"):
        floor_import(actor=person(ida), at=database_now(), plan=waiting, choice=Choice())


# --- by the API ---


def test_the_api_tells_and_makes(project: Project, ida: User) -> None:
    plan, client = added(project, plan_dxf(), "Lot 7.dxf"), client_of(ida)
    url = address(plan, "api:plan_import")
    told = client.get(url).json()
    assert [layer["name"] for layer in told["layers"]] == ["FLOOR & 1", "HOLE", "WALL"]
    assert told["choice"]["outline"] == 0
    assert (told["problems"], len(told["outlines"])) == ([], 1)
    assert client.get(url, {"walls": "-1"}).json()["document"]["supports"] == []
    body = json.dumps({"name": "From the API", "walls": -1})
    made = client.post(url, body, content_type="application/json")
    assert made.status_code == 201
    assert made.json()["document"]["name"] == "From the API"
    assert client.post(url, body, content_type="application/json").json()["id"] == made.json()["id"]
    wrong = client.post(url, json.dumps({"units": "cubits"}), content_type="application/json")
    assert wrong.status_code == 422
    asked = client.post(url, json.dumps({"outline": -1}), content_type="application/json")
    assert asked.status_code == 422
    assert "outline" in asked.content.decode()
    for role in LOOKERS:
        assert client_of(role).get(url).status_code == 200
        assert client_of(role).post(url, body, content_type="application/json").status_code == 403
