"""Builders, projects, floors and practice sets: rights, refusals, compare-and-set, audit."""

from __future__ import annotations

from threading import Barrier, Thread
from typing import Any

import pytest
from django.db import connection

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.errors import ApplicationError, NotAllowed, Refused, StaleSave
from framing.common.models import Role
from framing.engine.practice import Practice
from framing.projects import selectors, services
from framing.projects.models import Builder, Floor, FloorVersion, PracticeSet
from tests.factories import people
from tests.factories import projects as make

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("role", [Role.SELLER, Role.MANAGER])
def test_sales_enter_a_builder_and_it_is_recorded(role: str) -> None:
    seller = people.actor(role)
    builder = services.builder_create(
        actor=seller,
        at=make.AT,
        name=" Hollin Homes ",
        contact_name="Rae",
        email="rae@example.test",
        tier="B",
    )
    assert (builder.name, builder.owner, builder.tier) == ("Hollin Homes", seller.user, "B")
    (entry,) = audit_list(builder)
    assert (entry.verb, entry.actor_name, entry.at) == ("builder_create", seller.name, make.AT)


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_other_roles_change_no_builder_project_or_floor(role: str) -> None:
    actor, floor = people.actor(role), make.floor()
    with pytest.raises(NotAllowed):
        services.builder_create(actor=actor, at=make.AT, name="A", contact_name="B", email="a@example.test")
    with pytest.raises(NotAllowed):
        services.builder_change(actor=actor, at=make.AT, builder=floor.project.builder, name="X")
    with pytest.raises(NotAllowed):
        services.project_create(
            actor=actor, at=make.AT, builder=floor.project.builder, name="X", site=make.SITE
        )
    with pytest.raises(NotAllowed):
        services.floor_create(actor=actor, at=make.AT, project=floor.project, document=make.document("X"))
    with pytest.raises(NotAllowed):
        services.floor_save(actor=actor, at=make.AT, floor=floor, document=make.document("X"), base_version=1)
    assert Builder.objects.count() == 1
    assert FloorVersion.objects.count() == 1


def test_a_builders_name_is_taken_once() -> None:
    make.builder(name="Hollin Homes")
    with pytest.raises(Refused, match="this name already") as refusal:
        make.builder(name="Hollin Homes")
    assert refusal.value.field == "name"


@pytest.mark.parametrize(
    ("fields", "field"),
    [({"email": "no address"}, "email"), ({"name": ""}, "name"), ({"phone": "1" * 41}, "phone")],
)
def test_a_wrong_builder_field_is_named(fields: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        make.builder(**fields)
    assert refusal.value.field == field


def test_a_change_records_before_and_after() -> None:
    builder = make.builder(name="Hollin Homes")
    services.builder_change(
        actor=person(builder.owner), at=make.AT, builder=builder, name="Hollin Ridge", phone=builder.phone
    )
    entry = audit_list(builder).last()
    assert entry is not None
    assert entry.change == {"name": ["Hollin Homes", "Hollin Ridge"]}


def test_a_change_that_changes_nothing_is_not_recorded() -> None:
    builder = make.builder()
    services.builder_change(actor=person(builder.owner), at=make.AT, builder=builder, name=builder.name)
    assert [entry.verb for entry in audit_list(builder)] == ["builder_create"]


def test_a_project_has_a_site_and_an_owner() -> None:
    seller = people.user()
    project = make.project(seller, name="Marsh Lane 14", units="metric")
    assert (project.owner, project.units) == (seller, "metric")
    assert str(project.site) == "14 Marsh Lane, Alder Falls, OH 44000"
    assert audit_list(project).get().verb == "project_create"


def test_a_project_name_is_taken_once_a_builder() -> None:
    builder = make.builder()
    make.project(of=builder, name="Marsh Lane 14")
    with pytest.raises(Refused, match="project of this name"):
        make.project(of=builder, name="Marsh Lane 14")
    assert make.project(name="Marsh Lane 14").name == "Marsh Lane 14"


def test_a_floor_keeps_every_saved_version() -> None:
    floor = make.floor(name="First floor")
    saver = person(floor.owner)
    saved = services.floor_save(
        actor=saver,
        at=make.AT,
        floor=floor,
        document=make.document("First floor", width="26'"),
        base_version=1,
    )
    assert saved.version == 2
    assert selectors.floor_version(floor).document["outline"][1] == ["26'", "0"]
    assert selectors.floor_version(floor, 1).document["outline"][1] == ["24'", "0"]
    assert [entry.change for entry in audit_list(floor)] == [{"version": 1}, {"version": [1, 2]}]


def test_a_floor_is_renamed_by_its_document() -> None:
    floor = make.floor(name="First floor")
    services.floor_save(
        actor=person(floor.owner), at=make.AT, floor=floor, document=make.document("Attic"), base_version=1
    )
    assert Floor.objects.get(pk=floor.pk).name == "Attic"


def test_floors_of_a_project_have_names_of_their_own() -> None:
    project = make.project()
    make.floor(project, name="First floor")
    other = make.floor(project, name="Second floor")
    with pytest.raises(Refused) as refusal:
        make.floor(project, name="First floor")
    assert refusal.value.field == "name"
    with pytest.raises(Refused):
        services.floor_save(
            actor=person(other.owner),
            at=make.AT,
            floor=other,
            document=make.document("First floor"),
            base_version=1,
        )
    assert [state.floor.name for state in selectors.floor_state_list(project)] == [
        "First floor",
        "Second floor",
    ]


def test_the_same_document_again_makes_no_version() -> None:
    floor = make.floor(name="First floor")
    saved = services.floor_save(
        actor=person(floor.owner),
        at=make.AT,
        floor=floor,
        document=make.document("First floor"),
        base_version=1,
    )
    assert saved.version == 1
    assert floor.versions.count() == 1


def test_a_stale_save_tells_who_saved_and_what_differs() -> None:
    floor = make.floor(name="First floor")
    first, second = people.actor(), people.actor(Role.MANAGER)
    services.floor_save(
        actor=first,
        at=make.AT,
        floor=floor,
        document=make.document("First floor", width="26'"),
        base_version=1,
    )
    with pytest.raises(StaleSave) as stale:
        services.floor_save(
            actor=second,
            at=make.AT,
            floor=floor,
            document=make.document("First floor", spacing="24"),
            base_version=1,
        )
    detail = stale.value.detail
    assert (detail["version"], detail["saved_by"], detail["saved_at"]) == (2, first.name, make.AT.isoformat())
    assert detail["differences"] == [
        {"place": "outline.1.0", "base": "24'", "yours": "24'", "theirs": "26'", "by": "they"},
        {"place": "outline.2.0", "base": "24'", "yours": "24'", "theirs": "26'", "by": "they"},
        {"place": "bays.0.spacing", "base": "16", "yours": "24", "theirs": "16", "by": "you"},
    ]
    assert Floor.objects.get(pk=floor.pk).version == 2


@pytest.mark.parametrize("base_version", [0, 2, 99, -1])
def test_a_base_version_that_is_not_the_newest_is_stale(base_version: int) -> None:
    floor = make.floor()
    with pytest.raises(StaleSave):
        services.floor_save(
            actor=person(floor.owner),
            at=make.AT,
            floor=floor,
            document=make.document("Other"),
            base_version=base_version,
        )


@pytest.mark.django_db(transaction=True)
def test_of_two_saves_at_once_one_is_kept_and_one_is_returned() -> None:
    floor = make.floor(name="First floor")
    actors = [people.actor(), people.actor()]
    barrier, answers = Barrier(2), []

    def save(index: int) -> None:
        document = make.document("First floor", width=("26'", "28'")[index])
        barrier.wait()
        try:
            services.floor_save(
                actor=actors[index], at=make.AT, floor=floor, document=document, base_version=1
            )
            answers.append("saved")
        except ApplicationError as error:
            answers.append(type(error).__name__)
        finally:
            connection.close()

    threads = [Thread(target=save, args=(index,)) for index in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(answers) == ["StaleSave", "saved"]
    assert Floor.objects.get(pk=floor.pk).version == 2
    assert floor.versions.count() == 2


@pytest.mark.parametrize(
    ("change", "place", "words"),
    [
        ({"width": "twelve"}, "outline.1.0", "is not a length"),
        ({"width": float("nan")}, "outline.1.0", "must be a length"),
        ({"spacing": "17"}, "bays.0.spacing", "is not offered"),
        ({"depth": "0"}, "outline.2", ""),
    ],
)
def test_a_floor_that_can_not_be_is_refused_at_its_place(
    change: dict[str, Any], place: str | None, words: str
) -> None:
    floor = make.floor(name="First floor")
    document = make.document("First floor")
    if "spacing" in change:
        document["bays"][0]["spacing"] = change["spacing"]
    if "width" in change:
        document["outline"][1][0] = document["outline"][2][0] = change["width"]
    if "depth" in change:
        document["outline"][2][1] = document["outline"][3][1] = change["depth"]
    with pytest.raises(Refused) as refusal:
        services.floor_save(
            actor=person(floor.owner), at=make.AT, floor=floor, document=document, base_version=1
        )
    detail = refusal.value.detail
    assert all(problem["message"] for problem in detail)
    if place is not None:
        assert place in [problem["place"] for problem in detail]
    assert words in refusal.value.message
    assert floor.versions.count() == 1


def test_a_wrong_document_version_is_refused() -> None:
    project = make.project()
    with pytest.raises(Refused, match="Version 2"):
        services.floor_create(
            actor=person(project.owner),
            at=make.AT,
            project=project,
            document={**make.document(), "version": 2},
        )


def test_a_practice_set_takes_the_place_of_the_last() -> None:
    manager = people.actor(Role.MANAGER)
    assert selectors.practice_in_force() == Practice()
    services.practice_set_put(actor=manager, at=make.AT, name="Northern", values={"inside_bearing_16": 72})
    services.practice_set_put(
        actor=manager, at=make.AT, name="Northern", values={"rim_sticks_ft": [16, 24], "lift_limit_lb": 1800}
    )
    assert selectors.practice_in_force() == Practice(
        name="Northern", version=2, rim_sticks_ft=(16, 24), lift_limit_lb=1800.0
    )
    assert PracticeSet.objects.filter(in_force=True).count() == 1


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"gravity": 32}, "unknown values: gravity"),
        ({"name": "x"}, "unknown values: name"),
        ({"plies_most": "three"}, "plies_most"),
        ({"plies_most": True}, "plies_most"),
        ({"rim_sticks_ft": 12}, "rim_sticks_ft"),
    ],
)
def test_practice_values_unknown_or_of_the_wrong_kind_are_refused(values: dict[str, Any], words: str) -> None:
    with pytest.raises(Refused, match=words):
        services.practice_set_put(actor=people.actor(Role.MANAGER), at=make.AT, name="Own", values=values)
    assert not PracticeSet.objects.exists()


def test_only_the_sales_manager_changes_the_practice_set() -> None:
    with pytest.raises(NotAllowed):
        services.practice_set_put(actor=people.actor(), at=make.AT, name="Own", values={})


def test_the_current_practice_set_is_made_once() -> None:
    first = services.practice_set_current(at=make.AT)
    assert (first.name, first.version, first.in_force) == ("Standard", 1, True)
    assert services.practice_set_current(at=make.AT) == first
