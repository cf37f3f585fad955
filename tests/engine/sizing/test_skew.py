"""Strips beside skewed walls, worked by hand: joists at 24 in, half of it 12 in; 10 + 40 psf."""

from __future__ import annotations

import pytest

from framing.engine.pipeline import design_floor
from framing.engine.sizing import member_sheets
from tests.engine.layout.builders import PRACTICE
from tests.engine.sizing.floors import CATALOGUE, PROFILE, box, carried, floor, widths

BAY = {"id": "A", "direction": "y", "spacing": "24", "profile": PROFILE}
# the top wall rises by an inch an inch: y = x + 24
HALF_SQUARE = [[0, 0], [192, 0], [192, 216], [0, 24]]


def test_a_strip_runs_out_with_the_outline() -> None:
    found = carried(floor(HALF_SQUARE, bays=[BAY]))
    # At x 96 the outline is at y 120, the wall's face 5.5 x 1.41421 = 7.778 inside, 112.25 to a sixteenth. Towards the
    # start the wall stands 120 - y away: 12 at y 108, 7.75 at the face; the joist at 72 reaches to y 96.
    one = found["A.J4"]
    assert one.model.supports_in == (5.5, 112.25)
    assert widths(one) == [(5.5, 108, 24), (108, 112.25, 24, 19.75)]
    # the last one has the outline 24 in beside it on the far side
    assert widths(found["A.J7"])[0][2] == 24


def test_a_sheet_shows_both_ends_of_a_load_that_tapers() -> None:
    sheets = member_sheets(
        design_floor(floor(HALF_SQUARE, bays=[BAY]), CATALOGUE, PRACTICE), CATALOGUE, PRACTICE
    )
    sheet = next(s for s in sheets if "A.J4" in s.check.members)
    # the cut end is 1 1/2 in inside; 10 psf x 24 / 12 = 20, x 19.75 / 12 = 16.458
    shown = [(v.words, v.symbol, v.value) for v in sheet.loads if v.symbol.startswith("wD")]
    assert shown == [
        ("Dead load, 4.00 to 106.50 in", "wD", pytest.approx(20)),
        ("Dead load, 106.50 to 110.75 in, low end", "wD1", pytest.approx(20)),
        ("Dead load, 106.50 to 110.75 in, high end", "wD2", pytest.approx(10 * 19.75 / 12)),
    ]
    largest = dict(sheet.check.checks[0].inputs)["Largest line load"]
    assert largest == "100.0 lb per ft"


def test_over_a_skewed_inner_wall_the_joists_behind_it_share_the_floor_beside_a_longer_one() -> None:
    # The wall rises by half: at x 96 its centre is at y 108, its face 1.75 x 1.118 = 1.957 below. The joist at 72 ends
    # at y 102, 6 in past the wall; from y 90.8 on the next line's stands 22.375 away: half a spacing.
    wall = {"id": "W1", "from": [0, 60], "to": [192, 156]}
    found = carried(floor(box(192, 240), bays=[BAY], supports=[wall]))
    below = next(c for c in found.values() if c.member.line == 0 and c.member.centre_16 == 96 * 16)
    above = next(c for c in found.values() if c.member.line == 1 and c.member.station == below.member.station)
    assert below.member.high_16 == 114 * 16
    assert [row[2:] for row in widths(below)] == [(24,)]
    assert [row[2:] for row in widths(above)] == [(24,)]
    assert below.model.supports_in == (5.5, pytest.approx(106.0625, abs=1 / 16))


def test_each_joist_of_a_skewed_wall_is_a_case_of_its_own() -> None:
    result = design_floor(floor(HALF_SQUARE, bays=[BAY]), CATALOGUE, PRACTICE)
    assert len(result.checks) == len(result.members) == 7
    assert len({check.span_in for check in result.checks}) == 7
