"""Row joints and panels opened, each case worked by hand from R30 in inches."""

from __future__ import annotations

from fractions import Fraction

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout.panels import PanelRow, open_panels, rows_of, split_row
from framing.engine.fitout.scene import scene_of
from framing.engine.floor import EdgeKind
from framing.engine.members import FramedOpening
from framing.engine.practice import Practice
from tests.engine.fitout.builders import RECTANGLE, layout, plan, rectangle, span


def _bounds(width: float, half: bool, spacing: float | Fraction) -> list[float]:
    floor, _ = rectangle(width, 96, spacing=spacing)
    bounds = split_row((0, int(width * 16)), half, floor.bays[0], Practice())
    return [float(b / 16) for b in bounds]


@pytest.mark.parametrize(
    ("width", "half", "spacing", "expected"),
    [
        (480, False, 16, [0, 96, 192, 288, 384, 480]),
        (480, True, 16, [0, 48, 144, 240, 336, 432, 480]),
        (96, True, 16, [0, 96]),  # fits one panel: one piece
        (100, False, 16, [0, 64, 100]),  # 4 in left: cut at 64, the last station that leaves 32
        (100, True, 16, [0, 48, 100]),
        (224, False, 16, [0, 96, 192, 224]),  # exactly two spaces left
        (223, False, 16, [0, 96, 176, 223]),  # 31 left: back to 176
        (300, False, 19.2, [0, 96, 192, 249.6, 300]),  # stations 13 x 19.2 = 249.6
        (300, True, 19.2, [0, 38.4, 134.4, 230.4, 300]),
        (240, True, 24, [0, 48, 144, 240]),
        (264, False, 24, [0, 96, 192, 264]),
        (204, False, 12, [0, 96, 180, 204]),  # 12 left of 204: back to 180
    ],
)
def test_joints_of_a_row(width: float, half: bool, spacing: float, expected: list[float]) -> None:
    assert _bounds(width, half, Fraction(spacing).limit_denominator(10)) == expected


def _rows(width: float, depth: float, spacing: float = 16) -> tuple[PanelRow, ...]:
    floor, bay = rectangle(width, depth, spacing=Fraction(spacing).limit_denominator(10))
    return rows_of(scene_of(floor, bay, load_catalogue(), Practice()))


def _opened(width: float, depth: float, spacing: float = 16) -> int:
    floor, _ = rectangle(width, depth, spacing=Fraction(spacing).limit_denominator(10))
    return sum(new for _, new in open_panels(_rows(width, depth, spacing), floor.bays[0], Practice()))


@pytest.mark.parametrize(
    ("width", "depth", "spacing", "panels"),
    [
        # 288 at 19.2: even rows 3 whole; odd rows 38.4 + 96 + 96 + 57.6, the last from the first one's
        # offcut.
        (288, 192, 19.2, 12),
        # 300 at 19.2: even 96 + 96 + 57.6 + 50.4; odd 38.4 + 96 + 96 + 69.6.
        # Row 0: 4 new, offcuts 38.4 and 45.6. Row 1: 38.4 kept one, 3 new (26.4 is dropped). Rows 2, 3 the
        # same.
        (300, 192, 19.2, 14),
        # 480 x 168 at 16: three rows of 5; the last is 24 deep, strips 48 + 4 x 96 + 48:
        # 48 new (keeps 48 and a whole strip), 96 kept, 96 new, 96 kept, 96 new, 48 kept: 3.
        (480, 168, 16, 18),
        # 24 1/16 deep is over 24: whole-depth cells, 5 panels as in any odd row.
        (480, 168.0625, 16, 20),
        (90, 48, 16, 1),
    ],
)
def test_panels_opened(width: float, depth: float, spacing: float, panels: int) -> None:
    assert _opened(width, depth, spacing) == panels


def test_cells_wholly_inside_an_opening_are_not_laid() -> None:
    # The opening takes x 96 to 192, y 48 to 96 exactly; row 1 is cut at 48, 144, 240 so no cell of it lies
    # inside. Moved one row up (y 96 to 144) it swallows the second whole panel of row 2.
    for y, missing in ((48, 0), (96, 1)):
        corners = [(0, 0), (288, 0), (288, 192), (0, 192)]
        floor = plan(corners, RECTANGLE, openings=[("S", 96, y, 96, 48)])
        _, plain = rectangle(288, 192)
        bay = layout(floor, plain.members, plain.spans, [_framed(y)])
        rows = rows_of(scene_of(floor, bay, load_catalogue(), Practice()))
        assert sum(not cell.laid for row in rows for cell in row.cells) == missing


def _framed(y: int) -> FramedOpening:
    return FramedOpening("S", 96 * 16, 192 * 16, y * 16, (y + 48) * 16, "A.J1", "A.J2", None, None)


def test_a_step_within_a_row_keeps_the_deepest_floor_of_each_cell() -> None:
    # 192 x 48 with 96 x 20 more on top: row 1 holds only the 20 in deep part, one strip.
    kinds = [EdgeKind.PLATFORM, EdgeKind.PARALLEL] * 3
    floor = plan([(0, 0), (192, 0), (192, 48), (96, 48), (96, 68), (0, 68)], kinds)
    bay = layout(floor, (), [span(0, 5.5, 62.5, 192)])
    rows = rows_of(scene_of(floor, bay, load_catalogue(), Practice()))
    assert [[float(c.depth_16 / 16) for c in row.cells] for row in rows] == [[48, 48], [20]]


def test_a_notch_in_a_side_leaves_shallow_panels_beside_it() -> None:
    # 192 x 192 with a notch from the right, x 96 to 192, y 60 to 132. Row 1 (48 to 96): half first, 48 | 144: the
    # last 48 has 12 of floor; row 2 (96 to 144): 96 | 192: the second has 12, above the notch.
    corners = [(0, 0), (192, 0), (192, 60), (96, 60), (96, 132), (192, 132), (192, 192), (0, 192)]
    floor = plan(corners, [EdgeKind.PLATFORM, EdgeKind.PARALLEL] * 4)
    bay = layout(floor, (), [span(0, 5.5, 186.5, 192)])
    rows = rows_of(scene_of(floor, bay, load_catalogue(), Practice()))
    depths = [[float(c.depth_16 / 16) for c in row.cells] for row in rows]
    assert depths == [[48, 48], [48, 48, 12], [48, 12], [48, 48, 48]]


def test_no_panel_is_opened_for_a_cell_that_is_not_laid() -> None:
    # 288 x 192: even rows 3 whole panels, odd rows 48 + 96 + 96 + 48 of 3; the swallowed cell saves one of
    # row 2, and nothing is cut for it either.
    corners = [(0, 0), (288, 0), (288, 192), (0, 192)]
    floor = plan(corners, RECTANGLE, openings=[("S", 96, 96, 96, 48)])
    bay = layout(floor, (), rectangle(288, 192)[1].spans, [_framed(96)])
    rows = rows_of(scene_of(floor, bay, load_catalogue(), Practice()))
    opened = list(open_panels(rows, floor.bays[0], Practice()))
    assert sum(new for _, new in opened) == 11
    assert "row:A:2:0:1" not in {cell.id for cell, _ in opened}
    assert len(opened) == 13
