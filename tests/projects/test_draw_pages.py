"""Routes of the plan editor: each role, drafts, saves and clashes of two people, bodies of all kinds."""

from __future__ import annotations

import json
import re
from collections import Counter
from copy import deepcopy
from datetime import timedelta
from html import unescape
from random import Random
from typing import Any

import pytest
from django.core.cache import cache
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import AuditEntry, Role, User
from framing.engine.document import read_document
from framing.projects import draw_price, draw_services, selectors
from framing.projects.draw_presence import PRESENT_S, presence_list, presence_tell
from framing.projects.draw_price import tell_pricer
from framing.projects.draw_selectors import opened
from framing.projects.models import Floor, FloorDraft, Project
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.projects.draw_broken import broken

pytestmark = pytest.mark.django_db

MAY_CHANGE = (Role.SELLER, Role.MANAGER)
MAY_LOOK = (*MAY_CHANGE, Role.PLANNER, Role.DISPATCHER, Role.ADMINISTRATOR)
OPENING = {"id": "S1", "kind": "stair", "corner": ["8'", "2'"], "size": ["4'", "8'"]}


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


def url(name: str, thing: Floor | Project, *more: Any) -> str:
    return reverse(f"projects:{name}", args=[thing.public_id, *more])


def post(client: Client, address: str, body: Any) -> Any:
    text = body if isinstance(body, (str, bytes)) else json.dumps(body)
    return client.post(address, text, content_type="application/json")


def saved_of(floor: Floor) -> dict[str, Any]:
    document: dict[str, Any] = floor.versions.order_by("-number")[0].document
    return document


def with_opening(floor: Floor, **fields: Any) -> dict[str, Any]:
    return deepcopy(saved_of(floor)) | {"openings": [OPENING | fields]}


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


def start_of(answer: Any) -> dict[str, Any]:
    """The start document as the page holds it, whatever element that is in; it can't leave its element."""
    assert answer.status_code == 200
    found = re.search(r'<(\w+) id="draw-start"[^>]*>([^<]*)</\1>', answer.content.decode())
    assert found is not None
    start: dict[str, Any] = json.loads(unescape(found[2]))
    assert start == answer.context["start"] == json.loads(answer.context["start_text"])
    return start


def test_the_page_begins_with_the_saved_floor(ida: User, floor: Floor) -> None:
    start = start_of(client_of(ida).get(url("floor_draw", floor)))
    assert start["document"] == saved_of(floor)
    assert (start["base_version"], start["from_draft"], start["name"]) == (1, False, "Upper floor")
    assert (start["units"], start["may_change"], start["may_price"]) == ("imperial", True, True)
    assert set(start["urls"]) == {
        "answer", "places", "draft", "draft_drop", "save", "versions", "presence",
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


# --- drafts ---


def keep(who: User, floor: Floor, document: Any, base_version: int = 1) -> Any:
    return post(
        client_of(who), url("draw_draft", floor), {"document": document, "base_version": base_version}
    )


def test_a_draft_is_kept_once_a_person_and_not_audited(ida: User, floor: Floor) -> None:
    before = AuditEntry.objects.count()
    assert keep(ida, floor, with_opening(floor)).json()["draft"] is True
    answer = keep(ida, floor, with_opening(floor, name="Stair"))
    draft = FloorDraft.objects.get()
    assert json.loads(draft.document)["openings"][0]["name"] == "Stair"
    assert answer.json()["saved_at"] == draft.saved_at.isoformat()
    assert answer.json()["others"] == []
    assert AuditEntry.objects.count() == before
    floor.refresh_from_db()
    assert floor.version == 1


def test_a_draft_that_says_what_is_saved_goes(ida: User, floor: Floor) -> None:
    keep(ida, floor, with_opening(floor))
    answer = keep(ida, floor, saved_of(floor))
    assert answer.json()["draft"] is False
    keep(ida, floor, with_opening(floor))
    plain = {key: value for key, value in saved_of(floor).items() if key not in ("overrides", "partitions")}
    assert keep(ida, floor, plain).json()["draft"] is False, "fields left out are their defaults"
    assert not FloorDraft.objects.exists()


@pytest.mark.parametrize(
    "document",
    [{}, {"outline": "\x00\ud800"}, {"a": [1, {"b": None}]}, {"ß": "ü" * 100_000}, {"name": "</script><b>"}],
)
def test_any_object_can_be_a_draft_and_comes_back_letter_for_letter(
    ida: User, ben: User, floor: Floor, document: dict[str, Any]
) -> None:
    assert keep(ida, floor, document).status_code == 200
    assert start_of(client_of(ida).get(url("floor_draw", floor)))["document"] == document
    (other,) = keep(ben, floor, with_opening(floor)).json()["others"]
    assert other["name"] == "Ida"
    assert other["fields"] > 0


def test_what_is_no_document_or_too_large_is_no_draft(ida: User, floor: Floor) -> None:
    assert keep(ida, floor, [1]).status_code == 422
    assert keep(ida, floor, "text").status_code == 422
    deep: Any = {}
    for _ in range(40):
        deep = {"a": deep}
    assert keep(ida, floor, deep).status_code == 422
    room = 1_000_000 - len('{"a":""}')
    assert keep(ida, floor, {"a": "x" * room}).status_code == 200
    over = keep(ida, floor, {"a": "x" * (room + 1)})
    assert over.status_code == 413
    assert "1,000,001" in over.json()["message"]
    assert keep(ida, floor, {"a": "x" * 2_100_000}).status_code == 413
    assert len(FloorDraft.objects.get().document) == 1_000_000


def test_a_document_of_a_megabyte_is_not_answered_beyond_its_limit(ida: User, floor: Floor) -> None:
    big = saved_of(floor) | {"name": "x" * 1_100_000}
    answer = post(client_of(ida), url("draw_answer", floor.project), {"sequence": 1, "document": big})
    assert (answer.status_code, answer.json()["state"]) == (200, "unread")
    beyond = post(client_of(ida), url("draw_answer", floor.project), "x" * 2_600_000)
    assert beyond.status_code == 413


@pytest.mark.parametrize("base_version", [0, 2, None, "1", -1])
def test_a_draft_is_of_a_version_that_there_is(ida: User, floor: Floor, base_version: Any) -> None:
    assert keep(ida, floor, {}, base_version).status_code == 422
    assert not FloorDraft.objects.exists()


def test_a_draft_can_be_let_go(ida: User, ben: User, floor: Floor) -> None:
    keep(ida, floor, with_opening(floor))
    keep(ben, floor, with_opening(floor))
    answer = post(client_of(ida), url("draw_draft_drop", floor), {})
    assert (answer.json()["version"], answer.json()["document"]) == (1, saved_of(floor))
    assert [draft.user for draft in FloorDraft.objects.all()] == [ben]


def test_the_database_holds_one_draft_a_person_and_none_without_a_floor(ida: User, floor: Floor) -> None:
    keep(ida, floor, with_opening(floor))
    draft = FloorDraft.objects.get()
    with pytest.raises(IntegrityError, match="floor_draft_once"), transaction.atomic():
        FloorDraft.objects.create(
            floor=floor, user=ida, base_version=1, document="{}", saved_at=draft.saved_at
        )
    with pytest.raises(IntegrityError, match="floor_draft_base_from_one"), transaction.atomic():
        FloorDraft.objects.filter(pk=draft.pk).update(base_version=0)
    assert str(draft) == "Upper floor, draft of Ida"
    floor.delete()
    assert not FloorDraft.objects.exists()


# --- saving ---


def save(who: User, floor: Floor, document: Any, base_version: Any) -> Any:
    return post(client_of(who), url("draw_save", floor), {"document": document, "base_version": base_version})


def test_saving_makes_a_version_and_ends_the_draft(ida: User, ben: User, floor: Floor) -> None:
    keep(ida, floor, with_opening(floor))
    keep(ben, floor, with_opening(floor, name="His"))
    answer = save(ida, floor, with_opening(floor, name="Stair"), 1)
    assert answer.status_code == 200
    newest = floor.versions.order_by("-number")[0]
    assert answer.json() == {"version": 2, "saved_at": newest.saved_at.isoformat(), "saved_by": "Ida"}
    assert [draft.user for draft in FloorDraft.objects.all()] == [ben]
    assert AuditEntry.objects.filter(verb="floor_save", object_id=floor.pk).count() == 1


def test_saving_the_same_twice_does_no_harm(ida: User, floor: Floor) -> None:
    drawn = with_opening(floor)
    assert save(ida, floor, drawn, 1).json()["version"] == 2
    assert save(ida, floor, drawn, 1).json()["version"] == 2, "the answer may have been lost on the way"


def test_two_people_lose_nothing(ida: User, ben: User, floor: Floor) -> None:
    hers, his = with_opening(floor), saved_of(floor) | {"repeat": 3}
    keep(ben, floor, his)
    assert save(ida, floor, hers, 1).status_code == 200
    clash = save(ben, floor, his, 1)
    body = clash.json()
    assert clash.status_code == 409
    assert (body["version"], body["saved_by"]) == (2, "Ida")
    assert body["document"] == saved_of(floor)
    assert "Nothing you typed is lost" in body["message"]
    by = {row["words"]: (row["by"], row["yours"], row["theirs"]) for row in body["differences"]}
    assert by["repeat"] == ("you", "3", "1")
    assert by["opening 1, id"] == ("they", "none", "S1")
    assert json.loads(FloorDraft.objects.get(user=ben).document) == his, "his draft outlives the clash"
    # He takes over hers and saves both.
    merged = body["document"] | {"repeat": 3}
    assert save(ben, floor, merged, body["version"]).json()["version"] == 3
    assert (saved_of(floor)["repeat"], saved_of(floor)["openings"][0]["id"]) == (3, "S1")
    assert not FloorDraft.objects.exists()


def test_a_refused_save_keeps_the_draft(ida: User, floor: Floor) -> None:
    outside = with_opening(floor, corner=["40'", "2'"])
    keep(ida, floor, outside)
    assert save(ida, floor, outside, 1).status_code == 422
    assert FloorDraft.objects.filter(user=ida).exists()
    assert save(ida, floor, "{}", 1).status_code == 422
    assert save(ida, floor, with_opening(floor), "1").status_code == 422


def test_broken_documents_are_kept_as_drafts_and_saved_only_where_they_read(ida: User, floor: Floor) -> None:
    """Some hundred of them: a refusal in words or a version that reads again, never a fault."""
    chance, client = Random(1128), client_of(ida)  # noqa: S311  # the same documents every time
    whole, statuses, version = with_opening(floor), Counter[int](), 1
    for _ in range(120):
        document = broken(whole, chance)
        drawing = {"document": document, "base_version": version}
        assert post(client, url("draw_draft", floor), drawing).status_code == 200
        assert opened(floor, selectors.floor_version(floor), ida).document in (document, saved_of(floor))
        answer = post(client, url("draw_save", floor), drawing)
        statuses[answer.status_code] += 1
        if answer.status_code == 200:
            version = answer.json()["version"]
            read_document(saved_of(floor))
        else:
            assert answer.json()["problems"][0]["message"]
    assert set(statuses) == {200, 422}
    assert statuses[200] >= 5, "some are broken in a way that reads"


# --- versions ---


def test_versions_are_listed_shown_and_restored(ida: User, floor: Floor) -> None:
    first = saved_of(floor)
    save(ida, floor, with_opening(floor), 1)
    listed = client_of(ida).get(url("draw_versions", floor)).json()["versions"]
    assert (listed[0]["number"], listed[0]["saved_by"]) == (2, "Ida")
    assert [row["number"] for row in listed] == [2, 1]
    old = client_of(ida).get(url("draw_version", floor, 1)).json()
    assert (old["number"], old["document"], len(old["members"])) == (1, first, 17)
    assert old["drawn"]["openings"] == []
    assert {"opening 1, id", "opening 1, kind"} <= {row["words"] for row in old["differences"]}
    assert client_of(ida).get(url("draw_version", floor, 2)).json()["differences"] == []
    assert save(ida, floor, old["document"], 2).json()["version"] == 3
    assert saved_of(floor) == first


@pytest.mark.parametrize("number", ["0", "3", "99999999999999999999999"])
def test_a_version_that_there_is_not(ida: User, floor: Floor, number: str) -> None:
    assert client_of(ida).get(f"{url('draw_versions', floor)}{number}/").status_code == 404


# --- who else is there ---


def ask(who: User | str, floor: Floor, base_version: int = 1) -> Any:
    return post(client_of(who), url("draw_presence", floor), {"base_version": base_version})


def test_those_at_a_floor_see_one_another(ida: User, ben: User, floor: Floor) -> None:
    assert ask(ida, floor).json()["others"] == []
    (other,) = ask(ben, floor).json()["others"]
    assert (other["name"], other["here"], other["base_version"], other["fields"]) == ("Ida", True, 1, 0)
    keep(ben, floor, with_opening(floor))
    (other,) = ask(ida, floor).json()["others"]
    assert (other["name"], other["here"]) == ("Ben", True)
    assert "opening 1, id" in other["words"]
    assert other["fields"] >= 4


def test_a_save_of_somebody_else_is_told(ida: User, ben: User, floor: Floor) -> None:
    ask(ida, floor)
    save(ben, floor, with_opening(floor), 1)
    told = ask(ida, floor).json()
    assert (told["version"], told["saved_by"]) == (2, "Ben")


def test_those_who_only_look_see_others_and_are_not_told_of(ida: User, floor: Floor) -> None:
    ask(ida, floor)
    assert [other["name"] for other in ask(Role.PLANNER, floor).json()["others"]] == ["Ida"]
    assert ask(ida, floor).json()["others"] == []


def test_after_a_minute_only_the_draft_is_left(ida: User, ben: User, floor: Floor) -> None:
    later = make.AT + timedelta(seconds=PRESENT_S + 1)
    presence_tell(floor, ida, 1, make.AT)
    presence_tell(floor, ben, 1, make.AT + timedelta(seconds=5))
    assert [entry.name for entry in presence_list(floor, make.AT + timedelta(seconds=6))] == ["Ben", "Ida"]
    assert [entry.name for entry in presence_list(floor, later)] == ["Ben"]
    draw_services.draft_keep(
        actor=person(ida), at=make.AT, floor=floor, document=with_opening(floor), base_version=1
    )
    others = draw_services.presence_ask(actor=person(ben), at=later, floor=floor, base_version=1)
    assert [(other.name, other.here, other.at) for other in others] == [("Ida", False, make.AT)]


def test_the_base_version_of_somebody_present_is_one_that_there_is(ida: User, floor: Floor) -> None:
    assert ask(ida, floor, 2).status_code == 422
    assert ask(ida, floor, 0).status_code == 422


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
