"""The annex of a quote: which cases are listed, which have a sheet, and that it shows the quote's own numbers."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from functools import lru_cache
from pathlib import Path

import pytest

from framing.common.section_store import SectionStore
from framing.common.templatetags.figures import ratio
from framing.engine.catalogue import load_catalogue
from framing.engine.pipeline import design_package
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, MemberCheck, PackageResult
from framing.projects.sheet_cases import Case
from quotes.documents import QuotePaper, annex, quote_paper_of_package, render_quote
from quotes.documents.annex import ROWS_SHOWN, annex_context, kind_of
from quotes.pricing import price_package
from quotes.selectors import DEMO_PLACE, DEMO_ZONE, demo_price_table
from tests.documents.reading import bookmarks, check_universal_access, reader, words
from tests.documents.test_quote_paper import HEADER
from tests.engine.layout.builders import sample
from tests.factories.packages import floor as hand_made

PRACTICE = Practice()


@lru_cache(maxsize=1)
def designed() -> PackageResult:
    return design_package((sample("townhouse"),), load_catalogue(), PRACTICE)


def town_house() -> FloorResult:
    return designed().floors[0]


def paper_of(result: PackageResult) -> QuotePaper:
    priced = price_package(
        result,
        demo_price_table(),
        tier="",
        freight_zone=DEMO_ZONE,
        tax_place=DEMO_PLACE,
        discount_share=Decimal(0),
        practice=PRACTICE,
    )
    return quote_paper_of_package(result, priced, HEADER, PRACTICE)


def worst(checks: list[MemberCheck]) -> MemberCheck:
    return max(checks, key=lambda check: check.checks[check.governing].ratio)


def test_each_kind_of_member_has_the_sheet_of_its_worst_case() -> None:
    floor = town_house()
    found = annex_context("letter", 1, floor, PRACTICE)
    kinds = {kind_of(check) for check in floor.checks}
    assert kinds == {"Joist", "Tail joist", "Trimmer", "Header"}
    shown = [part.case.sheet.check for part in found["cases"]]
    assert {kind_of(check) for check in shown} == kinds
    for check in shown:
        assert check == worst([one for one in floor.checks if kind_of(one) == kind_of(check)])


def test_the_list_begins_with_what_governs_and_goes_on_by_ratio() -> None:
    found = annex_context("letter", 1, town_house(), PRACTICE)
    rows = found["rows"]
    assert found["count"] == len(town_house().checks)
    assert len(rows) == min(ROWS_SHOWN, found["count"])
    with_sheet = [row.sheet for row in rows]
    assert with_sheet == sorted(with_sheet, reverse=True)
    rest = [row.governing.ratio for row in rows if not row.sheet]
    assert rest == sorted(rest, reverse=True)


def test_a_failing_case_is_listed_before_all_others() -> None:
    found = annex_context("letter", 1, hand_made(passes=False), None)
    assert found["failing"] == 1
    assert not found["rows"][0].check.passes


def test_without_its_practice_set_no_sheet_is_drawn_up() -> None:
    found = annex_context("letter", 1, town_house(), None)
    assert found["cases"] == ()
    assert not any(row.sheet for row in found["rows"])


@pytest.mark.parametrize("moved", ["engine_version", "catalogue_version"])
def test_another_release_draws_up_no_sheets_of_an_old_result(moved: str) -> None:
    """They would show how today's engine comes to its numbers, not how the quote's came about."""
    ours, older = designed(), replace(designed(), **{moved: "earlier"})
    assert paper_of(ours).practice == PRACTICE
    assert paper_of(older).practice is None


def test_what_governs_has_its_working_and_the_workings_end_is_its_capacity() -> None:
    """A clause of strength ends in the allowable figure of one ply; limits and sums have no working."""
    shown = [
        part
        for name in ("townhouse", "house", "corridor")
        for part in annex_context(
            "letter", 1, design_package((sample(name),), load_catalogue(), PRACTICE).floors[0], PRACTICE
        )["cases"]
    ]
    told = 0
    for part in shown:
        check = part.case.governing
        if re.match(r"AISI S100 [FG]", check.clause):
            (row,) = part.workings
            plies = part.case.sheet.check.plies
            assert row.working.values[-1].value * plies == pytest.approx(check.capacity)
            told += 1
        else:
            assert part.workings == ()
    assert told >= 3


def test_a_working_stands_once_and_later_sheets_name_its_sheet() -> None:
    first, again = (
        annex_context("letter", 1, floor, PRACTICE)["cases"][0] for floor in (town_house(), town_house())
    )
    working = first.case.sheet.workings[1]
    rows = list(annex._with_workings([govern_by(part.case, working.clause) for part in (first, again)]))
    assert [row.same_as for part in rows for row in part.workings] == ["", first.case.reference]


def govern_by(case: Case, clause: str) -> Case:
    """The case as if a clause governed."""
    check = case.sheet.check
    checks = (replace(check.checks[0], clause=clause),)
    return replace(case, sheet=replace(case.sheet, check=replace(check, checks=checks, governing=0)))


def test_the_annex_on_paper_says_what_governs_with_its_figures(tmp_path: Path) -> None:
    data = render_quote(paper_of(designed()), SectionStore(tmp_path)).data
    check_universal_access(data)
    document = reader(data)
    start = next(number for _, title, number in bookmarks(document) if title.startswith("Annex"))
    pages = words(data)[start - 1 :]
    assert len(pages) == 1 + 4  # a list, then a sheet for each kind of member, none cut in two
    for part, page in zip(
        annex_context("letter", 1, town_house(), PRACTICE)["cases"], pages[1:], strict=True
    ):
        case = part.case
        assert case.reference in page
        assert ratio(case.governing.ratio) in page
        assert case.sheet.check.profile in page
        for note in case.sheet.check.notes:
            assert note.split(":")[0] in page
        for row in part.workings:
            assert (row.working.formula.split(";")[0] in page) == (not row.same_as)
            assert row.working.title in page
        assert "Section: " in page
        assert f"floor-1-{case.reference}" in document.named_destinations
