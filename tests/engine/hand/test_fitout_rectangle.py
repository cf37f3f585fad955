"""A plain rectangle worked by hand: 40 ft x 16 ft, 10 in joists along the 16 ft at 16 in, platform framed.

Worked from the rules in inches:
- R3: stations 16, 32, ... 464 (480 is the outline): 29 joists, 15'-9" each.
- R20: 29 x 2 = 58 bearing clips; n = 5: 290 self-drilling, 290 wood screws.
- R21: 58 ends x 2 = 116 nails.
- R24: clear 192 - 11 = 181; ceil(181/96) - 1 = 1 line, at 5.5 + 90.5 = 96.
- R25: 28 spaces 16 apart; first 0, then 6, 12, 18, 24 (96 each), last 27: 6 blocks, 4 screws each = 24.
- R26: each side faces 5.5, line 96, face 186.5: both gaps 90.5 need one block more: 3 a side, 6 in all;
  6 clip angles, 6 x 2 x 5 = 60 screws, 6 x 4 = 24 nails.
- R27: 480 - 2.25 = 477.75, + 12 turned up = 489.75 in = 40.8 ft, bought 41; 4 nails;
  29 plies + 2 x (6 solid + 2 ladder blocks on the line) = 45 strap screws.
- R28: two bearing edges of 40 ft = 4 sticks of 20 ft; two parallel edges of 192 - 2.25 = 189.75, one 16 ft
  stick each.
- R30: 4 rows. Even rows 5 whole panels; odd rows 48 + 4 x 96 + 48, the last 48 from the first one's offcut:
  5 each: 20. Nails: 22 cells x 2 ends x (48/6 + 1) = 396; rim under the first row 5 x (96/6 - 1) = 75;
  under the last row 7 + 4 x 15 + 7 = 74: 545 at edges. Field: 5 on each joist and row between panel ends
  (46.5 or 48 in at 12 in): rows 0 and 2: 5 x 5 joists, rows 1 and 3: 2 + 4 x 5 + 2 joists:
  (25 + 24 + 25 + 24) x 5 = 490. Together 1,035.
  Adhesive: joist part is 46.5 in rows 0 and 3, 48 in rows 1 and 2. Beads of a row: joists between ends + 2
  a joint: even 25 + 2 x 4 = 33, odd 24 + 2 x 5 = 34: 33 x 46.5 + 34 x 48 + 33 x 48 + 34 x 46.5 = 6,331.5 in
  = 13.2 tubes.
- R31: steel screws 290 + 24 + 60 = 374, x 1.05 = 392.7: 2 boxes of 250. Wood 290 -> 304.5: 2 boxes.
  Nails 116 + 24 + 4 = 144: 1 box of 500. Strap screws 45: 1 box. Sheathing nails 1,086.75: 2 boxes of 1,000.
"""

from __future__ import annotations

import pytest

from framing.engine.result import BomLine
from tests.engine.fitout.builders import PROFILE, bill_of, laid, rectangle


@pytest.fixture(scope="module")
def bill() -> dict[str, BomLine]:
    floor, _ = rectangle(480, 192)
    return bill_of(floor, laid(floor))


@pytest.mark.parametrize(
    ("code", "exact", "bought"),
    [
        (PROFILE, 29 * 189 * 16, 457),  # 456.75 ft
        ("bearing_clip:1000", 58, 58),
        ("clip_angle:1000", 6, 6),
        (f"solid_block:{PROFILE}", 6, 6),
        (f"ladder_block:{PROFILE}", 6, 6),
        ("strap", int(489.75 * 16), 41),
        ("rim_stick:16", 2, 2),
        ("rim_stick:20", 4, 4),
        ("sheathing_panel", 20, 20),
        ("steel_screw", 374, 2),
        ("wood_screw", 290, 2),
        ("bearing_nail", 144, 1),
        ("strap_screw", 45, 1),
        ("sheathing_nail", 1035, 2),
        ("adhesive_tube", int(6331.5 * 16), 14),
    ],
)
def test_bill_is_the_one_worked_by_hand(bill: dict[str, BomLine], code: str, exact: int, bought: int) -> None:
    assert (bill[code].exact, bill[code].bought) == (exact, bought)


def test_bill_has_no_other_lines(bill: dict[str, BomLine]) -> None:
    assert len(bill) == 15


def test_nails_to_plates_rims_and_strap_are_shown_apart(bill: dict[str, BomLine]) -> None:
    terms = [(term.words, term.quantity) for term in bill["bearing_nail"].terms]
    assert terms == [
        ("plates at platform bearings", 116),
        ("ladder block to the rim", 24),
        ("strap ends up the rims", 4),
    ]
