"""A lapped floor with a stair worked by hand: 40 ft x 24 ft, wall at 12 ft, joists at 16 in.

The stair is 40 in across by 80 in along, at x 120 to 160, y 36 to 116. Worked from the rules in inches:
- R7: trimmers 2-ply, near faces at 118.875 and 161.125, centres 117.25 and 162.75; headers 2-ply, centres
  33.25 and 118.75, far faces 31.625 and 120.375, length 40 + 2.25 - 0.75 = 41.5. Stations 128, 144, 160
  become tails.
- The joist of line 2 at 161.625 would stand in the second trimmer's lap end: it moves, which counts nothing.
- Line 1: 26 joists, 3 + 3 tails, 2 trimmers. Line 2: 29 joists, 1.625 off their stations, 138 to 286.5.
- R20: platform plies 26 + 3 + 2 x 2 = 33, and 29: 62 bearing clips. Clip angles: headers 2 x 2 ends x 2
  plies = 8, tails 6: 14. R26 adds 12: 26.
- R21: platform 62 x 2 = 124; laps (26 + 3 + 4 + 29) x 2 = 124.
- R22: trimmer 148.5: ceil(130.5/24) = 6 spaces of 21.75: 9, 30.75, 52.5, 74.25, 96, 117.75, 139.5. Headers
  stand at 31.75 and 117.25 from its low end: 30.75 moves to 28.75, 117.75 to 120.25; 96 to 120.25 is 24.25,
  so one more at 108.125: 8 clips. Header 41.5: 1 space, 9 and 32.5; the tail at 8.75 moves the first to
  11.75: 2 clips. 2 x 8 + 2 x 2 = 20 clips, 80 screws.
- R23: 26 joists and 3 tails each meet the next line's joist of their station: 29 plates. Cleats: rows from
  y 144 up stand on line 2: joints 5 (odd row 3), 4, 5 = 14; the row below the wall has line 1 under it to y
  150.
- R24: both spans clear 136.75: one line each, at 73.875 and 214.125. The first stops at the trimmers: 3
  runs in all.
- R25: run 1: joists 16 to 112, trimmer; the space of 2.81 by the trimmer takes none: centres 24 and 104 = 2
  blocks. Run 2: from the trimmer, centres 169.78, 264, 360, 456 = 4. Line 2: 6. Together 12, 48 screws.
- R26: each side and span: faces and line 68.375 apart, one more in each: 3 x 2 x 2 = 12.
- R27: 117.75 + 317.75 + 477.75 + 4 x 6 = 937.25 in = 78.1 ft, bought 79; nails 4 x 2 = 8.
  Screws: plies 7 + 2, 2 + 19, 29 = 59; blocks 2 x (12 + 4) = 32: 91.
- R28: bearing edges 4 x 240; parallel edges 288 - 2.25 = 285.75 = 240 + 45.75, twice; inner 2 x 82.25, 2 x
  40. Six whole sticks. The rest is 336 in: 12 + 16 ft would need an exact fill of 144, which no pieces
  give; so 32 ft: 20 + 12 (82.25 + 82.25 + 45.75 = 210.25; 45.75 + 40 + 40 = 125.75) beats 16 + 16. 7 of 20
  ft, 1 of 12 ft.
- R29: strips 80, 80, 40, 40, 9.76 high: rips 80 | 80 | 40 + 40, four rips to a sheet: 1 sheet.
- R30: 6 rows x 5 panels = 30; no cell lies wholly in the stair.
"""

from __future__ import annotations

import pytest

from framing.engine.result import BomLine
from tests.engine.fitout.builders import PROFILE, bill_of, laid, lapped_with_stair


@pytest.fixture(scope="module")
def bill() -> dict[str, BomLine]:
    floor, _ = lapped_with_stair()
    return bill_of(floor, laid(floor))


@pytest.mark.parametrize(
    ("code", "exact"),
    [
        ("bearing_clip:1000", 62),
        ("clip_angle:1000", 26),
        ("ply_clip:1000", 20),
        ("lap_plate:1000", 29),
        (f"solid_block:{PROFILE}", 12),
        (f"ladder_block:{PROFILE}", 12),
        ("strap", int(937.25 * 16)),
        ("rim_stick:12", 1),
        ("rim_stick:20", 7),
        ("backing_sheet", 1),
        ("sheathing_panel", 30),
        ("sheathing_cleat", 14),
        # 62 x 5 clips on joists, 14 x 10 angles, 80 ply clips, 29 x 10 plates, 48 blocks, 12 x 10 ladder
        # clips
        ("steel_screw", 310 + 140 + 80 + 290 + 48 + 120),
        ("wood_screw", 310),
        ("bearing_nail", 124 + 124 + 48 + 8),
        ("strap_screw", 91),
    ],
)
def test_bill_is_the_one_worked_by_hand(bill: dict[str, BomLine], code: str, exact: int) -> None:
    assert bill[code].exact == exact


def test_bill_has_no_line_left_unchecked_but_nails_and_adhesive(bill: dict[str, BomLine]) -> None:
    assert len(bill) == 16 + 3  # and the member line
    assert "rim_stick:16" not in bill


def test_strap_is_bought_in_whole_feet(bill: dict[str, BomLine]) -> None:
    assert bill["strap"].bought == 79
