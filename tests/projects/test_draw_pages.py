"""Routes of the plan editor: each role, the page and its start, answers, bodies of all kinds."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from framing.common.models import AuditEntry, Role, User
from framing.projects import draw_price
from framing.projects.draw_price import tell_pricer
from framing.projects.models import Floor, FloorDraft, Project
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.projects.draw_helpers import post, saved_of, start_of, url, with_opening

pytestmark = pytest.mark.django_db

MAY_CHANGE = (Role.SELLER, Role.MANAGER)
MAY_LOOK = (*MAY_CHANGE, Role.PLANNER, Role.DISPATCHER, Role.ADMINISTRATOR)


@pytest.fixture(autouse=True)
def nobody_is_there() -> None:
    cache.clear()


@pytest.fixture
def ida() -> User:
    return people.user(Role.SELLER, name="Ida")


@pytest.fixture
def ben() -> User:
    return people.user(Role.SELLER, name="Ben")


@pytest.fixture
def floor() -> Floor:
    return make.floor(name="Upper floor")


# --- who may ---


@pytest.mark.parametrize("role", Role.values)
def test_each_role_and_each_route(role: str, floor: Floor) -> None:
    client, document = client_of(people.user(role)), saved_of(floor)
    look, change = role in MAY_LOOK, role in MAY_CHANGE
    drawing = {"sequence": 1, "document": document, "code": "strap", "base_version": 1}
    asked = [
        (look, post(client, url("draw_answer", floor.project), drawing)),
        (look, post(client, url("draw_places", floor.project), drawing)),
        (look, post(client, url("draw_presence", floor), drawing)),
        (look, client.get(url("draw_versions", floor))),
        (look, client.get(url("draw_version", floor, 1))),
        (change, post(client, url("draw_draft", floor), drawing)),
        (change, post(client, url("draw_draft_drop", floor), {})),
        (change, post(client, url("draw_save", floor), drawing)),
    ]
    assert [answer.status_code for _, answer in asked] == [200 if allowed else 403 for allowed, _ in asked]
    made = post(client, url("draw_create", floor.project), {"document": document | {"name": "Attic"}})
    assert made.status_code == (201 if change else 403)
    assert floor.project.floors.count() == (2 if change else 1)


def test_strangers_are_asked_to_sign_in(floor: Floor) -> None:
    for answer in (
        Client().get(url("floor_draw", floor)),
        post(Client(), url("draw_save", floor), {}),
        post(Client(), url("draw_answer", floor.project), {}),
    ):
        assert answer.status_code == 302
        assert reverse("account_login") in answer["Location"]


def test_posts_need_a_token_and_come_from_here(ida: User, floor: Floor) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(ida)
    body = {"document": with_opening(floor), "base_version": 1}
    for name in ("draw_draft", "draw_save", "draw_presence"):
        assert post(client, url(name, floor), body).status_code == 403
    own = client_of(ida)
    foreign = own.post(
        url("draw_save", floor),
        json.dumps(body),
        content_type="application/json",
        headers={"Sec-Fetch-Site": "cross-site"},
    )
    assert foreign.status_code == 403
    floor.refresh_from_db()
    assert floor.version == 1
    assert not FloorDraft.objects.exists()


@pytest.mark.parametrize(
    "name", ["draw_draft", "draw_save", "draw_presence", "draw_answer", "draw_places", "draw_create"]
)
def test_what_is_not_there_is_not_found(ida: User, name: str) -> None:
    body = {"sequence": 1, "code": "strap", "document": make.document(), "base_version": 1}
    answer = post(client_of(ida), reverse(f"projects:{name}", args=["0" * 20]), body)
    assert answer.status_code == 404
    assert answer.json()["message"]


# --- the page ---


def test_the_page_begins_with_the_saved_floor(ida: User, floor: Floor) -> None:
    start = start_of(client_of(ida).get(url("floor_draw", floor)))
    assert start["document"] == saved_of(floor)
    assert (start["base_version"], start["from_draft"], start["name"]) == (1, False, "Upper floor")
    assert (start["units"], start["may_change"], start["may_price"]) == ("imperial", True, True)
    assert set(start["urls"]) == {
        "answer", "places", "change", "options", "draft", "draft_drop", "save", "versions", "presence",
    }  # fmt: skip
    assert "Sleeping rooms" in start["occupancies"]
    assert len(start["profiles"]) > 20


def test_the_page_goes_on_with_the_own_draft_alone(ida: User, ben: User, floor: Floor) -> None:
    drawn = with_opening(floor)
    assert (
        post(client_of(ida), url("draw_draft", floor), {"document": drawn, "base_version": 1}).status_code
        == 200
    )
    mine = start_of(client_of(ida).get(url("floor_draw", floor)))
    assert (mine["document"], mine["from_draft"], mine["base_version"]) == (drawn, True, 1)
    his = start_of(client_of(ben).get(url("floor_draw", floor)))
    assert (his["document"], his["from_draft"]) == (saved_of(floor), False)


def test_those_who_only_look_get_the_saved_floor_and_no_price(floor: Floor) -> None:
    start = start_of(client_of(Role.PLANNER).get(url("floor_draw", floor)))
    assert (start["may_change"], start["may_price"], start["from_draft"]) == (False, False, False)


@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_a_new_floor_begins_empty_and_is_saved_at_its_project(ida: User, units: str) -> None:
    project, client = make.project(units=units), client_of(ida)
    start = start_of(client.get(url("floor_draw_new", project)))
    document = start["document"]
    assert (document["outline"], document["units"], start["base_version"]) == ([], units, 0)
    assert start["urls"]["save"] == url("draw_create", project)
    assert start["urls"]["draft"] is start["urls"]["versions"] is start["urls"]["presence"] is None
    empty = post(client, start["urls"]["save"], {"document": document, "base_version": 0})
    assert empty.status_code == 422
    assert empty.json()["problems"][0]["place"] == "outline"
    document["outline"] = [["0", "0"], ["24'", "0"], ["24'", "14'"], ["0", "14'"]]
    made = post(client, start["urls"]["save"], {"document": document, "base_version": 0})
    floor = project.floors.get()
    assert made.status_code == 201
    assert (made.json()["public_id"], made.json()["version"]) == (floor.public_id, 1)
    assert made.json()["url"] == url("floor_draw", floor)
    assert AuditEntry.objects.filter(verb="floor_create", object_id=floor.pk).count() == 1
    again = post(client, start["urls"]["save"], {"document": document, "base_version": 0})
    assert (again.status_code, again.json()) == (201, made.json()), "the first answer may have been lost"
    assert project.floors.count() == 1
    other = post(client, start["urls"]["save"], {"document": document | {"repeat": 2}, "base_version": 0})
    assert other.status_code == 422
    assert other.json()["problems"][0]["place"] == "name"
    theirs = post(client_of(Role.SELLER), start["urls"]["save"], {"document": document, "base_version": 0})
    assert theirs.status_code == 422, "somebody else's floor is not one's own asked twice"


@pytest.mark.parametrize("name", ["", "\x00", "\ud800", "x" * 81, None, 7])
def test_a_new_floor_needs_a_name_that_can_be_stored(ida: User, name: Any) -> None:
    project = make.project()
    answer = post(client_of(ida), url("draw_create", project), {"document": make.document() | {"name": name}})
    assert (answer.status_code, answer.json()["problems"][0]["place"]) == (422, "name")
    assert not project.floors.exists()


def test_only_those_who_may_make_floors_open_a_new_one() -> None:
    project = make.project()
    assert client_of(Role.PLANNER).get(url("floor_draw_new", project)).status_code == 403


# --- answers ---


def test_an_answer_carries_its_number(ida: User, floor: Floor) -> None:
    answer = post(
        client_of(ida), url("draw_answer", floor.project), {"sequence": 41, "document": saved_of(floor)}
    )
    body = answer.json()
    assert (body["sequence"], body["state"], len(body["members"])) == (41, "drawn", 17)
    assert not AuditEntry.objects.filter(verb="floor_save").exists()


@pytest.mark.parametrize("sequence", [None, -1, 1.5, "1", True, 10**30])
def test_an_answer_without_a_number_is_refused(ida: User, floor: Floor, sequence: Any) -> None:
    body = {"sequence": sequence, "document": saved_of(floor)}
    answer = post(client_of(ida), url("draw_answer", floor.project), body)
    assert answer.status_code == 422
    assert "sequence" in answer.json()["message"]


@pytest.mark.parametrize(
    "text", ["", "nonsense", "[]", "7", '{"sequence": NaN}', b"\xff\xfe", "[" * 100_000, '{"a":' * 50_000]
)
def test_what_is_no_json_object_is_not_read(ida: User, floor: Floor, text: str | bytes) -> None:
    for name, thing in (("draw_answer", floor.project), ("draw_draft", floor), ("draw_save", floor)):
        answer = post(client_of(ida), url(name, thing), text)
        assert answer.status_code == 400
        assert answer.json()["message"].endswith("Nothing was changed.")


def test_a_broken_document_is_answered_and_not_saved(ida: User, floor: Floor) -> None:
    broken = saved_of(floor) | {"outline": [["0", "0"], ["24'", "0"], ["24'", "\ud800\x00"]], "level": "\x00"}
    answer = post(client_of(ida), url("draw_answer", floor.project), {"sequence": 1, "document": broken})
    assert (answer.status_code, answer.json()["state"]) == (200, "unread")
    refused = post(client_of(ida), url("draw_save", floor), {"document": broken, "base_version": 1})
    assert refused.status_code == 422
    places = [problem["place"] for problem in refused.json()["problems"]]
    assert "level" in places
    assert set(refused.json()["problems"][0]) == {"place", "message", "x", "y"}


def test_a_save_that_cannot_be_built_says_where(ida: User, floor: Floor) -> None:
    outside = with_opening(floor, corner=["40'", "2'"])
    refused = post(client_of(ida), url("draw_save", floor), {"document": outside, "base_version": 1})
    (problem, *_) = refused.json()["problems"]
    assert refused.status_code == 422
    assert problem["place"].startswith("openings.0")
    assert problem["x"] >= 480


def test_prices_are_for_those_who_may_see_them(floor: Floor) -> None:
    seen = []

    def pricer(result: Any, practice: Any, project: Project) -> dict[str, str]:
        seen.append((len(result.members), project))
        return {"total": "1,234.00", "words": "USD, goods of this floor"}

    body = {"sequence": 1, "document": saved_of(floor)}
    before = draw_price._told[:]
    tell_pricer(pricer)
    try:
        told = post(client_of(Role.SELLER), url("draw_answer", floor.project), body).json()
        kept = post(client_of(Role.PLANNER), url("draw_answer", floor.project), body).json()
    finally:
        draw_price._told[:] = before
    assert (told["price"]["total"], kept["price"]) == ("1,234.00", None)
    assert seen == [(17, floor.project)]


def test_places_need_a_code(ida: User, floor: Floor) -> None:
    address = url("draw_places", floor.project)
    found = post(client_of(ida), address, {"document": saved_of(floor), "code": "steel_screw"}).json()
    assert (found["code"], len(found["places"]) >= 34) == ("steel_screw", True)
    assert post(client_of(ida), address, {"document": saved_of(floor)}).status_code == 422
    broken = post(client_of(ida), address, {"document": {}, "code": "strap"})
    assert (broken.status_code, broken.json()["places"]) == (200, [])


# --- the ways there ---


def test_the_editor_is_reached_from_the_floor_and_from_its_project(floor: Floor) -> None:
    """Those who may draw are asked to draw, the others to look; only the first may begin a floor."""
    editor, new = url("floor_draw", floor), url("floor_draw_new", floor.project)
    for role, word in ((Role.SELLER, "Draw on the plan"), (Role.PLANNER, "Look on the plan")):
        client = client_of(role)
        for page in (url("floor_page", floor), url("project_page", floor.project)):
            text = client.get(page).content.decode()
            assert f'href="{editor}"' in text
            assert word in text
        assert (f'href="{new}"' in text) == (role == Role.SELLER)
