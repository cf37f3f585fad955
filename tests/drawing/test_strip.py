"""Texts in the title strip: whole where they can be, on two lines before they are cut."""

from __future__ import annotations

import re

import pytest

from framing.drawing import SMALL, SheetInfo, plan_svg, strip_size
from framing.drawing.labels import TEXT
from framing.drawing.sheet import VALUE, fitting_size, set_in_cell, shortened
from framing.drawing.svg import text_width
from tests.factories.packages import floor


@pytest.mark.parametrize(
    "text", ["98 of 99", "128 of 129", "R100", "11/25/2026", "Alder Falls cottage, first floor"]
)
@pytest.mark.parametrize("width_mm", [12.3, 15.0, 17.1, 21.0, 33.3])
def test_a_text_at_its_fitting_size_is_not_cut(text: str, width_mm: float) -> None:
    """Unless the least size is too wide: a size worked out from the width gives that width back."""
    size = fitting_size(text, VALUE, width_mm)
    fits = text_width(text, TEXT, mono=False) <= width_mm
    assert (shortened(text, size, width_mm) == text) == fits


def test_company_and_project_part_before_they_are_cut() -> None:
    size, rows = set_in_cell("Larkmeadow Joist Supply \N{MIDDLE DOT} Fenwick Row town houses", 4.2, 71.0)
    assert rows == ("Larkmeadow Joist Supply", "Fenwick Row town houses")
    assert size == TEXT
    assert set_in_cell("Loft", 4.2, 71.0) == (4.2, ("Loft",))


def test_a_long_name_takes_two_lines_at_the_space_next_to_its_middle() -> None:
    _, rows = set_in_cell("The second floor of the long house by the river", 4.2, 48.0)
    assert rows == ("The second floor of the", "long house by the river")
    _, endless = set_in_cell("x" * 90, 4.2, 48.0)
    assert len(endless) == 1
    assert endless[0].endswith("\N{HORIZONTAL ELLIPSIS}")


def test_no_strip_of_a_usual_quote_is_cut() -> None:
    info = SheetInfo(
        project="Fenwick Row town houses", floor="Town house, second floor", date="11/25/2026", revision="R12",
        number=98, count=99, company="Larkmeadow Joist Supply", paper=SMALL,
    )  # fmt: skip
    svg = plan_svg(floor("Town house, second floor"), info, spots=False)
    assert "\N{HORIZONTAL ELLIPSIS}" not in svg
    assert ">98 of 99</text>" in svg
    sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)"', svg)]
    assert min(sizes) >= TEXT


def test_the_strips_own_cells_say_their_size() -> None:
    assert strip_size("Sheet", "3 of 9") == VALUE
    assert text_width("128 of 129", strip_size("Sheet", "128 of 129"), mono=False) == pytest.approx(19.0)
