"""The figures by which alternates are compared, and the rows that the quote's paper gets of them."""

from dataclasses import fields, replace
from decimal import Decimal
from io import BytesIO

import pytest
from pypdf import PdfReader

from framing.common.section_store import SectionStore
from framing.engine.result import Check, MemberCheck
from quotes import selectors
from quotes.alternate_figures import FREQUENCY, UNDER_LOAD, offer_figures
from quotes.documents import PaperAlternate, quote_paper_of_revision, render_quote
from tests.documents.reading import check_universal_access
from tests.factories import quotes
from tests.factories.alternates import alternate, issued_with_one
from tests.factories.packages import PROFILE, floor, package


def check(name, demand, capacity):
    return Check(name, demand, capacity, "", "", (), required=False)


def test_figures_worked_by_hand():
    # five joists with two holes each; 129.675 lb of steel; the second floor three times
    figures = offer_figures(package(floor("Low"), floor("Typical", repeat=3)))
    assert figures.framing == (f"Low: {PROFILE} at 16 in", f"Typical: {PROFILE} at 16 in")
    assert (figures.joists, figures.pieces, figures.holes) == (20, 20, 40)
    assert figures.steel_lb == pytest.approx(4 * 129.675)
    assert figures.depth == "10 in"
    assert figures.vibration == ""
    assert offer_figures(package(floor())).framing == (f"{PROFILE} at 16 in",)


def test_depth_in_the_projects_units_and_each_once():
    deep = floor()
    layouts = (deep.bays[0], replace(deep.bays[0], profile="1200S162-54"), deep.bays[0])
    assert offer_figures(package(replace(deep, bays=layouts))).depth == "10 in, 12 in"
    metric = replace(deep, plan=replace(deep.plan, units="metric"))
    assert offer_figures(package(metric)).depth == "254 mm"


def test_the_worst_vibration_of_all_floors():
    first = (check("moment", 1, 2), check(FREQUENCY, 8.0, 12.44), check(UNDER_LOAD, 0.731, 1.2))
    second = (check("moment", 1, 2), check(FREQUENCY, 8.0, 10.06), check(UNDER_LOAD, 0.649, 1.2))
    cases = [MemberCheck(("A.J1",), "Joist", PROFILE, 1, 100.0, checks, 0) for checks in (first, second)]
    package_ = package(
        *(replace(floor(name), checks=(case,)) for name, case in zip("ab", cases, strict=True))
    )
    assert offer_figures(package_).vibration == "10.1 Hz, 0.73 mm under 1 kN"


def test_the_engine_checks_vibration_by_the_names_read_here():
    from framing.engine.catalogue import load_catalogue
    from framing.engine.pipeline import design_floor
    from framing.engine.practice import Practice
    from framing.projects.design import plan_of
    from tests.factories.projects import document

    practice = Practice()
    result = design_floor(plan_of(document(), practice), load_catalogue(), practice)
    names = {entry.name for case in result.checks for entry in case.checks}
    assert {FREQUENCY, UNDER_LOAD} <= names
    assert "Hz" in offer_figures(package(result)).vibration


@pytest.mark.django_db
def test_the_paper_has_a_plain_row_of_each_alternate_and_no_cost():
    revision = issued_with_one()
    made = revision.alternates.get()
    paper = quote_paper_of_revision(selectors.revision_get(revision.public_id), quotes.AT)
    (row,) = paper.alternates
    assert (row.letter, row.label, row.fits) == ("A", made.label, True)
    assert (row.goods, row.freight, row.tax, row.total) == (made.goods, made.freight, made.tax, made.total)
    assert row.difference == made.total - revision.total
    assert row.total == row.goods + row.freight + row.tax
    assert row.framing == ("1000S162-54 at 24 in",)
    assert not {"cost", "margin"} & {entry.name for entry in fields(PaperAlternate)}
    assert made.cost not in [getattr(row, entry.name) for entry in fields(row)]


@pytest.mark.django_db
def test_a_paper_without_alternates_has_none():
    draft = quotes.draft()
    assert quote_paper_of_revision(draft, quotes.AT).alternates == ()
    alternate(draft)
    (row,) = quote_paper_of_revision(draft, quotes.AT).alternates
    assert row.total > Decimal(0)


@pytest.mark.django_db
def test_the_paper_names_each_offer_where_it_is_signed(tmp_path):
    revision = issued_with_one()
    made = revision.alternates.get()
    paper = quote_paper_of_revision(selectors.revision_get(revision.public_id), quotes.AT)
    rendered = render_quote(paper, SectionStore(tmp_path))
    check_universal_access(rendered.data)
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(BytesIO(rendered.data)).pages).split())
    assert "Total of the base offer" in text
    assert f"A: {made.label}" in text
    assert f"the base offer for ${revision.total:,.2f}" in text
    assert f"alternate A, {made.label}, for ${made.total:,.2f}" in text
    assert f"{made.cost:,.2f}" not in text
    assert f"{revision.cost:,.2f}" not in text
