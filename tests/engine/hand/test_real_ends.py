"""Ends that meet something less common, on paper; in inches, joists along y at 16 in, 1000S162-54.

Skewed free edge: (0, 0), (192, 0), (192, 180), (0, 156), wall W at y 132, faces 130.25 and 133.75. The edge rises 1
in 8: 1.125 x 1.0078 + 0.8125 / 8 = 1.235: R4's 1 1/2. 153 + 2 k over W, k = 1 ... 11. 11 bearing clips, 11 clip
angles at the rim; nails 11 + 11 x 2. 1 line, y 67.875; ladder blocks 3 a side; the overhang is 21 to 45 in, under
48: none. 17 clip angles; steel 55 + 55 + 12 + 60, wood 110, nails 44 + 24 + 4.

Beam on an inside wall: 240 x 104, wall V along the joists at x 136, beam at y 52 from the outline to V, two plies
(fixed): 1.5 to 136 - 3/16 = 135.8125: 134.3125. 16 ... 128 (8) end at it: 1.5..50 and 54..102.5, 48.5 each; 144 ...
224 (6) run through, 101. No span is over 96: no bridging. Bearing clips 8 + 8 + 12, beam 2 at the outline, none on
V: 30. Clip angles 16, ladder block at x 240 (93): 1, none at x 0 (44.9): 17. Nails 28 x 2, beam 4 + 4 on V, ladder
4: 68. Ply clips: 5 spaces of 23.2625: 10.5, 33.76, 57.03, 80.29, 103.55, 126.81; carried every 16 to 128: 35, 83,
125; 10.5 to 35 and 57.03 to 83 are over 24: 22.75 and 70.01: 8. Steel 150 + 170 + 32, wood 150.

Corner stair: 240 x 192, stair 36 x 138 at x 200..236, y 50..188: the right trimmer has no room, the high edge lies
over the wall (186.5 and on): no header. Trimmer 197.25; header y 45.625..48.875 (47.25), 199.25..238.5; tails 208,
224: 1.5..45.25. Bearing clips 12 + 2 + 2, 12 + 2, header 2: 32. Clip angles: header 2, tails 2, ladder blocks left
3 (right: 40.1 to the header): 7. Inner rim 140.25, 36, 36. Backing 138 in two, 36.

Three plies: beam at y 132, 4.875 wide: joists end at 129.5625 - 0.375 = 129.1875 and begin at 134.8125. Two
interfaces of ply clips, three bearing clips an end.
"""

from __future__ import annotations

import pytest

from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item
from tests.engine.hand.floors_on_paper import count, cut, designed, inches, lengths, members, spots
from tests.engine.hand.real_floors import bill, rectangle

BAYS = [{"id": "A", "direction": "y", "spacing": "16", "profile": "1000S162-54"}]


def test_skewed_free_edge() -> None:
    floor = designed(
        name="Skewed free edge",
        outline=[["0", "0"], ["192", "0"], ["192", "180"], ["0", "156"]],
        edges=[{"edge": 2, "kind": "free"}],
        supports=[{"id": "W", "from": ["0", "132"], "to": ["192", "132"], "joint": "butt"}],
        bays=BAYS,
    )
    joists = members(floor, MemberKind.JOIST)
    assert [inches(m.length_16) for m in joists] == [153.0 + 2 * k for k in range(1, 12)]
    assert {(m.high.kind, len(m.crossings)) for m in joists} == {(EndKind.FREE, 1)}
    found = bill(floor)
    assert [found[code] for code in ("bearing_clip:1000", "clip_angle:1000", "ladder_block:1000S162-54")] == [
        11,
        17,
        6,
    ]
    screws = [found[code] for code in ("steel_screw", "wood_screw", "bearing_nail")]
    assert screws == [55 + 55 + 12 + 60, 55 + 55, 44 + 24 + 4]
    assert [inches(line.along_16) for line in floor.lines] == [67.875]
    assert lengths(floor, Item.RIM_BOARD) == [153.75, 177.75, 192.0, 193.5]  # sqrt(192^2 + 24^2) = 193.494


def test_beam_on_an_inside_wall() -> None:
    floor = designed(
        name="Beam on a wall",
        outline=rectangle(240, 104),
        supports=[
            {"id": "V", "from": ["136", "0"], "to": ["136", "104"]},
            {"id": "B1", "kind": "flush_beam", "from": ["0", "52"], "to": ["136", "52"]},
        ],
        bays=BAYS,
        overrides={"plies": [{"of": "B1", "part": "beam", "plies": 2}]},
    )
    (beam,) = members(floor, MemberKind.BEAM)
    assert cut([beam]) == [(52.0, 1.5, 135.8125)]
    assert (beam.high.kind, beam.high.host) == (EndKind.BUTT, "support:V")
    halves = [(16.0 * k, *ends) for k in range(1, 9) for ends in ((1.5, 50.0), (54.0, 102.5))]
    through = [(16.0 * k, 1.5, 102.5) for k in range(9, 15)]
    assert sorted(cut(members(floor, MemberKind.JOIST))) == halves + through
    clips = [10.5, 22.75, 35, 57.025, 70.0125, 83, 103.55, 125]
    assert [x for x, _ in spots(floor, Item.PLY_CLIP)] == pytest.approx(clips, abs=1 / 16)
    found = bill(floor)
    del found["sheathing_panel"]
    assert found == {
        "1000S162-54": 16 * 48.5 + 6 * 101 + 2 * 134.3125,
        "bearing_clip:1000": 30,
        "clip_angle:1000": 17,
        "ply_clip:1000": 8,
        "ladder_block:1000S162-54": 1,
        "rim_stick:20": 3,  # 240, 240, 101.75 + 101.75
        "steel_screw": 150 + 170 + 32,
        "wood_screw": 150,
        "bearing_nail": 56 + 8 + 4,
    }


def test_corner_stair() -> None:
    floor = designed(
        name="Corner stair",
        outline=rectangle(240, 192),
        openings=[{"id": "S", "kind": "stair", "corner": ["200", "50"], "size": ["36", "138"]}],
        bays=BAYS,
        overrides={
            "plies": [{"of": "S", "part": part, "plies": 2} for part in ("trimmer_low", "header_low")]
        },
    )
    assert cut(members(floor, MemberKind.TRIMMER)) == [(197.25, 1.5, 190.5)]
    assert cut(members(floor, MemberKind.HEADER)) == [(47.25, 199.25, 238.5)]
    joists = cut(members(floor, MemberKind.JOIST))
    full = [(16.0 * k, 1.5, 190.5) for k in range(1, 13)]
    assert joists == [*full, (208.0, 1.5, 45.25), (224.0, 1.5, 45.25)]
    assert count(floor, Item.BEARING_CLIP) == {"1000": 32}
    assert count(floor, Item.CLIP_ANGLE) == {"1000": 7}
    assert lengths(floor, Item.RIM_BOARD) == [36.0, 36.0, 140.25, 189.75, 189.75, 240.0, 240.0]
    assert sum(lengths(floor, Item.WEB_BACKING)) == 138 + 36
    assert len(floor.lines[0].runs) == 1


def test_three_ply_beam() -> None:
    floor = designed(
        name="Three plies",
        outline=rectangle(144, 264),
        supports=[{"id": "B1", "kind": "flush_beam", "from": ["0", "132"], "to": ["144", "132"]}],
        bays=BAYS,
        overrides={"plies": [{"of": "B1", "part": "beam", "plies": 3}]},
    )
    joists = members(floor, MemberKind.JOIST)
    ends = {(inches(m.low_16), inches(m.high_16)) for m in joists}
    assert ends == {(1.5, 129.1875), (134.8125, 262.5)}
    (beam,) = members(floor, MemberKind.BEAM)
    assert (beam.plies, inches(beam.width_16)) == (3, 4.875)
    at_beam = [t for t in floor.placed if t.item is Item.BEARING_CLIP and t.host == beam.id]
    assert len(at_beam) == 6
    # the clips stand as on two plies, once more for the second interface
    places = [x for x, _ in spots(floor, Item.PLY_CLIP)]
    assert places == [x for x in sorted(set(places)) for _ in range(2)]
