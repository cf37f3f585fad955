"""Reading DXF drawings: every version and kind of thing, blocks, planes of their own, units, damage, limits, bombs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from math import hypot
from pathlib import Path
from typing import Any

import pytest

from framing.common.bounded import JobRefused
from framing.projects.reading import READERS
from framing.projects.reading import dxf as dxf_reader
from framing.projects.reading.dxf import read_dxf
from framing.projects.reading.dxf_blocks import EXPLODED_MOST
from framing.projects.reading.dxf_text import BYTES_MOST, LINES_MOST, THINGS_MOST
from framing.projects.reading.dxf_units import UNITS, find_unit
from framing.projects.reading.dxf_words import name_of, why_left
from tests.projects.reading_dxf_files import (
    L_SHAPE,
    binary_of,
    box,
    drawing,
    drawn,
    facts_of,
    line_tags,
    lines,
    paths_on,
    ring,
    tags,
    text_of,
    townhouse,
)
from tests.projects.reading_runner import Runner, reading_runner

VERSIONS = ("R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018")


def left_of(facts: dict[str, Any]) -> dict[str, str]:
    return {what: why for _, what, why in facts["left"]}


def all_kinds(version: str) -> Any:
    made = drawing(version)
    space = made.modelspace()
    space.add_line((0, 0), (100, 0), dxfattribs={"layer": "A"})
    space.add_arc((0, 0), 50, 0, 90, dxfattribs={"layer": "A"})
    space.add_circle((30, 30), 20, dxfattribs={"layer": "A"})
    space.add_polyline2d([(0, 0), (50, 0), (50, 50)], close=True, dxfattribs={"layer": "A"})
    if version != "R12":
        space.add_lwpolyline(
            [(0, 0, 0.5), (50, 50, 0), (20, 80, 0)], format="xyb", close=True, dxfattribs={"layer": "B"}
        )
        space.add_ellipse((0, 0), (40, 0), 0.5, dxfattribs={"layer": "B"})
        space.add_spline([(0, 0), (10, 20), (30, 40), (50, 0)], dxfattribs={"layer": "B"})
    return made


@pytest.mark.parametrize("version", VERSIONS)
def test_every_version_as_text_and_as_binary(version: str, tmp_path: Path) -> None:
    made = all_kinds(version)
    facts = facts_of(made)
    assert facts["format"] == version
    taken = {what for _, what in facts["taken"]}
    assert {"1 line", "1 arc", "1 circle", "1 polyline"} <= taken
    assert ({"1 ellipse", "1 spline"} <= taken) == (version != "R12")
    assert facts["left"] == []
    again = facts_of(binary_of(made, tmp_path))
    assert (again["layers"], again["taken"], again["units"]) == (
        facts["layers"],
        facts["taken"],
        facts["units"],
    )


def test_paths_are_moved_to_the_low_corner_and_keep_their_arcs() -> None:
    facts = drawn(lambda space: space.add_lwpolyline(
        [(1000, 500, 1), (1100, 500, 0), (1100, 560, 0)], format="xyb", close=True, dxfattribs={"layer": "A"}
    ))  # fmt: skip
    assert paths_on(facts, "A") == [[1, 0, 0, 0, 1, 100, 0, 0, 100, 60, 0]]
    assert facts["size"] == [100, 60]


def test_an_arc_is_two_bulges() -> None:
    # A quarter of radius 50 from (50, 0) to (0, 50): each half turns 45 degrees, bulge tan(45 / 4) = 0.198912.
    facts = drawn(lambda space: space.add_arc((0, 0), 50, 0, 90, dxfattribs={"layer": "A"}))
    (path,) = paths_on(facts, "A")
    assert path[:5] == [0, 0, 50, 0, 0.198912367]
    assert path[-3:] == [0, 50, 0]


def test_seen_from_below_x_and_arcs_are_mirrored() -> None:
    facts = drawn(
        lambda space: space.add_lwpolyline(
            [(0, 0, 0.5), (10, 0, 0)],
            format="xyb",
            dxfattribs={"layer": "A", "extrusion": (0, 0, -1)},
        )
    )
    assert paths_on(facts, "A") == [[0, 0, 10, 0, -0.5, 0, 0, 0]]


def test_what_stands_out_of_the_plan_is_left() -> None:
    def draw(space: Any) -> None:
        space.add_line((0, 0), (9, 9))
        space.add_circle((0, 0), 5, dxfattribs={"extrusion": (1, 0, 0)})
        space.add_ellipse((0, 0), (0, 4, 0), 0.5, dxfattribs={"extrusion": (1, 0, 0)})

    assert left_of(drawn(draw)) == {
        "1 circle": "stands out of the plan",
        "1 ellipse": "stands out of the plan",
    }


def test_ellipse_and_spline_come_as_short_straight_pieces() -> None:
    facts = drawn(lambda space: space.add_ellipse((0, 0), (400, 0), 0.5, dxfattribs={"layer": "A"}))
    (path,) = paths_on(facts, "A")
    assert path[:2] == [1, 1]
    spots = list(zip(path[2::3], path[3::3], strict=True))
    assert all(
        (x - 400) ** 2 / 400**2 + (y - 200) ** 2 / 200**2 == pytest.approx(1, abs=1e-3) for x, y in spots
    )
    steps = [hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(spots)]
    assert max(steps) < 80


def test_things_that_are_no_lines_are_left_with_the_reason() -> None:
    def draw(space: Any) -> None:
        lines(space, L_SHAPE, "A")
        space.add_text("Kitchen", dxfattribs={"layer": "T"})
        space.add_mtext("Bath", dxfattribs={"layer": "T"})
        space.add_point((0, 0), dxfattribs={"layer": "T"})
        space.add_hatch(dxfattribs={"layer": "H"}).paths.add_polyline_path(L_SHAPE)
        space.add_linear_dim(base=(0, -20), p1=(0, 0), p2=(480, 0), dxfattribs={"layer": "D"}).render()
        space.add_xline((0, 0), (1, 1), dxfattribs={"layer": "D"})
        space.add_solid([(0, 0), (1, 0), (0, 1)], dxfattribs={"layer": "D"})
        space.add_polyface().append_face([(0, 0, 0), (1, 0, 0), (1, 1, 5)])
        space.add_line((0, 0, 0), (0, 0, 50), dxfattribs={"layer": "A"})

    left = left_of(drawn(draw))
    assert left["1 hatch"] == "only lines are read"
    assert left["1 dimension"] == "sizes are taken from the lines"
    assert left["1 endless line"] == "it has no ends"
    assert left["1 filled shape"] == left["1 point"] == "only lines make a floor"
    assert left["1 text"] == "texts only name openings that they stand in"
    assert left["1 polyline"] == "is a mesh, no line"


def test_texts_are_kept_with_their_places() -> None:
    def draw(space: Any) -> None:
        lines(space, L_SHAPE, "A")
        space.add_text("STAIR", dxfattribs={"insert": (50, 60)})
        space.add_mtext("{\\fSomefont;SHAFT}\\P2", dxfattribs={"insert": (70, 80)})

    assert drawn(draw)["texts"] == [[50, 60, "STAIR"], [70, 80, "SHAFT 2"]]


def test_paper_space_is_left() -> None:
    made = drawing()
    lines(made.modelspace(), L_SHAPE, "A")
    made.layout("Layout1").add_line((0, 0), (1, 1))
    assert left_of(facts_of(made))["1 line"] == "lies in paper space"
    only = drawing()
    only.layout("Layout1").add_line((0, 0), (1, 1))
    with pytest.raises(JobRefused, match="1 things lie in paper space"):
        facts_of(only)


# --- blocks ---


def test_a_block_is_taken_apart_where_it_is_set() -> None:
    made = drawing()
    block = made.blocks.new("UNIT")
    block.add_line((0, 0), (10, 0))
    block.add_line((0, 0), (0, 5), dxfattribs={"layer": "OWN"})
    made.modelspace().add_blockref(
        "UNIT", (100, 50), dxfattribs={"layer": "A", "rotation": 90, "xscale": 2, "yscale": 2}
    )
    facts = facts_of(made)
    assert paths_on(facts, "A") == [[0, 0, 10, 0, 0, 10, 20, 0]]  # layer 0 lies on the block's own layer
    assert paths_on(facts, "OWN") == [[0, 0, 10, 0, 0, 0, 0, 0]]


def test_a_circle_in_a_squeezed_block_is_an_ellipse() -> None:
    made = drawing()
    made.blocks.new("C").add_circle((0, 0), 10)
    made.modelspace().add_blockref("C", (0, 0), dxfattribs={"xscale": 2, "yscale": 1})
    facts = facts_of(made)
    assert facts["taken"] == [["0", "1 ellipse"]]
    assert facts["size"] == pytest.approx([40, 20], abs=0.1)


def test_an_array_of_blocks() -> None:
    made = drawing()
    made.blocks.new("P").add_line((0, 0), (1, 0))
    made.modelspace().add_blockref("P", (0, 0), dxfattribs={
        "row_count": 3, "column_count": 4, "row_spacing": 10, "column_spacing": 20,
    })  # fmt: skip
    facts = facts_of(made)
    assert facts["taken"] == [["0", "12 lines"]]
    assert facts["size"] == [61, 20]


def nested(deep: int, wide: int) -> bytes:
    """Blocks in blocks by hand: each holds the next one `wide` times; the innermost holds a line."""
    inserts = "".join(f"0\nINSERT\n8\n0\n2\nB{{next}}\n10\n{k}\n20\n0\n" for k in range(wide))
    blocks = "".join(
        f"0\nBLOCK\n8\n0\n2\nB{n}\n70\n0\n10\n0\n20\n0\n"
        + (inserts.replace("{next}", str(n + 1)) if n < deep else line_tags((0, 0), (1, 1)))
        + "0\nENDBLK\n8\n0\n"
        for n in range(1, deep + 1)
    )
    head = f"0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n".encode()
    return head + tags("0\nINSERT\n8\n0\n2\nB1\n10\n0\n20\n0\n", line_tags((0, 0), (9, 9)))


def test_blocks_in_blocks_up_to_eight_deep() -> None:
    assert facts_of(nested(8, 1))["taken"] == [["A", "2 lines"]]
    assert left_of(facts_of(nested(9, 1))) == {"1 block": "is nested more than 8 deep"}


def test_a_block_that_holds_itself_is_left() -> None:
    block = "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nME\n70\n0\n10\n0\n20\n0\n"
    data = (
        f"{block}0\nINSERT\n8\n0\n2\nME\n10\n1\n20\n1\n{line_tags((0, 0), (5, 0))}0\nENDBLK\n8\n0\n0\nENDSEC\n"
    ).encode() + tags("0\nINSERT\n8\n0\n2\nME\n10\n0\n20\n0\n", "0\nINSERT\n8\n0\n2\nGONE\n10\n0\n20\n0\n")
    facts = facts_of(data)
    assert facts["taken"] == [["A", "1 line"]]
    assert "holds itself" in left_of(facts).values() or facts["mended"]


# --- units ---


def test_units_by_the_files_word() -> None:
    for number, key in ((1, "in"), (2, "ft"), (4, "mm"), (5, "cm"), (6, "m")):
        longest = 480 * 16 / UNITS[key].sixteenths  # 40 ft
        found = find_unit({"units": number, "measurement": None}, float(longest))
        assert found.unit is UNITS[key]


@pytest.mark.parametrize(("longest", "words"), [(6, "smaller than 4 ft"), (36_000, "larger than 1,000 ft")])
def test_a_floor_of_half_a_foot_or_3000_feet_is_asked(longest: float, words: str) -> None:
    found = find_unit({"units": 1, "measurement": 0}, longest)
    assert found.unit is None
    assert words in found.why


def test_without_a_word_size_decides_only_where_one_unit_fits() -> None:
    # 480: 40 ft in inches, 480 ft in feet (too large), 15 ft 9 in in centimetres.
    assert find_unit({"units": 0, "measurement": 0}, 480).unit is UNITS["in"]
    assert find_unit({"units": None, "measurement": 1}, 480).unit is UNITS["cm"]
    assert find_unit({"units": None, "measurement": None}, 480).unit is None
    assert find_unit({"units": None, "measurement": None}, 12_000).unit is UNITS["mm"]
    assert (
        find_unit({"units": 3, "measurement": 0}, 40).unit is UNITS["ft"]
    )  # 3 is miles: nobody draws floors in them


def test_r12_names_no_units() -> None:
    facts = drawn(lambda space: lines(space, L_SHAPE, "A"), version="R12", units=None)
    assert facts["units"] is None


# --- what is which layer ---


def test_the_guess_is_by_geometry_alone() -> None:
    def draw(space: Any) -> None:
        lines(space, L_SHAPE, "1")
        ring(space, box((40, 40), (84, 160)), "2")
        ring(space, box((0, 190), (480, 193.5)), "3")
        lines(space, box((10, 10), (12, 300)), "4")  # a joist's flange is no wall and no opening

    facts = drawn(draw)
    names = {part: facts["layers"][number]["name"] for part, number in facts["guess"].items()}
    assert names == {"outline": "1", "openings": "2", "walls": "3"}
    assert facts["closed"][0] == [1, 480, 384]


def test_the_guess_of_a_turned_plan_takes_no_treads_for_walls() -> None:
    facts = facts_of(townhouse())
    names = {part: facts["layers"][number]["name"] for part, number in facts["guess"].items()}
    assert names == {"outline": "1-SLAB", "openings": "3-HOLES", "walls": "2-WALLS"}


def test_nothing_closed_is_no_guess() -> None:
    facts = drawn(lambda space: space.add_line((0, 0), (9, 9)))
    assert facts["guess"] == {"outline": None, "openings": None, "walls": None}
    assert facts["closed"] == [[0, 0.0, 0.0]]


# --- damage ---


def test_the_least_file_by_hand() -> None:
    facts = facts_of(tags(line_tags((0, 0), (12, 0)), line_tags((0, 0), (0, 12))))
    assert facts["taken"] == [["A", "2 lines"]]
    assert (facts["units"], facts["format"]) == (None, "R12")


def test_a_layers_name_in_an_old_alphabet() -> None:
    made = drawing("R2000")
    made.encoding = "cp1252"
    made.modelspace().add_line((0, 0), (9, 9), dxfattribs={"layer": "Räume"})
    assert [layer["name"] for layer in facts_of(text_of(made))["layers"]] == ["Räume"]
    broken = tags(line_tags((0, 0), (9, 9), "R\u00e4ume")).decode().encode("latin-1")
    (layer,) = facts_of(broken)["layers"]
    assert layer["name"].startswith("R")
    assert layer["name"].isprintable()


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_text_with_a_mark(encoding: str) -> None:
    data = tags(line_tags((0, 0), (9, 9))).decode().encode(encoding)
    assert facts_of(data)["taken"] == [["A", "1 line"]]


@pytest.mark.parametrize("ends", ["\r\n", "\r"])
def test_line_ends_of_other_machines(ends: str) -> None:
    data = tags(line_tags((0, 0), (9, 9))).decode().replace("\n", ends).encode()
    assert facts_of(data)["taken"] == [["A", "1 line"]]


def test_damage_is_mended_and_told() -> None:
    whole = text_of(all_kinds("R2000"))
    cut = facts_of(whole[: len(whole) * 9 // 10])
    assert cut["taken"]
    torn = facts_of(tags(line_tags((0, 0), (9, 9)), line_tags((0, 0), (5, 5)))[:-32])
    assert torn["taken"] == [["A", "1 line"]]  # the second one's end is gone: it is no line from 5 to 0
    assert "breaks off" in torn["mended"][0]
    tangled = tags(line_tags((0, 0), (9, 9)), "x!\nLINE\n", line_tags((0, 0), (5, 5)))
    assert any("damaged" in words for words in facts_of(tangled)["mended"])


@pytest.mark.parametrize("version", ["R2000", "R2018"])
def test_damage_beside_the_drawing_costs_no_line(version: str) -> None:
    whole = text_of(all_kinds(version))
    at = whole.index(b"\nOBJECTS\n") + len(b"\nOBJECTS\n")
    header = whole.replace(b"$DIMSCALE\n 40\n", b"$DIMSCALE\nforty\n", 1)
    for damaged in (whole[:at] + b" 70\nseven\n" + whole[at:], header):
        assert damaged != whole
        facts = facts_of(damaged)
        assert facts["taken"] == facts_of(whole)["taken"]
        assert facts["units"] == 1


def test_a_binary_file_that_breaks_off_is_told(tmp_path: Path) -> None:
    data = binary_of(all_kinds("R2000"), tmp_path)
    short = data[: data.rindex(b"SPLINE")]
    facts = facts_of(short)
    assert "breaks off" in facts["mended"][0]
    assert {what for _, what in facts["taken"]} >= {"1 line", "1 arc", "1 circle"}
    with pytest.raises(JobRefused):
        read_dxf(data[:30], {})


def test_numbers_that_are_none_are_left() -> None:
    data = tags(
        line_tags((0, 0), (9, 9)), line_tags((float("nan"), 0), (1, 1)), line_tags((1e308, 0), (1, 1)),
        "0\nCIRCLE\n8\nA\n10\n0\n20\n0\n40\n1e308\n", "0\nARC\n8\nA\n10\n0\n20\n0\n40\n5\n50\nnan\n51\n90\n",
    )  # fmt: skip
    facts = facts_of(data)
    assert facts["taken"] == [["A", "1 line"]]
    assert set(left_of(facts).values()) == {"has a place that is no number or beyond all floors"}
    assert facts["size"] == [9, 9]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no section"),
        (b"hello", "no section"),
        (b"AC1018\x00\x00", "program's own format"),
        (b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", "no lines in its model space"),
        (tags("0\nTEXT\n8\nA\n10\n0\n20\n0\n40\n1\n1\nhi\n"), "no lines in its model space"),
    ],
)
def test_what_is_no_floor_plan_is_refused_in_words(data: bytes, words: str) -> None:
    with pytest.raises(JobRefused, match=words):
        read_dxf(data, {})


def test_kinds_have_words() -> None:
    assert name_of("LINE", 1) == "1 line"
    assert name_of("LWPOLYLINE", 1200) == "1,200 polylines"
    assert name_of("ACME_THING", 2) == "2 things of other kinds"
    assert why_left("ACME_THING") == "only lines make a floor"


# --- limits and bombs ---

BOMBS: dict[str, bytes] = {
    "blocks nested 12 deep, ten each": nested(12, 10),
    "a block that holds itself ten times": (
        "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nME\n70\n0\n10\n0\n20\n0\n"
        + "0\nINSERT\n8\n0\n2\nME\n10\n1\n20\n1\n" * 10
        + "0\nENDBLK\n8\n0\n0\nENDSEC\n"
    ).encode()
    + tags("0\nINSERT\n8\n0\n2\nME\n10\n0\n20\n0\n"),
    "an array of a million by a million": (
        "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n8\n0\n2\nP\n70\n0\n10\n0\n20\n0\n"
        + line_tags((0, 0), (1, 1))
        + "0\nENDBLK\n8\n0\n0\nENDSEC\n"
    ).encode()
    + tags("0\nINSERT\n8\n0\n2\nP\n10\n0\n20\n0\n70\n1000000\n71\n1000000\n44\n1\n45\n1\n"),
    "ten million vertices": b"0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\nA\n90\n10000000\n70\n1\n"
    + b"10\n1\n20\n1\n" * 2_400_000,
    "nothing but numbers that are none": tags(
        *(line_tags((float("nan"), 1e308), (-1e308, float("inf"))) for _ in range(2000))
    ),
    "too many things": tags(*([line_tags((0, 0), (1, 1))] * (THINGS_MOST + 1))),
    "too many pieces": tags(*(line_tags((k, 0), (k, 9)) for k in range(dxf_reader.PIECES_MOST + 1))),
    "too many layers": tags(*(line_tags((0, k), (9, k), f"L{k}") for k in range(dxf_reader.LAYERS_MOST + 1))),
}


@pytest.fixture(scope="module")
def runner() -> Iterator[Runner]:
    with reading_runner(READERS["dxf"]) as found:
        yield found


@pytest.mark.parametrize("name", BOMBS)
def test_bombs_do_not_go_off(name: str, runner: Runner) -> None:
    """Refused in at most 5 s of a processor, whatever else runs, and 300 MB (B17)."""
    ran = runner.run(READERS["dxf"], BOMBS[name])
    assert ran.outcome.state == "refused", (ran.outcome.state, ran.outcome.fault)
    assert len(ran.outcome.words) > 30
    print(f"{name}: {ran.processor_s:.1f} s of a processor, {ran.peak_kb / 1024:.0f} MB")  # noqa: T201
    assert ran.peak_kb <= 300 * 1024
    assert ran.processor_s <= 5


def test_limits_name_themselves() -> None:
    with pytest.raises(JobRefused, match=f"at most {BYTES_MOST:,} are read"):
        read_dxf(b"0" * (BYTES_MOST + 1), {})
    with pytest.raises(JobRefused, match=f"at most {LINES_MOST:,} are read"):
        read_dxf(b"\n" * (LINES_MOST + 1), {})
    with pytest.raises(JobRefused, match=f"more than {EXPLODED_MOST:,} things"):
        read_dxf(BOMBS["an array of a million by a million"], {})
