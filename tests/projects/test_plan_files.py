"""Plans of a project: adding, reading by the worker, pages under floors, taking away; pages and the editor's JSON."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.bounded import BIG, Outcome
from framing.common.bytestore import LEFT_BEHIND_S, stores_sweep
from framing.common.clock import database_now
from framing.common.errors import Clash, NotAllowed, Refused, TooBig
from framing.common.models import AuditEntry, OutboxEntry, Role, User
from framing.common.outbox import outbox_run
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
from tests.factories.people import client_of
from tests.projects import plan_seeds as seeds
from tests.projects.draw_helpers import post, saved_of, start_of, url

pytestmark = pytest.mark.django_db

PDF = seeds.pdf(pages=2, box="0 0 300 200")
MAY_CHANGE = (Role.SELLER, Role.MANAGER)
MAY_LOOK = (*MAY_CHANGE, Role.PLANNER, Role.DISPATCHER, Role.ADMINISTRATOR)


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


def add(project: Project, who: User, data: bytes = PDF, name: str = "Lot 7.pdf") -> PlanFile:
    return plan_file_add(actor=person(who), at=database_now(), project=project, name=name, data=data)


def read(plan: PlanFile) -> PlanFile:
    """Let the worker read it, in its own bounded process."""
    assert outbox_run(OutboxEntry.objects.get(kind="plan_file_read", key=plan.public_id).pk)
    plan.refresh_from_db()
    return plan


def page_of(project: Project, who: User) -> PlanPage:
    return read(add(project, who)).pages.get(number=1)


def page_url(name: str, page: PlanPage) -> str:
    return reverse(f"projects:{name}", args=[page.public_id])


def plan_url(name: str, plan: PlanFile) -> str:
    return reverse(f"projects:{name}", args=[plan.project.public_id, plan.public_id])


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


# --- pages and the editor's JSON ---


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
