"""Gathering the calculation sheets of a saved version, and asking for them on paper."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO

import pypdfium2 as pdfium
import pytest

from framing.common.errors import NotAllowed, NotThere, Refused
from framing.common.models import AuditEntry, OutboxEntry, Role, StoredPaper
from framing.common.outbox import outbox_run
from framing.common.papers import paper_bytes
from framing.engine import design_floor
from framing.engine.catalogue import load_catalogue
from framing.engine.practice import Practice
from framing.engine.result import Working
from framing.engine.sizing import member_sheets
from framing.projects import services
from framing.projects.models import FloorVersion
from framing.projects.selectors import floor_version
from framing.projects.sheet_cases import Case, MarkCount
from framing.projects.sheet_documents import calculation_paper_of, case_parts, render_calculation
from framing.projects.sheets import FloorSheets, current_sheets
from framing.projects.version_services import calculation_sheet_ask
from framing.projects.versions import CALCULATION_PAPER, current_basis, version_title
from tests.engine.layout.builders import rectangle
from tests.factories import people
from tests.factories import projects as make
from tests.factories.sheets import failing_sheet, simple_sheet

pytestmark = pytest.mark.django_db


def case_of(**members: int) -> Case:
    return Case(simple_sheet(), tuple(MarkCount(mark, count) for mark, count in members.items()), "imperial")


def by_hand(version: FloorVersion) -> FloorSheets:
    cases = (
        Case(simple_sheet(), (MarkCount("1J01", 12),), "imperial"),
        Case(failing_sheet(), (MarkCount("1T01", 2),), "imperial"),
    )
    return FloorSheets(version, Practice(), None, load_catalogue(), cases)


def test_every_spanning_member_stands_on_one_sheet() -> None:
    found = current_sheets(floor_version(make.floor()))
    assert found.problems == ()
    members = [member for case in found.cases for member in case.sheet.check.members]
    assert len(members) == len(set(members)) == 17  # as the floor page counts its joists
    assert [case.reference for case in found.cases] == [f"C{n}" for n in range(1, len(found.cases) + 1)]
    assert sum(row.count for case in found.cases for row in case.marks) == 17
    assert all(case.governing.required for case in found.cases)


def test_a_case_is_found_by_its_reference_only() -> None:
    found = current_sheets(floor_version(make.floor()))
    assert found.case("C1") is found.cases[0]
    for reference in ("C0", "C999", "c1", ""):
        with pytest.raises(NotThere):
            found.case(reference)


def test_a_version_that_cannot_be_built_says_why() -> None:
    version = floor_version(make.floor())
    version.document["bays"][0]["profile"] = "9999S999-99"
    found = current_sheets(version)
    assert found.cases == ()
    assert "9999S999-99" in found.problems[0].message


def test_inputs_that_all_checks_share_are_said_once() -> None:
    case = case_of()
    assert ("Method", "ASD") in case.inputs
    assert [row.own for row in case.required] == [(), (), (), (("Limit", "L/480"),), (("Limit", "L/240"),)]
    assert [row.check.name for row in case.informative] == ["Sag under 1 kN at midspan"]
    assert case.passes
    assert not case.informative[0].check.passes


def test_a_vibration_method_that_is_required_keeps_its_inputs_to_itself() -> None:
    practice = Practice(vibration_point_load=True)
    result = design_floor(rectangle("24'", "16'"), load_catalogue(), practice)
    (sheet,) = member_sheets(result, load_catalogue(), practice)
    case = Case(sheet, (), "imperial")
    assert dict(case.inputs)["Live load"] == "40 psf"
    own = {row.check.name: dict(row.own) for row in case.required}
    assert own["Vibration, 1 kN at midspan"]["Share of the joist"] == "0.5"
    assert own["Shear"] == {}


def test_members_are_told_by_mark_and_count() -> None:
    assert case_of(J1=12, J2=3).members_words == "12 × J1, 3 × J2"  # noqa: RUF001
    many = case_of(**{f"J{n}": 1 for n in range(15)})
    assert many.members_words.endswith("J11 and 3 marks more")


def test_the_twin_of_the_diagram_has_its_numbers_and_places() -> None:
    rows = {row.name: row for row in case_of().extreme_rows}
    assert rows["Moment"].largest == pytest.approx(14.4)
    assert rows["Moment"].largest_at == "6'-0\""
    assert (rows["Shear"].smallest, rows["Shear"].smallest_at) == (pytest.approx(-400), "12'-0\"")
    support = case_of().reaction_rows[1]
    assert (support.number, support.words, support.at) == (2, "Wall at the high edge", "12'-0\"")
    assert [share.value for share in support.shares] == [80.0, 320.0, 400.0]
    assert case_of().reaction_heads == ("Dead", "Largest live", "Both")


def test_another_practice_set_makes_another_paper() -> None:
    version = floor_version(make.floor())
    before = current_basis(version)
    kind = CALCULATION_PAPER.stored_kind(before)
    assert kind == CALCULATION_PAPER.stored_kind(current_basis(version))
    assert len(kind) <= 40
    services.practice_set_put(
        actor=people.actor(Role.MANAGER), at=make.AT, name="House", values={"live_deflection": 600}
    )
    assert CALCULATION_PAPER.stored_kind(current_basis(version)) != kind
    other = replace(before, catalogue=replace(before.catalogue, version="other"))
    assert CALCULATION_PAPER.stored_kind(other) != kind


def test_the_paper_is_made_once_by_the_worker_and_kept() -> None:
    version = floor_version(make.floor())
    seller = people.actor(Role.SELLER)
    first = calculation_sheet_ask(actor=seller, at=make.AT, version=version)
    again = calculation_sheet_ask(actor=seller, at=make.AT, version=version)
    assert first.pk == again.pk
    assert CALCULATION_PAPER.state(current_basis(version)).job == first
    assert outbox_run(first.pk)
    state = CALCULATION_PAPER.state(current_basis(version))
    assert state.paper is not None
    assert state.job is None
    assert paper_bytes(state.paper).startswith(b"%PDF")
    assert state.paper.subject_id == version.pk
    assert AuditEntry.objects.filter(verb="calculation_sheet_ask").count() == 2
    assert StoredPaper.objects.count() == 1


def test_the_worker_designs_by_the_practice_set_that_was_in_force_when_asked() -> None:
    version = floor_version(make.floor())
    manager = people.actor(Role.MANAGER)
    entry = calculation_sheet_ask(actor=manager, at=make.AT, version=version)
    asked = current_basis(version)
    services.practice_set_put(actor=manager, at=make.AT, name="House", values={"live_deflection": 600})
    assert outbox_run(entry.pk)
    assert CALCULATION_PAPER.state(asked).paper is not None
    assert CALCULATION_PAPER.state(current_basis(version)).paper is None


def test_a_paper_that_is_there_already_is_not_made_twice() -> None:
    version = floor_version(make.floor())
    entry = calculation_sheet_ask(actor=people.actor(), at=make.AT, version=version)
    assert outbox_run(entry.pk)
    OutboxEntry.objects.filter(pk=entry.pk).update(done_at=None)
    assert outbox_run(entry.pk)
    assert StoredPaper.objects.count() == 1


def test_stopped_work_is_put_back_in_line_by_asking_again() -> None:
    version = floor_version(make.floor())
    entry = calculation_sheet_ask(actor=people.actor(), at=make.AT, version=version)
    OutboxEntry.objects.filter(pk=entry.pk).update(parked_at=make.AT, attempts=3, error="no room")
    calculation_sheet_ask(actor=people.actor(), at=make.AT, version=version)
    entry.refresh_from_db()
    assert (entry.parked_at, entry.attempts, entry.error) == (None, 0, "")


def test_what_cannot_be_built_or_is_not_allowed_is_not_asked_for() -> None:
    version = floor_version(make.floor())
    with pytest.raises(NotAllowed, match="ask this calculation"):
        calculation_sheet_ask(actor=people.actor(Role.DISPATCHER), at=make.AT, version=version)
    version.document["bays"][0]["profile"] = "9999S999-99"
    with pytest.raises(Refused, match="can't be built") as caught:
        calculation_sheet_ask(actor=people.actor(), at=make.AT, version=version)
    assert "9999S999-99" in caught.value.detail[0]["message"]
    assert OutboxEntry.objects.count() == 0


def test_the_paper_holds_every_case_with_bookmarks_and_equal_papers_are_equal() -> None:
    version = floor_version(make.floor(name="A floor with quite a long name here"))
    paper = calculation_paper_of(by_hand(version), make.AT)
    made = render_calculation(paper)
    assert made.data == render_calculation(paper).data
    with pdfium.PdfDocument(BytesIO(made.data)) as document:
        text = " ".join(page.get_textpage().get_text_range() for page in document)
        marks = [bookmark.get_title() for bookmark in document.get_toc()]
    for words in ("AISI S100-16 F4.1", "Mcrd", "1 of 2 cases fails", "12 × 1J01", "L/480", "0.000775"):  # noqa: RUF001
        assert words in text, words
    assert [mark for mark in marks if mark.startswith("C")] == [
        "Calculation sheets", "Contents", "Cautions", "C1 Joist, span 12'-0\"", "Checks",
        "C2 Trimmer, spans 12'-0\" + 12'-0\"", "Checks",
    ]  # fmt: skip
    assert version_title(paper.sheets.version) == "A floor with quite a lo… v1"
    assert paper.file_name.startswith("floor-")


def test_what_an_earlier_case_prints_is_pointed_to_and_not_printed_again() -> None:
    other = replace(
        failing_sheet(), workings=(*simple_sheet().workings[:1], Working("Shear", "G2.1", "Vn", ()))
    )
    last = replace(other, reference="C3")
    cases = (case_of(J1=1), Case(other, (), "imperial"), Case(last, (), "imperial"))
    first, second, third = case_parts(cases)
    assert first.section_same_as == ""
    assert [part.same_as for part in first.workings] == ["", ""]
    assert (second.section_same_as, third.section_same_as) == ("C1", "C1")
    assert [part.same_as for part in second.workings] == ["C1", ""]
    assert [part.same_as for part in third.workings] == ["C1", "C2"]
