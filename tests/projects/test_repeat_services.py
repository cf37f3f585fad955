"""Floors made from a floor, moved in their project, built several times, taken off and put back."""

from __future__ import annotations

from typing import Any

import pytest
from django.db.models import Model

from framing.common.actors import Actor, person
from framing.common.errors import KeyMissing, NotAllowed, NotThere, Refused, StaleSave
from framing.common.models import AuditEntry, Role, User
from framing.projects import draw_services, services
from framing.projects.design import plan_of
from framing.projects.mirrored import LEFT_RIGHT
from framing.projects.models import (
    Floor,
    FloorDraft,
    FloorUnderlay,
    FloorVersion,
    PlanFile,
    PlanPage,
    Project,
)
from framing.projects.repeat_removal import floor_put_back, floor_take_off
from framing.projects.repeat_selectors import mirrored_name, next_storey, taken_off
from framing.projects.repeat_services import Copy, floor_place, floor_repeat, floor_times
from framing.projects.selectors import floor_get, history_list, practice_in_force
from orders.models import Order
from tests.factories import orders, people
from tests.factories import projects as make

pytestmark = pytest.mark.django_db

OPENING = {"id": "S1", "kind": "stair", "corner": ["8'", "2'"], "size": ["4'", "8'"]}
SECOND = Copy("Second floor", "2")


@pytest.fixture
def home() -> Project:
    return make.project()


@pytest.fixture
def floor(home: Project) -> Floor:
    return make.floor(home, name="Main floor", openings=[OPENING])


def boss() -> Actor:
    return people.actor(Role.MANAGER)


def repeat(floor: Floor, *copies: Copy, key: str = "k", actor: Actor | None = None) -> tuple[Floor, ...]:
    return floor_repeat(actor=actor or boss(), at=make.AT, floor=floor, copies=copies, key=key)


def names(home: Project) -> list[str]:
    return [floor.name for floor in home.floors.all()]


def document(floor: Floor) -> dict[str, Any]:
    found: dict[str, Any] = floor.versions.order_by("-number")[0].document
    return found


def test_copies_stand_after_their_source_and_say_what_it_says(home: Project, floor: Floor) -> None:
    make.floor(home, name="Roof deck")
    made = repeat(floor, SECOND, Copy("Third floor", "3", LEFT_RIGHT, 4))
    assert names(home) == ["Main floor", "Second floor", "Third floor", "Roof deck"]
    assert [row.position for row in home.floors.all()] == [1, 2, 3, 4]
    same, turned = (document(new) for new in made)
    assert same == document(floor) | {"name": "Second floor", "level": "2"}
    assert (turned["level"], turned["repeat"], turned["openings"][0]["corner"]) == ("3", 4, ["12'-0\"", "2'"])
    assert plan_of(turned, practice_in_force()).openings[0].rect.low.x_16 == (24 - 8 - 4) * 192


def test_the_newest_version_is_repeated_and_the_trail_tells_of_it(home: Project, floor: Floor) -> None:
    services.floor_save(
        actor=boss(), at=make.AT, floor=floor, document=document(floor) | {"openings": []}, base_version=1
    )
    actor = boss()
    (new,) = repeat(floor, SECOND, actor=actor)
    assert document(new)["openings"] == []
    assert (new.version, new.versions.get().saved_by) == (1, actor.name)
    assert f"{actor.name} repeated a floor: Main floor as Second floor" in [
        line.words for line in history_list(home)
    ]
    assert [
        entry.verb for entry in AuditEntry.objects.filter(object_id=new.pk, object_type="projects.floor")
    ] == ["floor_create"]


def test_asked_twice_with_one_key_the_floors_are_made_once(home: Project, floor: Floor) -> None:
    actor = boss()
    first = repeat(floor, SECOND, actor=actor)
    assert repeat(floor, SECOND, actor=actor) == first
    assert names(home) == ["Main floor", "Second floor"]
    with pytest.raises(Refused, match="used for another act"):
        repeat(floor, Copy("Attic", "3"), actor=actor)
    with pytest.raises(KeyMissing):
        repeat(floor, Copy("Attic", "3"), key="")


def test_every_wrong_row_is_named_and_nothing_is_made(home: Project, floor: Floor) -> None:
    with pytest.raises(Refused) as refused:
        repeat(
            floor,
            Copy("Main floor", "1"),
            Copy("Attic", "three"),
            Copy("Attic", "3"),
            Copy("", "4", None, 100),
            Copy("Loft", "4", "upside-down"),  # type: ignore[arg-type]
        )
    found = {problem["place"]: problem["message"] for problem in refused.value.detail}
    assert refused.value.field == "copies.0.name"
    assert found["copies.0.name"].startswith("The project has a floor named “Main floor” already")
    assert found["copies.2.name"].startswith("This list has a floor named “Attic” already")
    assert set(found) == {
        "copies.0.name", "copies.1.level", "copies.2.name", "copies.3.name", "copies.3.repeat", "copies.4.mirrored",
    }  # fmt: skip
    assert names(home) == ["Main floor"]


def test_a_floor_that_rules_of_today_refuse_is_refused_at_its_row(floor: Floor) -> None:
    version = FloorVersion.objects.get(floor=floor)
    version.document["bays"][0]["spacing"] = "2"
    version.save()
    with pytest.raises(Refused, match=r"^Second floor can't be built: ") as refused:
        repeat(floor, SECOND)
    assert refused.value.field == "copies.0"


def test_how_many_are_made_has_its_limits(floor: Floor, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(Refused, match="0 floors were asked for; make 1 to 20"):
        repeat(floor)
    with pytest.raises(Refused, match="21 floors"):
        repeat(floor, *(Copy(f"Storey {n}", "1") for n in range(21)))
    monkeypatch.setattr("framing.projects.repeat_services.FLOORS_MOST", 2)
    with pytest.raises(Refused, match="has 1 floors and takes 2, so 2 more"):
        repeat(floor, Copy("A", "1"), Copy("B", "1"))
    assert len(repeat(floor, SECOND)) == 1


@pytest.mark.parametrize("role", Role.values)
def test_who_may(role: str, home: Project, floor: Floor) -> None:
    make.floor(home, name="Loft")
    actor, at = people.actor(role), make.AT
    acts = (
        lambda: repeat(floor, SECOND, actor=actor),
        lambda: floor_times(actor=actor, at=at, floor=floor, repeat=2, base_version=1),
        lambda: floor_place(actor=actor, at=at, floor=floor, place=2),
        lambda: floor_take_off(actor=actor, at=at, floor=floor),
        lambda: floor_put_back(actor=actor, at=at, project=home, public_id=floor.public_id),
    )
    for act in acts:
        if role in (Role.SELLER, Role.MANAGER):
            act()
        else:
            with pytest.raises(NotAllowed):
                act()


def test_times_are_a_version_of_the_floor(floor: Floor) -> None:
    saved = floor_times(actor=boss(), at=make.AT, floor=floor, repeat=12, base_version=1)
    assert (saved.version, document(saved)) == (2, document(floor) | {"repeat": 12})
    with pytest.raises(StaleSave, match="saved version 2"):
        floor_times(actor=boss(), at=make.AT, floor=floor, repeat=3, base_version=1)
    with pytest.raises(Refused, match="more than the limit 99") as refused:
        floor_times(actor=boss(), at=make.AT, floor=floor, repeat=100, base_version=2)
    assert refused.value.field == "repeat"


def test_floors_move_to_a_place(home: Project) -> None:
    a, b, c = (make.floor(home, name=name) for name in "ABC")
    floor_place(actor=boss(), at=make.AT, floor=c, place=1)
    assert names(home) == ["C", "A", "B"]
    floor_place(actor=boss(), at=make.AT, floor=c, place=1)
    assert names(home) == ["C", "A", "B"]
    floor_place(actor=boss(), at=make.AT, floor=a, place=3)
    assert names(home) == ["C", "B", "A"]
    assert [entry.why for entry in AuditEntry.objects.filter(verb="floor_place")] == [
        "C from place 3 to 1", "A from place 2 to 3",
    ]  # fmt: skip
    for place in (0, 4):
        with pytest.raises(Refused, match="places 1 to 3"):
            floor_place(actor=boss(), at=make.AT, floor=b, place=place)


def drawn_by(floor: Floor, who: User, saved: dict[str, Any] | None = None) -> None:
    draft, at = (saved or document(floor)) | {"openings": []}, make.AT.replace(microsecond=123_456)
    draw_services.draft_keep(actor=person(who), at=at, floor=floor, document=draft, base_version=1)


def rows() -> list[dict[str, Any]]:
    """All that floors have in the database, to the last microsecond."""
    kinds: tuple[type[Model], ...] = (Floor, FloorVersion, FloorDraft)
    return [dict(row) for kind in kinds for row in kind._default_manager.order_by("pk").values()]


def test_a_floor_taken_off_comes_back_with_all_that_it_had(home: Project, floor: Floor) -> None:
    me = people.user(Role.MANAGER)
    floor_times(actor=person(me), at=make.AT, floor=floor, repeat=2, base_version=1)
    make.floor(home, name="Loft")
    drawn_by(floor, me)
    before = rows()
    assert floor_take_off(actor=person(me), at=make.AT, floor=floor) == home
    assert (names(home), FloorVersion.objects.count(), FloorDraft.objects.count()) == (["Loft"], 1, 0)
    gone = taken_off(home, floor.public_id)
    assert gone is not None
    assert (gone.name, gone.by) == ("Main floor", me.name)
    back = floor_put_back(actor=person(me), at=make.AT, project=home, public_id=floor.public_id)
    assert back == floor_get(floor.public_id)
    assert taken_off(home, floor.public_id) is None
    assert rows() == before
    assert floor_put_back(actor=person(me), at=make.AT, project=home, public_id=floor.public_id) == back
    words = [line.words for line in history_list(home)]
    assert f"{me.name} took a floor off: Main floor" in words
    assert f"{me.name} put a floor back: Main floor" in words
    assert len([line for line in words if "put a floor back" in line]) == 1


def page_under(floor: Floor) -> PlanPage:
    """A page of a plan, laid under the floor."""
    plan = PlanFile.objects.create(
        project=floor.project,
        uploaded_by=floor.owner,
        name="Plan.pdf",
        kind="pdf",
        sha256="0" * 64,
        size=9,
        state="read",
        made_at=make.AT,
    )
    page = PlanPage.objects.create(plan_file=plan, number=1, sha256="1" * 64, width_px=10, height_px=10)
    FloorUnderlay.objects.create(floor=floor, page=page)
    return page


def test_the_plan_under_a_floor_comes_back_with_it_unless_it_is_gone(home: Project, floor: Floor) -> None:
    page = page_under(floor)
    for there in (True, False):
        floor_take_off(actor=boss(), at=make.AT, floor=floor_get(floor.public_id))
        assert not FloorUnderlay.objects.exists()
        if not there:
            page.plan_file.delete()
        floor_put_back(actor=boss(), at=make.AT, project=home, public_id=floor.public_id)
        assert FloorUnderlay.objects.filter(floor_id=floor.pk).exists() is there
        assert FloorVersion.objects.filter(floor_id=floor.pk).count() == 1


def test_what_was_never_taken_off_this_project_is_not_put_back(home: Project, floor: Floor) -> None:
    other = make.project()
    floor_take_off(actor=boss(), at=make.AT, floor=floor)
    for project, public_id in ((other, floor.public_id), (home, "0" * 20)):
        with pytest.raises(NotThere):
            floor_put_back(actor=boss(), at=make.AT, project=project, public_id=public_id)
        assert taken_off(project, public_id) is None


def test_a_name_given_away_meanwhile_is_told_of(home: Project, floor: Floor) -> None:
    floor_take_off(actor=boss(), at=make.AT, floor=floor)
    make.floor(home, name="Main floor")
    with pytest.raises(Refused, match="another floor named “Main floor” now"):
        floor_put_back(actor=boss(), at=make.AT, project=home, public_id=floor.public_id)


def test_a_floor_that_somebody_else_draws_on_stays(floor: Floor) -> None:
    ida, ben = people.user(Role.SELLER, name="Ida"), people.user(Role.SELLER, name="Ben")
    drawn_by(floor, ida)
    drawn_by(floor, ben)
    with pytest.raises(Refused, match=r"^Ben and Ida have drawn on Main floor and not saved it"):
        floor_take_off(actor=boss(), at=make.AT, floor=floor)
    ben.is_active = False
    ben.save()
    with pytest.raises(Refused, match=r"^Ida has drawn"):
        floor_take_off(actor=boss(), at=make.AT, floor=floor)
    floor_take_off(actor=person(ida), at=make.AT, floor=floor)


def test_a_floor_of_an_order_in_work_stays_until_the_order_ends() -> None:
    order = orders.booked()
    floor = order.revision.quote.project.floors.all()[0]
    with pytest.raises(Refused, match=f"^Order {order.number} was booked with {floor.name}"):
        floor_take_off(actor=boss(), at=make.AT, floor=floor)
    Order.objects.filter(pk=order.pk).update(stage="cancelled")
    floor_take_off(actor=boss(), at=make.AT, floor=floor)
    assert order.revision.floors[0]["document"]["name"] == floor.name


def test_a_floor_that_is_gone_is_not_there(home: Project, floor: Floor) -> None:
    stale, known = floor_get(floor.public_id), document(floor)
    floor_take_off(actor=boss(), at=make.AT, floor=floor)
    for act in (
        lambda: repeat(stale, SECOND),
        lambda: floor_place(actor=boss(), at=make.AT, floor=stale, place=1),
        lambda: floor_take_off(actor=boss(), at=make.AT, floor=stale),
        lambda: services.floor_save(actor=boss(), at=make.AT, floor=stale, document=known, base_version=1),
        lambda: drawn_by(stale, people.user(Role.SELLER), known),
    ):
        with pytest.raises(NotThere):
            act()


@pytest.mark.parametrize(
    ("name", "level", "taken", "then"),
    [
        ("Main floor", "1", (), ("Second floor", "2")),
        ("Main floor", "1", ("Second floor",), ("Third floor", "3")),
        ("Second floor", "2", (), ("Third floor", "3")),
        ("First floor, unit B", "1", (), ("Second floor, unit B", "2")),
        ("Floor 9", "9", (), ("Floor 10", "10")),
        ("Floor 9 east", "9", (), ("Floor 10 east", "10")),
        ("Tenth floor", "10", (), ("Tenth floor 2", "11")),
        ("Loft", "A", (), ("Loft 2", "A")),
        ("Loft", "A", ("Loft 2",), ("Loft 3", "A")),
        ("Fifty", "9999", (), ("Fifty 2", "9999")),
        ("x" * 80, "1", (), ("x" * 78 + " 2", "2")),
    ],
)
def test_the_storey_above_is_proposed(
    name: str, level: str, taken: tuple[str, ...], then: tuple[str, str]
) -> None:
    found = next_storey(name, level, frozenset({name, *taken}))
    assert (found.name, found.level) == then


def test_a_mirror_has_a_name_of_its_own() -> None:
    assert mirrored_name("Unit A", frozenset({"Unit A"})) == "Unit A, mirrored"
    assert mirrored_name("Unit A", frozenset({"Unit A", "Unit A, mirrored"})) == "Unit A, mirrored 2"
    assert len(mirrored_name("x" * 80, frozenset())) == 80
