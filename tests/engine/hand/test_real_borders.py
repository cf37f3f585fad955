"""Where the joists beside a border stand, and what may not be built, on paper (R1, R3, R51); in inches, along y.

Two bays of 180 deep side by side, A from x 0 to the border, B from there on; counted from the low side:
- A 24 to 112: 24 ... 96; B 16: 128 ...: 96 to 128 is 32, over 24; the middle 112 is the border: in A, whose
  stations end there.
- A 24 to 116: 24 ... 96; B 16: 132: 36, over 24; the middle 114 lies in A.
- A 16 to 120: 16 ... 112; B 24: 144: 32, over 24; the middle 128 lies in B.
- A 16 to 120: 112; B 16: 136: 24, over 16; the middle 124 lies in B.
- A 24 to 104: 24 ... 96; B 16: 120: 24, not over the larger spacing: none.
- A 16 to 114: 16 ... 112, 2 in off the border, where no rim is: set; B 16: 130: 18, over 16: 121 lies in B.
From the high side A counts from the border, B from its far side:
- A 16 to 120: 104 ...; B 24 from 312: 288 ... 144, 120 is the border, where B ends: 104 to 144 is 40: 124 in B.
- A 16 to 120: 104; B 24 from 304: 136: 32; the middle 120 is the border: in B, whose stations end there.
"""

from __future__ import annotations

from typing import Any

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.result import FloorResult
from tests.engine.hand.floors_on_paper import designed, inches
from tests.engine.hand.real_floors import rectangle

PROFILE = "1000S162-54"


def side_by_side(border: int, low: str, high: str, start: str = "low", width: int = 192) -> FloorResult:
    made = {"direction": "y", "profile": PROFILE, "start": start}
    return designed(
        name="Borders",
        outline=rectangle(border + width, 180),
        bays=[
            {"id": "A", "spacing": low, "outline": rectangle(border, 180), **made},
            {"id": "B", "spacing": high, "outline": rectangle(width, 180, across=border), **made},
        ],
    )


def places(floor: FloorResult) -> tuple[list[float], list[float]]:
    a, b = ([inches(m.plan_ends(bay.frame)[0].x_16) for m in bay.members] for bay in floor.bays)
    return sorted(a), sorted(b)


@pytest.mark.parametrize(
    ("border", "low", "high", "a_ends", "b_begins"),
    [
        (112, "24", "16", [72, 96, 112], [128, 144]),
        (116, "24", "16", [72, 96, 114], [132, 148]),
        (120, "16", "24", [80, 96, 112], [128, 144]),
        (120, "16", "16", [80, 96, 112], [124, 136]),
        (104, "24", "16", [48, 72, 96], [120, 136]),
        (114, "16", "16", [80, 96, 112], [121, 130]),
    ],
)
def test_closing_joists(border: int, low: str, high: str, a_ends: list[float], b_begins: list[float]) -> None:
    a, b = places(side_by_side(border, low, high))
    assert a[-3:] == a_ends
    assert b[:2] == b_begins


@pytest.mark.parametrize(("width", "b_begins"), [(192, [124, 144]), (184, [120, 136])])
def test_closing_joists_counted_from_the_high_side(width: int, b_begins: list[float]) -> None:
    a, b = places(side_by_side(120, "16", "24", "high", width))
    assert a[-2:] == [88, 104]
    assert b[:2] == b_begins


def refused(**entries: Any) -> str:
    with pytest.raises(FloorRefused) as caught:
        designed(name="Refused", **entries)
    return " ".join(f"{p.place} {p.message}" for p in caught.value.problems)


ONE = [{"id": "A", "direction": "y", "spacing": "16", "profile": PROFILE}]


def test_a_free_edge_needs_a_second_bearing() -> None:
    both = [{"edge": 0, "kind": "free"}, {"edge": 2, "kind": "free"}]
    wall = {"id": "W", "from": ["0", "90"], "to": ["192", "90"]}
    assert refused(outline=rectangle(192, 180), edges=both, supports=[wall], bays=ONE)
    assert refused(outline=rectangle(192, 180), edges=both[:1], bays=ONE)


def test_a_cantilever_longer_than_the_longest_piece() -> None:
    # 484 - 3 is 1 over 480, and the wall next to the free edge is passed in one piece
    wall = {"id": "W", "from": ["0", "460"], "to": ["192", "460"], "joint": "lap"}
    edge = [{"edge": 2, "kind": "free"}]
    assert refused(outline=rectangle(192, 484), edges=edge, supports=[wall], bays=ONE)
    assert (
        len(designed(name="Long", outline=rectangle(192, 483), edges=edge, supports=[wall], bays=ONE).members)
        == 11
    )


@pytest.mark.parametrize(
    ("start", "end"),
    [
        (["0", "80"], ["192", "90"]),  # not square to the joists
        (["0", "90"], ["100", "90"]),  # ends on nothing
    ],
)
def test_a_flush_beam_stands_square_and_on_something(start: list[str], end: list[str]) -> None:
    beam = {"id": "B1", "kind": "flush_beam", "from": start, "to": end}
    assert "B1" in refused(outline=rectangle(192, 180), supports=[beam], bays=ONE)


def test_a_flush_beam_longer_than_the_longest_piece() -> None:
    beam = {"id": "B1", "kind": "flush_beam", "from": ["0", "90"], "to": ["484", "90"]}
    assert "B1" in refused(outline=rectangle(484, 180), supports=[beam], bays=ONE)


def test_a_flush_beam_crosses_no_opening() -> None:
    beam = {"id": "B1", "kind": "flush_beam", "from": ["0", "90"], "to": ["192", "90"]}
    hole = {"id": "O", "kind": "shaft", "corner": ["60", "60"], "size": ["40", "60"]}
    assert refused(outline=rectangle(192, 180), supports=[beam], openings=[hole], bays=ONE)


@pytest.mark.parametrize("to", [None, "100", "186"])
def test_a_border_across_the_joists_bears_all_along(to: str | None) -> None:
    # up to the outside wall's face at 186 1/2 would do
    walls = [{"id": "W", "from": ["0", "90"], "to": [to, "90"]}] if to else []
    bays = [
        {**ONE[0], "id": "A", "outline": rectangle(192, 90)},
        {**ONE[0], "id": "B", "outline": rectangle(192, 90, along=90)},
    ]
    assert refused(outline=rectangle(192, 180), supports=walls, bays=bays)


@pytest.mark.parametrize("clear", ["1", "3", "4.25", "4.5", "5.125"])
def test_an_opening_just_beside_a_flush_beam_leaves_no_room_for_its_header(clear: str) -> None:
    # The edge lies off the beam's face, so R7 asks for a header: 1.125 + 3.25 wide. Up to 4.375 it would stand in
    # the beam; up to 5.125 the tails between would be 4.375 + 2 x 0.375 less: 0 or under (R51).
    beam = {"id": "B1", "kind": "flush_beam", "from": ["0", "120"], "to": ["192", "120"]}
    edge = str(120 + 1.625 + float(clear))
    hole = {"id": "O", "kind": "shaft", "corner": ["60", edge], "size": ["40", "40"]}
    parts = ("trimmer_low", "trimmer_high", "header_low", "header_high")
    plies = [{"of": "B1", "part": "beam", "plies": 2}, *({"of": "O", "part": p, "plies": 2} for p in parts)]
    entries = {"supports": [beam], "openings": [hole], "overrides": {"plies": plies}}
    assert refused(outline=rectangle(192, 264), bays=ONE, **entries)
