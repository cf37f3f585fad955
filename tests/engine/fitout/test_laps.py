"""Lap plates by pairs and cleats row by row (R23), each case worked by hand."""

from __future__ import annotations

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout import fit_out, lone_end_warnings
from framing.engine.floor import FloorPlan
from framing.engine.members import EndKind, Member, MemberKind
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from tests.engine.fitout.builders import RECTANGLE, end, in16, joist, laid, layout, plan, span


def _floor(wall: float, width: float = 288) -> FloorPlan:
    corners = [(0, 0), (width, 0), (width, 288), (0, 288)]
    return plan(corners, RECTANGLE, supports=[("W1", 0, width, wall)])


def _low(number: int, centre: float, station: int | None, plies: int = 1) -> Member:
    kind = MemberKind.TRIMMER if plies > 1 else MemberKind.JOIST
    ends = end(EndKind.PLATFORM, "edge:0", 5.5), end(EndKind.LAP, "support:W1", 142.25)
    return joist(number, centre, (1.5, 150), *ends, kind=kind, plies=plies, station=station)


def _high(number: int, centre: float, station: int | None) -> Member:
    ends = end(EndKind.LAP, "support:W1", 145.75), end(EndKind.PLATFORM, "edge:2", 282.5)
    return joist(number, centre, (138, 286.5), *ends, line=1, shifted=True, station=station)


def _plates(*members: Member) -> list[Placed]:
    floor = _floor(144)
    spans = [span(0, 5.5, 142.25, 288), span(1, 145.75, 282.5, 288)]
    placed, _ = fit_out(floor, [layout(floor, members, spans)], load_catalogue(), Practice())
    return [p for p in placed if p.item is Item.LAP_PLATE]


def test_joists_of_one_station_are_a_pair_though_one_was_moved() -> None:
    # Station 64 moved to 62 beside a trimmer; its mate stands at 65.625: 2 in of air between flanges.
    assert [p.id for p in _plates(_low(1, 62, 3), _high(2, 65.625, 3))] == ["lap:A.J1:A.J2"]


def test_a_trimmer_that_took_a_joists_place_pairs_with_the_next_lines_joist() -> None:
    # Trimmer 62.375 to 65.625; the next line's joist has its flange from 64.8125.
    assert len(_plates(_low(1, 64, None, plies=2), _high(2, 65.625, 3))) == 1


def test_a_trimmer_away_from_every_joist_has_no_pair() -> None:
    # Trimmer 68.375 to 71.625; joists of the next line at 64.8125 to 66.4375 and 80.8125: nothing touches.
    assert _plates(_low(1, 70, None, plies=2), _high(2, 65.625, 3), _high(3, 81.625, 4)) == []


def test_each_member_is_in_one_pair_the_nearest() -> None:
    # Two trimmers touch one joist of the next line: 1.625 off and 2.375 off; the first takes it.
    members = (_low(1, 64, None, plies=2), _low(2, 68, None, plies=2), _high(3, 65.625, 3))
    assert [p.id for p in _plates(*members)] == ["lap:A.T1:A.J3"]


@pytest.mark.parametrize(
    ("wall", "cleats"),
    [
        # 288 at 16: joints 96, 192 in even rows, 48, 144, 240 in odd rows; rows end at 48, 96, ... 288.
        (144, 3 + 2 + 3),  # rows 3, 4, 5
        (90, 2 + 3 + 2 + 3),  # line 1 reaches 96: row 1 is carried, rows 2 to 5 are bare
        (89, 3 + 2 + 3 + 2 + 3),  # line 1 reaches 95: the last inch of row 1 is bare
        (186, 2 + 3),  # line 1 reaches 192: rows 4 and 5
    ],
)
def test_cleats_follow_the_lap(wall: float, cleats: int) -> None:
    floor = _floor(wall)
    placed, _ = fit_out(floor, [laid(floor)], load_catalogue(), Practice())
    assert sum(p.quantity for p in placed if p.item is Item.SHEATHING_CLEAT) == cleats


def test_no_cleat_without_a_shifted_line() -> None:
    floor = _floor(144)
    ends = end(EndKind.PLATFORM, "edge:0", 5.5), end(EndKind.PLATFORM, "edge:2", 282.5)
    still = [joist(n, 16 * n, (1.5, 286.5), *ends, station=n - 1) for n in range(1, 18)]
    bay = layout(floor, still, [span(0, 5.5, 282.5, 288)])
    placed, _ = fit_out(floor, [bay], load_catalogue(), Practice())
    assert not [p for p in placed if p.item is Item.SHEATHING_CLEAT]


def test_a_joint_partly_over_a_stair_still_gets_its_cleat() -> None:
    # Stair x 130 to 160, y 185 to 247. Row 3 is bare at joint 144 from 150 to the header at 180.625; row 5
    # from the other header at 251.375 to the bearing: a cleat each all the same.
    floor = plan(
        [(0, 0), (288, 0), (288, 288), (0, 288)],
        RECTANGLE,
        supports=[("W1", 0, 288, 144)],
        openings=[("S", 130, 185, 30, 62)],
    )
    placed, _ = fit_out(floor, [laid(floor)], load_catalogue(), Practice())
    assert sum(p.quantity for p in placed if p.item is Item.SHEATHING_CLEAT) == 3 + 2 + 3


def test_a_joint_wholly_over_a_stair_gets_no_cleat() -> None:
    # The stair y 180 to 265 holds all of row 4 (192 to 240); x 170 to 214 takes its joint at 192: one less.
    floor = plan(
        [(0, 0), (288, 0), (288, 288), (0, 288)],
        RECTANGLE,
        supports=[("W1", 0, 288, 144)],
        openings=[("S", 170, 180, 44, 85)],
    )
    placed, _ = fit_out(floor, [laid(floor)], load_catalogue(), Practice())
    cleats = [p for p in placed if p.item is Item.SHEATHING_CLEAT]
    assert len(cleats) == 3 + 1 + 3
    assert all(p.at.x_16 != in16(192) for p in cleats)


def test_who_laps_without_a_partner_is_told() -> None:
    floor = _floor(144)
    spans = [span(0, 5.5, 142.25, 288), span(1, 145.75, 282.5, 288)]
    laid_out = layout(floor, (_low(1, 64, 4), _low(2, 90, None, plies=2), _high(3, 65.625, 4)), spans)
    placed, _ = fit_out(floor, [laid_out], load_catalogue(), Practice())
    (warning,) = lone_end_warnings([laid_out], placed)
    assert warning.place == "supports.W1"
    assert warning.message.startswith(f"{laid_out.members[1].id} ends over bearing W1 without a partner")
