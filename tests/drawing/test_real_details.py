"""Details, elevations and the DXF of floors with skewed walls, flush beams, free edges and headers at walls."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace
from itertools import combinations
from math import degrees, radians, tan

import ezdxf
import pytest
from ezdxf.document import Drawing

from framing.drawing import SheetInfo
from framing.drawing.conditions import Conditions
from framing.drawing.detail_ends import met
from framing.drawing.details import detail_svg, details_svg, floor_details
from framing.drawing.dxf import plan_dxf
from framing.drawing.elevation import elevations_svg
from framing.drawing.elevation_rows import elevations
from framing.drawing.key import key_height
from framing.drawing.pane import Detail
from framing.engine import Practice, load_catalogue
from framing.engine.members import EndKind, Member, MemberKind
from framing.engine.placement import Item
from framing.engine.units import format_length
from tests.drawing.reading import SVG, Written, root_of, texts
from tests.drawing.real_floors import DOCUMENTS, floor, plan
from tests.drawing.test_dxf import rings

SHEET = SheetInfo("Alder Court, lot 14", "Second floor", "2026-03-02", "R1", 3, 4)
CATALOGUE = load_catalogue()
every_floor = pytest.mark.parametrize("name", DOCUMENTS)


def details(name: str) -> dict[str, Detail]:
    return {detail.name: detail for detail in floor_details(floor(name), CATALOGUE, Practice())}


def words_of(name: str, detail: str) -> str:
    return " ".join(text.text for text in texts(detail_svg(details(name)[detail])))


def parts(name: str, detail: str, part: str) -> int:
    root = root_of(detail_svg(details(name)[detail]))
    found = [g for g in root.iter(f"{SVG}g") if g.attrib.get("data-part") == part]
    return sum(len(list(g.iter(f"{SVG}circle"))) + len(list(g.iter(f"{SVG}path"))) for g in found)


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("two ways", {"platform", "platform-B", "flush", "butt-B", "bridging", "plies-B"}),
        ("cantilever", {"platform", "free", "through", "bridging", "plies-J"}),
        ("trapezoid", {"platform", "platform-skewed", "bridging"}),
        ("skewed deck", {"balloon", "free-skewed", "through", "bridging"}),
        ("stair at a wall", {"platform", "platform-H", "header", "bridging", "plies-T", "plies-H"}),
        ("stair at the start", {"platform", "platform-H", "header", "bridging", "plies-T", "plies-H"}),
    ],
)
def test_only_what_occurs_is_drawn(name: str, wanted: set[str]) -> None:
    assert set(details(name)) == wanted


def _texts_apart(written: list[Written], width: float, height: float) -> None:
    assert [(a.text, b.text) for a, b in combinations(written, 2) if a.meets(b)] == []
    for text in written:
        assert 0 < text.box.left < text.box.right < width, text.text
        assert 0 < text.box.top < text.box.bottom < height, text.text


@every_floor
def test_texts_of_details_and_elevations_keep_apart_and_on_the_paper(name: str) -> None:
    sheets = (
        *details_svg(floor(name), SHEET, CATALOGUE, Practice()),
        *elevations_svg(floor(name), SHEET, CATALOGUE),
    )
    assert len(sheets) >= 2
    for svg in sheets:
        _texts_apart(texts(svg), SHEET.paper.width, SHEET.paper.height)


def test_a_flush_beam_takes_a_clip_angle_at_each_side() -> None:
    """R20: n = 5 in both legs at 10 in depth, joists 3/8 in short of the faces; R21: no nails."""
    words = words_of("two ways", "flush")
    (beam,) = [member for member in floor("two ways").members if member.kind is MemberKind.BEAM]
    assert f"Flush beam {beam.mark}, {beam.plies} plies of 1000S162-54" in words
    assert "5 self-drilling screws in each leg" in words
    assert 'Joist ends 3/8" short of the beam; no nails' in words
    assert [parts("two ways", "flush", part) for part in ("steel-screw", "beam-screw")] == [10, 10]
    ends = [end for m in floor("two ways").members for end in (m.low, m.high) if end.kind is EndKind.FLUSH]
    assert details("two ways")["flush"].places == f"{len(ends)} member ends"
    assert len(ends) == 17 + 23  # 24 ft at 16 in, and at 12 in on the other side


def test_a_flush_beam_butts_over_the_wall_inside() -> None:
    words = words_of("two ways", "butt-B")
    assert 'Stops 3/16" short of the center; no clip, no plate' in words
    assert "2 bearing nails per ply" in words
    assert 'Bearing W2, 3 1/2" wide' in words


def test_a_free_edge_has_a_clip_angle_and_the_bearing_further_in() -> None:
    """2 ft to the bearing's centre less half of 3 1/2 in and the rim's 1 1/8 in: 1'-9 1/8"."""
    words = words_of("cantilever", "free")
    assert "Runs out 1'-9 1/8\" past the bearing, in one piece; nothing under it" in words
    assert 'Bearing W1, 3 1/2" wide; 2 nails per ply' in words
    assert "5 wood screws to the rim board" in words
    assert "Full-depth" not in words
    assert [parts("cantilever", "free", part) for part in ("steel-screw", "wood-screw", "bearing-nail")] == [
        5,
        5,
        2,
    ]


def test_a_skewed_end_says_its_angle_and_how_far_it_is_cut_back() -> None:
    """At 30 degrees: 1 1/8 / cos + half of 1 5/8 x tan = 1.768 in; places are whole sixteenths."""
    found = Conditions(floor("steep"), CATALOGUE, Practice())
    ends = [end for end in found.ends() if end.meets.kind is EndKind.PLATFORM and met(found, end)[1]]
    assert len(ends) >= 9
    least = 1.125 / 0.8660 + 1.625 / 2 * tan(radians(30))
    for end in ends:
        back, slope = met(found, end)
        assert least - 1 / 16 < float(back) / 16 < least + 1 / 16
        assert float(slope) == pytest.approx(tan(radians(30)), abs=0.001)
    assert 'Rim 30.0\N{DEGREE SIGN} off square; cut square, 1 3/4" back' in words_of(
        "steep", "platform-skewed"
    )
    assert "End clearance" not in words_of("steep", "platform-skewed")
    assert 'End clearance 3/8"' in words_of("steep", "platform")


@pytest.mark.parametrize("name", ["stair at a wall", "stair at the start"])
def test_a_header_at_a_wall_has_one_trimmer(name: str) -> None:
    """Whichever side the wall is on: R7's stand-offs at the trimmer, a bearing clip and nails at the wall."""
    (framed,) = floor(name).bays[0].openings
    assert (framed.trimmer_low is None) != (framed.trimmer_high is None)
    words = words_of(name, "header")
    assert 'Opening edge 1 1/8" off trimmer and header' in words
    assert 'Header of 2 plies ends 3/8" short of the trimmer' in words
    assert "Clip angle per ply, 5 self-drilling screws in each leg" in words
    wall = words_of(name, "platform-H")
    assert "Full-depth bearing clip" in wall
    assert 'End clearance 3/8"' in wall
    assert "2 bearing nails per ply to the plate" in wall
    assert details(name)["platform-H"].places == "2 member ends"


def test_an_opening_with_a_wall_on_both_sides_has_no_header_detail() -> None:
    result = floor("stair at a wall")
    bay = result.bays[0]
    bare = tuple(replace(framed, trimmer_low=None, trimmer_high=None) for framed in bay.openings)
    changed = replace(result, bays=(replace(bay, openings=bare),))
    assert "header" not in {d.name for d in floor_details(changed, CATALOGUE, Practice())}


def test_elevations_say_which_ends_take_a_clip_angle_without_a_wall() -> None:
    rows = {row.line.mark: row for row in elevations(floor("two ways"), CATALOGUE)}
    assert rows["1J01"].words[-1] == "Far end at a flush beam: clip angle, no nails."
    assert rows["1J02"].words[-1] == "Printed end at a flush beam: clip angle, no nails."
    assert rows["1J03"].ends == ""
    assert rows["1B01"].head.startswith("flush beam, ")
    (joist,) = [row for row in elevations(floor("cantilever"), CATALOGUE) if row.line.mark == "1J01"]
    assert joist.ends == "Printed end at a free edge: clip angle, no nails."


def test_an_end_that_only_some_members_of_a_mark_have_is_counted() -> None:
    result = floor("cantilever")
    bay = result.bays[0]
    other = replace(bay.members[0], low=replace(bay.members[0].low, kind=EndKind.FLUSH))
    changed = replace(result, bays=(replace(bay, members=(other, *bay.members[1:])),))
    (row,) = [row for row in elevations(changed, CATALOGUE) if row.line.mark == "1J01"]
    assert row.ends == (
        "Printed end at a flush beam (in 1 of them), printed end at a free edge (in 13 of them): "
        "clip angle, no nails."
    )


def read(name: str) -> Drawing:
    return ezdxf.read(io.StringIO(plan_dxf(floor(name))))  # type: ignore[attr-defined]


@every_floor
def test_every_ply_is_on_the_dxf_at_its_length(name: str) -> None:
    drawing = read(name)
    assert (drawing.audit().errors, drawing.audit().fixes) == ([], [])
    told = Counter(
        (tags[0].value, tags[3].value)
        for ring in drawing.modelspace().query("LWPOLYLINE")
        if ring.has_xdata("SPANYARD") and (tags := ring.get_xdata("SPANYARD"))
    )
    assert told == Counter({(m.id, m.length_16 / 16): m.plies for m in floor(name).members})


def test_layers_of_beams_and_borders_are_there_only_where_they_occur() -> None:
    named = {
        name: {layer.dxf.name for layer in read(name).layers}
        for name in ("two ways", "trapezoid", "side by side")
    }
    assert {"BEAMS", "BAYS"} <= named["two ways"]
    assert not {"BEAMS", "BAYS"} & named["trapezoid"]
    assert {"BEAMS", "BAYS"} & named["side by side"] == {"BAYS"}
    space = read("two ways").modelspace()
    (beam,) = [member for member in floor("two ways").members if member.kind is MemberKind.BEAM]
    assert len(space.query('LWPOLYLINE[layer=="BEAMS"]')) == beam.plies
    assert len(space.query('LWPOLYLINE[layer=="SUPPORTS"]')) == 1  # the wall; the beam is drawn by its plies
    assert {text.dxf.text for text in space.query('TEXT[layer=="SUPPORTS"]')} == {"FB1", "W2"}


def test_a_skewed_bearing_stands_as_wide_on_the_dxf_and_inside_the_outline() -> None:
    (ring,) = rings(read("steep"), "SUPPORTS")
    (ax, ay), (bx, by), (cx, cy), _ = ring
    long = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    assert abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) / long == pytest.approx(3.5)
    assert (ax, bx, cx) == pytest.approx((0.0, 360.0, 360.0))


def test_a_skewed_length_stands_along_its_side_on_the_dxf() -> None:
    (text,) = [
        text for text in read("trapezoid").modelspace().query("TEXT") if text.dxf.text == "28'-4 5/16\""
    ]
    assert tan(radians(text.dxf.rotation)) == pytest.approx(4.5 / 28, abs=1e-4)
    (edge,) = [t for t in read("skewed deck").modelspace().query("TEXT") if t.dxf.text == "free edge"]
    assert edge.dxf.rotation == pytest.approx(degrees(radians(90)) - degrees(0.14190), abs=0.01)


def test_the_key_takes_a_second_row_where_one_is_too_short() -> None:
    assert key_height(floor("trapezoid"), 200.0) == 5.0
    assert key_height(floor("two ways"), 200.0) == 10.0


def test_lengths_of_overhangs_follow_the_units() -> None:
    result = floor("skewed deck")
    found = Conditions(result, CATALOGUE, Practice())
    end = next(end for end in found.ends() if end.meets.kind is EndKind.FREE)
    member: Member = end.member
    over = abs(member.crossings[-1].high_face_16 - end.meets.face_16)
    assert format_length(over, "metric").replace(" ", "\N{NO-BREAK SPACE}") not in ("", "0 mm")
    assert format_length(over, plan("skewed deck").units) in words_of("skewed deck", "free-skewed")
    clips = [thing for thing in result.placed if thing.item is Item.CLIP_ANGLE and thing.host == member.id]
    assert len(clips) == 2
