"""An L worked by hand: 32 ft x 12 ft, and 20 ft x 8 ft more at the start side; joists at 16 in, single spans.

Worked from the rules in inches:
- R3: stations 16 to 224 run 240 deep (14 joists); 240 on the step to 368 run 144 deep (9).
- R20: 23 x 2 = 46 bearing clips. R21: 92 nails.
- R24: largest clear 240 - 11 = 229: 2 lines, 76.33 apart, at 81.83 and 158.17; the second only crosses the
  long part.
- R25: line 1: 22 spaces: 0, 6, 12, 18, 21 = 5 blocks. Line 2: 13 spaces: 0, 6, 12 = 3. Together 8.
- R26: x = 0: faces 5.5 and 234.5, lines between, three gaps of 76.33: 2 + 3 = 5. x = 384: 5.5, 81.83,
  138.5: gaps 76.33 and 56.67: 1 + 2 = 3. x = 240 from the corner at 144: 144, 158.17, 234.5: gaps 14.17 and
  76.33: 1 + 1 = 2. Together 10.
- R27: 381.75 + 237.75 + 4 x 6 = 643.5; screws 23 + 14 plies + 2 x (8 solid + 4 ladder) = 61; nails 8.
- R28: bearing edges 384 (= 240 + 144), 144 + 1.125 at the re-entrant corner = 145.125, 240; parallel 144 -
  2.25 = 141.75, 96 - 1.125 = 94.875, 240 - 2.25 = 237.75. 240, 240, 237.75 take a 20 ft stick each; 145.125
  + 94.875 = 240 fills one exactly; 144 and 141.75 take 12 ft each: 4 of 20 ft, 2 of 12 ft.
- R30: rows 0 to 2 are 384 long: 4 + 4 + 4. Row 3, 240 long, starts with a half: 48 + 96 + 96, 3 panels and
  a 48 offcut; row 4: 96 + 96 + 48, the last from that offcut: 2. Together 17, the area exactly.
"""

from __future__ import annotations

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout import fit_out
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from framing.engine.result import BomLine
from tests.engine.fitout.builders import PROFILE, bill_of, in16, l_shape, laid


@pytest.fixture(scope="module")
def placed() -> tuple[Placed, ...]:
    floor, _ = l_shape()
    return fit_out(floor, [laid(floor)], load_catalogue(), Practice())[0]


@pytest.fixture(scope="module")
def bill() -> dict[str, BomLine]:
    floor, _ = l_shape()
    return bill_of(floor, laid(floor))


@pytest.mark.parametrize(
    ("code", "exact"),
    [
        ("bearing_clip:1000", 46),
        ("clip_angle:1000", 10),
        (f"solid_block:{PROFILE}", 8),
        (f"ladder_block:{PROFILE}", 10),
        ("strap", int(643.5 * 16)),
        ("strap_screw", 61),
        ("rim_stick:12", 2),
        ("rim_stick:20", 4),
        ("sheathing_panel", 17),
        ("wood_screw", 230),
        ("steel_screw", 230 + 32 + 100),
        ("bearing_nail", 92 + 40 + 8),
    ],
)
def test_bill_is_the_one_worked_by_hand(bill: dict[str, BomLine], code: str, exact: int) -> None:
    assert bill[code].exact == exact


def test_rim_pieces_follow_the_corners(placed: tuple[Placed, ...]) -> None:
    lengths = [p.quantity for p in placed if p.item is Item.RIM_BOARD]
    assert lengths == [in16(n) for n in (240, 144, 141.75, 145.125, 94.875, 240, 237.75)]


def test_ladder_blocks_by_edge(placed: tuple[Placed, ...]) -> None:
    hosts = [p.host for p in placed if p.item is Item.LADDER_BLOCK]
    assert [hosts.count(f"edge:{i}") for i in (1, 3, 5)] == [3, 2, 5]
