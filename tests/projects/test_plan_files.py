"""Plans of a project: adding, reading by the worker, pages under floors, taking away."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from framing.common.actors import person
from framing.common.bounded import BIG, Outcome
from framing.common.bytestore import LEFT_BEHIND_S, stores_sweep
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused, TooBig
from framing.common.models import AuditEntry, OutboxEntry, Role, User
from framing.projects import plan_reading, plan_services
from framing.projects.models import Floor, FloorUnderlay, PlanFile, PlanPage, Project
from framing.projects.plan_services import (
    FILE_MOST,
    FILES_MOST,
    floor_underlay_set,
    plan_file_add,
    plan_file_remove,
    plan_page_place,
)
from framing.projects.plan_store import FILES, PICTURES, PlanDamaged, file_bytes, picture_bytes
from tests.common.test_papers_faults import age, files
from tests.factories import people
from tests.factories import projects as make
from tests.projects import plan_seeds as seeds
from tests.projects.plan_helpers import PDF, add, page_of, read

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def store(settings: Any, tmp_path: Path) -> Path:
    settings.PAPERS_DIR = tmp_path
    return tmp_path


@pytest.fixture(autouse=True)
def quick(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading in this process, but for the test that is about reading."""
    if "a_plan_is_added_read_and_shown" not in request.node.name:
        monkeypatch.setattr(plan_reading, "run_bounded", seeds.read_here)


@pytest.fixture
def ida() -> User:
    return people.user(Role.SELLER, name="Ida")


@pytest.fixture
def project() -> Project:
    return make.project()


# --- adding and reading ---


def test_a_plan_is_added_read_and_shown(project: Project, ida: User, store: Path) -> None:
    plan = add(project, ida)
    assert (plan.state, plan.kind, plan.size, plan.uploaded_by) == ("waiting", "pdf", len(PDF), ida)
    assert file_bytes(plan) == PDF
    read(plan)
    assert (plan.state, plan.message, plan.facts["pages"]) == ("read", "", 2)
    pages = list(plan.pages.all())
    assert [(page.number, page.width_px, page.height_px) for page in pages] == [(1, 834, 556), (2, 834, 556)]
    assert picture_bytes(pages[0]).startswith(b"\x89PNG")
    assert len(files(store)) == 2, "both pages look alike and are one picture"
    entry = AuditEntry.objects.get(verb="plan_file_add")
    assert entry.change == {"name": "Lot 7.pdf", "kind": "pdf"}


def test_the_same_bytes_are_one_plan_in_a_project(project: Project, ida: User) -> None:
    first = add(project, ida)
    assert add(project, ida, name="again.pdf") == first
    assert PlanFile.objects.count() == OutboxEntry.objects.filter(kind="plan_file_read").count() == 1
    assert add(make.project(), ida) != first


def test_reading_twice_changes_nothing_and_a_plan_taken_away_meanwhile_is_let_be(
    project: Project, ida: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = read(add(project, ida))
    before = list(plan.pages.values_list("pk", flat=True))
    plan_reading.plan_file_settle(plan.pk)
    assert list(plan.pages.values_list("pk", flat=True)) == before
    other = add(project, ida, seeds.pdf())
    found = plan_reading.run_bounded

    def meanwhile(job: str, data: bytes, options: dict[str, Any]) -> Outcome:
        plan_file_remove(actor=person(ida), at=database_now(), plan_file=other)
        return found(job, data, options)

    monkeypatch.setattr(plan_reading, "run_bounded", meanwhile)
    plan_reading.plan_file_settle(other.pk)
    assert not PlanFile.objects.filter(pk=other.pk).exists()
    assert not PlanPage.objects.filter(plan_file_id=other.pk).exists()


@pytest.mark.parametrize(
    ("outcome", "words"),
    [
        (Outcome("refused", "Its pages\x00 are blank. \ud800"), "Its pages\ufffd are blank. \ufffd"),
        (Outcome("big", BIG), BIG),
        (
            Outcome(
                "done", facts={"pictures": [{"number": 1, "width_px": 5, "height_px": 5}]}, blobs=(b"<html>",)
            ),
            "damaged",
        ),
        (Outcome("done", facts={"pictures": [{}]}, blobs=(b"",)), "damaged"),
        (Outcome("done", facts={}, blobs=(b"one too many",)), "damaged"),
    ],
)
def test_what_a_reader_says_is_not_trusted_blindly(
    project: Project, ida: User, monkeypatch: pytest.MonkeyPatch, outcome: Outcome, words: str
) -> None:
    monkeypatch.setattr(plan_reading, "run_bounded", lambda *_, **__: outcome)
    plan = read(add(project, ida))
    assert plan.state == "refused"
    assert words in plan.message
    assert not plan.pages.exists()


def test_facts_are_texts_that_a_column_takes(
    project: Project, ida: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    facts = {"layers": {"a\x00": ["\udfff", 1.5, None]}}
    monkeypatch.setattr(plan_reading, "run_bounded", lambda *_, **__: Outcome("done", facts=facts))
    assert read(add(project, ida)).facts == {"layers": {"a\ufffd": ["\ufffd", 1.5, None]}}


def test_a_long_pdf_is_read_in_several_runs(
    project: Project, ida: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    blob, asked = seeds.saved(seeds.sketch("L", (20, 30))), []

    def run(job: str, data: bytes, options: dict[str, Any]) -> Outcome:
        first = options.get("first", 1)
        asked.append(first)
        picture = {"number": first, "width_px": 20, "height_px": 30}
        return Outcome(
            "done",
            facts={"pages": 9, "pictures": [picture], "notes": ["long"], "next": first + 1},
            blobs=(blob,),
        )

    monkeypatch.setattr(plan_reading, "run_bounded", run)
    plan = read(add(project, ida))
    assert asked == [1, 2, 3, 4]
    assert [page.number for page in plan.pages.all()] == [1, 2, 3, 4]
    assert plan.facts["notes"] == ["long", "Pages from 5 on were left out: reading them took too long."]


def test_what_cannot_be_read_is_refused_with_words_and_leaves_nothing(
    project: Project, ida: User, store: Path
) -> None:
    actor, at = person(ida), database_now()
    with pytest.raises(Refused, match=r"“letter\.txt”: The file is a text without numbers"):
        plan_file_add(actor=actor, at=at, project=project, name="../letter.txt", data=b"Dear builder")
    with pytest.raises(TooBig, match="25,000,001 bytes; at most 25,000,000"):
        plan_file_add(actor=actor, at=at, project=project, name="a.pdf", data=b"%PDF-" + bytes(FILE_MOST - 4))
    assert not PlanFile.objects.exists()
    assert files(store) == []


def test_a_project_keeps_at_most_a_hundred_plans(
    project: Project, ida: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert FILES_MOST == 100
    monkeypatch.setattr(plan_services, "FILES_MOST", 1)
    add(project, ida)
    with pytest.raises(Refused, match="at most 1 plans"):
        add(project, ida, seeds.pdf())
    assert add(project, ida).name == "Lot 7.pdf", "what is there already may come again"


def test_the_sweep_takes_what_no_row_names_and_leaves_the_rest(
    project: Project, ida: User, store: Path
) -> None:
    plan = read(add(project, ida))
    gone = read(add(project, ida, seeds.saved(seeds.sketch())))
    orphans = {f"{FILES.write(b'orphan')}.plan", f"{PICTURES.write(b'orphan')}.png"}
    plan_file_remove(actor=person(ida), at=database_now(), plan_file=gone)
    assert stores_sweep(database_now()) == []
    age(store, LEFT_BEHIND_S + 60)
    removed = set(stores_sweep(database_now()))
    assert orphans <= removed
    assert len(removed) == 4
    assert file_bytes(plan) == PDF
    assert picture_bytes(plan.pages.get(number=2))


def test_an_altered_or_missing_file_is_not_served(project: Project, ida: User) -> None:
    page = page_of(project, ida)
    path = PICTURES.path(page.sha256)
    path.write_bytes(b"\x89PNG something else")
    with pytest.raises(PlanDamaged, match="page 1 was altered"):
        picture_bytes(page)
    path.unlink()
    with pytest.raises(PlanDamaged, match="page 1 is missing"):
        picture_bytes(page)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE projects_planfile SET kind = 'exe'",
        "UPDATE projects_planfile SET state = 'lost'",
        "UPDATE projects_planfile SET state = 'refused'",
        "UPDATE projects_planfile SET message = 'why'",
        "UPDATE projects_planfile SET size = 0",
        "UPDATE projects_planpage SET number = 0",
        "UPDATE projects_planpage SET width_px = 4001",
        "UPDATE projects_planpage SET inches_per_px = 0",
        "UPDATE projects_planpage SET quarter_turns = 4",
        "UPDATE projects_planpage SET dim = 0.05",
    ],
)
def test_plain_sql_cannot_make_it_false(project: Project, ida: User, statement: str) -> None:
    page_of(project, ida)
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement)


# --- pages under floors ---


def test_a_page_is_placed_and_the_last_word_holds(project: Project, ida: User) -> None:
    page = page_of(project, ida)
    assert page.inches_per_px is None
    plan_page_place(actor=person(ida), page=page, placement={"inches_per_px": 0.75, "x_16": -320, "y_16": 64})
    placed = plan_page_place(actor=person(ida), page=page, placement={"quarter_turns": 3, "dim": 0.3})
    placed.refresh_from_db()
    assert (placed.inches_per_px, placed.x_16, placed.y_16, placed.quarter_turns, placed.dim) == (
        0.75,
        -320,
        64,
        3,
        0.3,
    )


def test_a_locked_page_is_dimmed_and_unlocked_but_not_moved(project: Project, ida: User) -> None:
    page, actor = page_of(project, ida), person(ida)
    plan_page_place(actor=actor, page=page, placement={"locked": True, "x_16": 16})
    for placement in ({"x_16": 32}, {"inches_per_px": 1.0}, {"locked": True, "quarter_turns": 1}):
        with pytest.raises(Clash, match="unlock it before"):
            plan_page_place(actor=actor, page=page, placement=placement)
    assert plan_page_place(actor=actor, page=page, placement={"dim": 1}).dim == 1
    moved = plan_page_place(actor=actor, page=page, placement={"locked": False, "x_16": 48})
    assert (moved.locked, moved.x_16) == (False, 48)


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("inches_per_px", 0, "over 0"),
        ("inches_per_px", float("nan"), "over 0"),
        ("inches_per_px", 1000, "under 1,000"),
        ("inches_per_px", True, "over 0"),
        ("x_16", 1.5, "within 10,000 ft"),
        ("y_16", 16 * 12 * 10_001, "within 10,000 ft"),
        ("quarter_turns", 4, "0, 1, 2 or 3"),
        ("quarter_turns", -1, "0, 1, 2 or 3"),
        ("dim", 0.05, "from 0.1 to 1"),
        ("dim", "1", "from 0.1 to 1"),
        ("locked", 1, "true or false"),
        ("sha256", "0", "no such value"),
        ("plan_file", 3, "no such value"),
    ],
)
def test_a_wrong_placement_names_the_field(
    project: Project, ida: User, name: str, value: Any, words: str
) -> None:
    page = page_of(project, ida)
    with pytest.raises(Refused, match=words) as refusal:
        plan_page_place(actor=person(ida), page=page, placement={name: value})
    assert refusal.value.field == name


def test_one_page_lies_under_a_floor_and_only_of_its_own_project(project: Project, ida: User) -> None:
    floor, page, actor = make.floor(project), page_of(project, ida), person(ida)
    second = page.plan_file.pages.get(number=2)
    floor_underlay_set(actor=actor, floor=floor, page=page)
    floor_underlay_set(actor=actor, floor=floor, page=second)
    assert FloorUnderlay.objects.get().page == second
    with pytest.raises(IntegrityError), transaction.atomic():
        FloorUnderlay.objects.create(floor=floor, page=page)
    foreign = make.floor()
    with pytest.raises(Refused, match="belongs to another project"):
        floor_underlay_set(actor=actor, floor=foreign, page=page)
    floor_underlay_set(actor=actor, floor=floor, page=None)
    floor_underlay_set(actor=actor, floor=floor, page=None)
    assert not FloorUnderlay.objects.exists()


def test_taking_a_plan_away_leaves_the_floors(project: Project, ida: User) -> None:
    floor, page = make.floor(project), page_of(project, ida)
    floor_underlay_set(actor=person(ida), floor=floor, page=page)
    for _ in range(2):
        plan_file_remove(actor=person(ida), at=database_now(), plan_file=page.plan_file)
    assert not PlanPage.objects.exists()
    assert not FloorUnderlay.objects.exists()
    assert Floor.objects.filter(pk=floor.pk).exists()
    assert AuditEntry.objects.filter(verb="plan_file_remove").count() == 1
