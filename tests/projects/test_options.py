"""The option matrix (R18): order, marks, folds, and the way from a cell into the form or the document."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest
from django.urls import reverse

from framing.common.models import Role
from framing.engine.document import read_document, rectangle_document
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, Option
from framing.projects.design import design_plan, plan_of
from framing.projects.options import (
    ROWS_SHOWN,
    OptionPrice,
    OptionPrices,
    option_document,
    option_matrix,
    parse_option,
)
from tests.factories import packages
from tests.factories import projects as make
from tests.factories.people import client_of

TYPED = make.TYPED_FLOOR


def option(profile: str, spacing_in: float, ratio: float, weight_lb: float = 100.0) -> Option:
    passes = ratio <= 1
    reason = "" if passes else "Shear: 2 lb is over 1 lb (G2)."
    return Option("A", profile, spacing_in, passes, ratio, "Shear", reason, weight_lb)


def floor(*options: Option) -> FloorResult:
    """The hand-made floor (1000S162-54 at 16 in as drawn) with these options."""
    return replace(packages.floor(), options=options)


def prices(**found: str) -> OptionPrices:
    """Prices by names such as `p1000S162_54_at_16`."""
    cells = {}
    for name, text in found.items():
        profile, _, spacing = name[1:].partition("_at_")
        price = OptionPrice(problem="none") if not text else OptionPrice(Decimal(text))
        cells["A", profile.replace("_", "-"), float(spacing)] = price
    return OptionPrices(found=cells)


FOUR = (
    option("1000S162-54", 16, 0.9, 100.0),
    option("1000S162-54", 24, 1.2, 80.0),
    option("1200S162-54", 16, 0.5, 120.0),
    option("1200S162-54", 24, 0.8, 90.0),
    option("800S162-54", 16, 1.5),
    option("800S162-54", 24, 2.5),
    option("800S162-68", 16, 1.4),
    option("800S162-68", 24, 2.2),
)


def test_without_prices_rows_go_by_weight_then_failing_ones_by_ratio() -> None:
    (bay,) = option_matrix(floor(*FOUR)).bays
    # least passing weight: 90 lb of 1200S162-54 at 24 in, 100 lb of 1000S162-54 at 16 in; then 1.4 before 1.5
    assert [row.profile for row in bay.rows] == ["1200S162-54", "1000S162-54", "800S162-68", "800S162-54"]
    assert bay.heads == ("16 in", "24 in")
    assert bay.cheapest is None
    assert option_matrix(floor(*FOUR)).unpriced


def test_prices_order_the_rows_and_mark_the_cheapest() -> None:
    found = prices(p1000S162_54_at_16="900.10", p1200S162_54_at_16="1200", p1200S162_54_at_24="900.11")
    matrix = option_matrix(floor(*FOUR), found)
    (bay,) = matrix.bays
    assert [row.profile for row in bay.rows][:2] == ["1000S162-54", "1200S162-54"]
    assert bay.cheapest is not None
    assert (bay.cheapest.option.profile, bay.cheapest.option.spacing_in) == ("1000S162-54", 16)
    assert [cell.cheapest for row in bay.rows for cell in row.cells if cell].count(True) == 1
    assert (matrix.passing, matrix.priced, matrix.unpriced) == (3, 3, False)


def test_while_prices_wait_nothing_is_called_cheapest() -> None:
    found = OptionPrices(found=prices(p1000S162_54_at_16="1.00").found, waiting=2)
    matrix = option_matrix(floor(*FOUR), found)
    assert matrix.unpriced
    assert matrix.bays[0].cheapest is None
    assert [row.profile for row in matrix.bays[0].rows][:2] == ["1200S162-54", "1000S162-54"]


def test_what_has_no_price_is_never_the_cheapest_and_stands_behind() -> None:
    found = prices(p1000S162_54_at_16="", p1200S162_54_at_16="1200", p1200S162_54_at_24="1300")
    (bay,) = option_matrix(floor(*FOUR), found).bays
    assert [row.profile for row in bay.rows][:2] == ["1200S162-54", "1000S162-54"]
    assert bay.cheapest is not None
    assert bay.cheapest.value == "A:1200S162-54:16"


def test_an_option_that_falls_out_once_framed_fails_with_its_reason() -> None:
    stopped = OptionPrice(problem="Header: bending needs 1.2 times what it has.", stops="Fails as framed")
    found = OptionPrices(found={("A", "1000S162-54", 16.0): stopped})
    (bay,) = option_matrix(floor(*FOUR[:2]), found).bays
    cell = bay.rows[0].cells[0]
    assert cell is not None
    assert (cell.passes, cell.words) == (False, "Fails as framed")
    assert cell.reason.startswith("Header: bending needs")
    assert not bay.rows[0].passes


def test_failing_cells_say_the_check_in_words() -> None:
    (bay,) = option_matrix(floor(*FOUR)).bays
    failing = [cell for cell in bay.rows[-1].cells if cell]
    assert {(cell.passes, cell.words, cell.reason) for cell in failing} == {
        (False, "Shear", "Shear: 2 lb is over 1 lb (G2).")
    }
    outside = Option("A", "800S162-54", 16.0, False, 2.0, "", "Outside B4.", 1.0)
    cell = option_matrix(floor(outside)).bays[0].rows[0].cells[0]
    assert cell is not None
    assert cell.words == "Outside the checks"


def test_the_drawn_option_is_marked_and_never_folded_shut() -> None:
    many = [option(f"1200S162-{n}", 16, 0.5, float(n)) for n in range(ROWS_SHOWN)]
    (bay,) = option_matrix(floor(*many, option("1000S162-54", 16, 0.9, 999.0))).bays
    assert (bay.drawn, bay.fixed) == ("1000S162-54 at 16 in", False)
    (_, first, _), (words, rest, open_) = bay.groups
    assert len(first) == ROWS_SHOWN
    assert (words, [row.profile for row in rest], open_) == (
        "1 more profile that passes",
        ["1000S162-54"],
        True,
    )


def test_profiles_that_fail_everywhere_are_folded_unless_all_do() -> None:
    (bay,) = option_matrix(floor(*FOUR)).bays
    assert [(words, open_) for words, _, open_ in bay.groups] == [
        ("", True),
        ("2 profiles that fail at every spacing", False),
    ]
    (bay,) = option_matrix(floor(*FOUR[4:6])).bays
    assert [(words, open_) for words, _, open_ in bay.groups] == [
        ("1 profile that fails at every spacing", True)
    ]


def test_a_metric_floor_names_its_spacings_in_both_units() -> None:
    document = rectangle_document(name="Metric", width="7300", depth="4200", units="metric", spacing='16"')
    result = design_plan(plan_of(document, Practice()), Practice())
    (bay,) = option_matrix(result).bays
    assert bay.heads == ("305 mm", "406 mm", "488 mm", "610 mm")
    cell = bay.rows[0].cells[2]
    assert cell is not None
    assert cell.typed == '19.2"'
    assert bay.drawn.endswith("at 406 mm")


def test_every_bay_has_its_own_matrix() -> None:
    made = floor(*FOUR, *(replace(option, bay="B") for option in FOUR[:2]))
    second = replace(made.bays[0], bay=replace(made.bays[0].bay, id="B", profile="1000S162-54"))
    matrix = option_matrix(replace(made, bays=(*made.bays, second)))
    assert [(bay.bay, len(bay.rows), bay.fixed) for bay in matrix.bays] == [("A", 4, False), ("B", 1, True)]


@pytest.mark.parametrize("text", ["", "A", "A:1000S162-54", "A:1000S162-54:17", "A:9999S162-54:16", ":::"])
def test_what_no_cell_names_is_no_option(text: str) -> None:
    assert parse_option(text) is None


def test_an_option_changes_its_own_bay_only() -> None:
    document = read_document(make.document())
    changed = option_document(document, "A", "1200S200-54", "24")
    assert (changed.bays[0].profile, changed.bays[0].spacing) == ("1200S200-54", "24")
    assert changed.model_copy(update={"bays": document.bays}) == document
    assert option_document(document, "B", "1200S200-54", "24") == document


# --- pages ---


def selected(text: str, value: str) -> bool:
    return f'<option value="{value}" selected>' in text


@pytest.mark.django_db
def test_a_cell_fills_in_the_form_without_script() -> None:
    url = reverse("projects:floor_new", args=[make.project().public_id])
    chosen = {"option": "A:1200S200-54:24", "opening-count": "0"}
    text = client_of(Role.SELLER).post(url, TYPED | chosen).content.decode()
    assert selected(text, "1200S200-54")
    assert selected(text, "24")
    assert 'value="14&#x27;"' in text  # all else stays as typed
    assert "Fixed: <" in text


@pytest.mark.django_db
def test_a_cell_that_is_none_of_ours_changes_nothing() -> None:
    url = reverse("projects:floor_new", args=[make.project().public_id])
    text = client_of(Role.SELLER).post(url, TYPED | {"option": "A:no such:24"}).content.decode()
    assert selected(text, "16")
    assert not selected(text, "24")


@pytest.mark.django_db
@pytest.mark.parametrize(("role", "taken"), [(Role.SELLER, True), (Role.PLANNER, False)])
def test_an_address_fills_in_an_option_for_those_who_may_change(role: str, taken: bool) -> None:
    floor_ = make.floor()
    url = reverse("projects:floor_page", args=[floor_.public_id])
    text = client_of(role).get(url, {"option": "A:1200S200-54:24"}).content.decode()
    assert ("is filled in and not saved yet" in text) is taken
    assert selected(text, "1200S200-54") is taken
    floor_.refresh_from_db()
    assert floor_.version == 1


@pytest.mark.django_db
def test_who_sees_no_prices_gets_the_matrix_without_them() -> None:
    url = reverse("projects:floor_page", args=[make.floor().public_id])
    planner = client_of(Role.PLANNER).get(url).content.decode()
    seller = client_of(Role.SELLER).get(url).content.decode()
    administrator = client_of(Role.ADMINISTRATOR).get(url).content.decode()
    for text in (planner, seller, administrator):
        assert '<section id="options"' in text
        assert '<th scope="row" class="fig">1000S162-54</th>' in text
    assert "Pricing" not in planner
    assert "/quotes/options/" not in planner
    assert 'hx-post="/quotes/options/"' in seller
    assert 'hx-get="/quotes/options/' in administrator
    assert ("data-choose" in seller, "data-choose" in planner, "data-choose" in administrator) == (
        True,
        False,
        False,
    )
