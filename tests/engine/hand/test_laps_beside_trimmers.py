"""Laps beside an opening's trimmers, on floor two's plan: wall at y 160, lapped, 19.2 in, flange 1.625.

A trimmer runs as long as its line, so it stands beside joists of the other line over the wall (154..166).

Stair at x 97.5: its low trimmer 93.125..96.375 takes the place of the joist at 96 (R7). The second line's
joist at 97.625 begins at 96.8125, 7/16 off the trimmer: they lap over the wall and are a pair (R23); 18
stations, 18 plates.

Shaft at x 250 in the second line: low trimmer 245.625..248.875. The first line's joist at 249.625 reaches
1/16 into it over the wall, its centre is not within it: it moves away until it touches (R7), to 249.6875.
Its neighbour in the second line, the low tail at 251.25, begins at 250.4375 and gives way by the same
1/16, to 251.3125.

Stair at x 102.375: low trimmer 98..101.25. The second line's joist at 97.625 reaches 98.4375: it moves to
97.1875, and its neighbour, the joist at 96, to 95.5625.
"""

from __future__ import annotations

from framing.engine.members import Member, MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import count, designed, inches


def lapped(kind: str, corner: list[str], size: list[str]) -> FloorResult:
    return designed(
        name="Lapped",
        outline=[["0", "0"], ["30'", "0"], ["30'", "28'"], ["0", "28'"]],
        supports=[{"id": "W", "from": ["0", "160"], "to": ["360", "160"], "joint": "lap"}],
        openings=[{"id": "O1", "kind": kind, "corner": corner, "size": size}],
        bays=[{"id": "A", "direction": "y", "spacing": "19.2", "profile": "1200S162-54"}],
    )


def at_wall(floor: FloorResult, line: int, station: int) -> float:
    """Centre of the station's joist where it crosses the wall, in inches."""

    def laps(m: Member) -> bool:
        return m.low_16 < 160 * 16 < m.high_16 and m.kind is MemberKind.JOIST

    (found,) = [m for m in floor.members if m.line == line and m.station == station and laps(m)]
    return inches(found.centre_16)


def test_trimmer_in_place_of_a_joist_is_tied_to_the_one_it_laps() -> None:
    floor = lapped("stair", ["97.5", "24"], ["42", "120"])
    assert not [m for m in floor.members if m.line == 0 and m.station == 4]
    assert at_wall(floor, 1, 4) == 97.625
    assert count(floor, Item.LAP_PLATE) == {"1200": 18}


def test_first_line_moves_the_short_way() -> None:
    floor = lapped("shaft", ["250", "236"], ["24", "24"])
    assert at_wall(floor, 0, 12) == 249.6875
    assert at_wall(floor, 1, 12) == 251.3125
    assert [w.message for w in floor.warnings if "without a partner" not in w.message] == []


def test_second_line_moves_the_short_way() -> None:
    floor = lapped("stair", ["102.375", "24"], ["42", "120"])
    assert at_wall(floor, 1, 4) == 97.1875
    assert at_wall(floor, 0, 4) == 95.5625
    assert [w.message for w in floor.warnings if "without a partner" not in w.message] == []
