"""Details: what occurs is drawn, its numbers are the engine's, texts keep apart."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest

from framing.drawing import SheetInfo
from framing.drawing.conditions import Conditions
from framing.drawing.detail_plies import clips_of
from framing.drawing.details import detail_svg, details_svg, floor_details
from framing.drawing.pane import Detail, wrapped
from framing.engine import Practice, design_floor, load_catalogue
from framing.engine.floor import Joint
from framing.engine.members import EndKind, MemberKind
from framing.engine.placement import Item
from framing.engine.result import FloorResult
from framing.engine.units import format_length
from tests.drawing import builders as made
from tests.drawing.reading import SVG, root_of, strokes_of, texts
from tests.drawing.test_plan import designed, sample

SHEET = SheetInfo("Alder Court, lot 14", "Second floor", "2026-03-02", "R1", 3, 4)
CATALOGUE = load_catalogue()


@cache
def floor(name: str) -> FloorResult:
    """A sample floor, or the hand-made house with another joint over its wall."""
    if name in ("house", "corridor", "townhouse"):
        return designed(sample(name))
    plan = made.house().plan
    openings = plan.openings if name == "butt" else ()
    support = replace(plan.supports[0], joint=Joint(name))
    return designed(replace(plan, supports=(support,), openings=openings))


def details(name: str) -> dict[str, Detail]:
    return {detail.name: detail for detail in floor_details(floor(name), CATALOGUE, Practice())}


def words_of(name: str, detail: str) -> str:
    """All texts of a detail as one line, notes in reading order."""
    return " ".join(text.text for text in texts(detail_svg(details(name)[detail])))


def parts(name: str, detail: str, part: str) -> int:
    """How many screws or nails of one part are drawn."""
    root = root_of(detail_svg(details(name)[detail]))
    groups = [g for g in root.iter(f"{SVG}g") if g.attrib.get("data-part") == part]
    return sum(len(list(g.iter(f"{SVG}circle"))) + len(list(g.iter(f"{SVG}path"))) for g in groups)


@pytest.mark.parametrize(
    ("name", "wanted"),
    [
        ("house", ["platform", "lap", "header", "bridging", "plies-T", "plies-H"]),
        ("corridor", ["platform", "lap", "header", "bridging", "plies-T", "plies-H"]),
        ("townhouse", ["platform", "balloon", "lap", "header", "bridging", "plies-T", "plies-H"]),
        ("butt", ["platform", "butt", "header", "bridging", "plies-T", "plies-H"]),
        ("through", ["platform", "through", "bridging"]),
    ],
)
def test_only_what_occurs_is_drawn(name: str, wanted: list[str]) -> None:
    assert list(details(name)) == wanted


@pytest.mark.parametrize(("name", "screws"), [("house", 4), ("townhouse", 6), ("corridor", 7)])
def test_a_platform_end_shows_the_screws_and_nails_that_are_counted(name: str, screws: int) -> None:
    """R20's n by depth (8 in 4, 12 in 6, 14 in 7) in each leg, R21's two nails, R4's clearance of 3/8 in."""
    words = words_of(name, "platform")
    assert f"{screws} self-drilling screws to the joist" in words
    assert f'{screws} wood screws to the rim board, 1 1/8" thick' in words
    assert 'End clearance 3/8", made up by the clip' in words
    assert "2 bearing nails per ply to the plate" in words
    assert 'Wall 5 1/2" wide' in words
    drawn = [parts(name, "platform", part) for part in ("steel-screw", "wood-screw", "bearing-nail")]
    assert drawn == [screws, screws, 2]
    ends = sum(end.kind is EndKind.PLATFORM for m in floor(name).members for end in (m.low, m.high))
    assert details(name)["platform"].places == f"{ends} member ends"


def test_a_ledger_end_has_no_plate_and_no_nails() -> None:
    words = words_of("townhouse", "balloon")
    assert "Clip angle, one per ply" in words
    assert "6 wood screws to the ledger" in words
    assert "nail" not in words
    assert parts("townhouse", "balloon", "bearing-nail") == 0


def test_a_lap_runs_six_inches_past_the_center_one_flange_aside() -> None:
    words = words_of("townhouse", "lap")
    assert 'Each runs 6" past the center' in words
    assert 'Joist beside it, 1 5/8" to the side' in words
    assert "6 self-drilling screws in each of the two" in words
    assert parts("townhouse", "lap", "steel-screw") == 12
    assert parts("townhouse", "lap", "bearing-nail") == 4
    plates = [thing for thing in floor("townhouse").placed if thing.item is Item.LAP_PLATE]
    assert details("townhouse")["lap"].places == f"{len(plates)} pairs"


def test_a_butt_stops_short_and_a_through_joist_has_no_plate() -> None:
    assert 'Each stops 3/16" short of the center' in words_of("butt", "butt")
    words = words_of("through", "through")
    length = max(member.length_16 for member in floor("through").members)
    assert f"One piece, {format_length(length, 'imperial')} long; no clip, no plate" in words
    assert 'Bearing 3 1/2" wide' in words
    crossings = sum(len(member.crossings) for member in floor("through").members)
    assert details("through")["through"].places == f"{crossings} crossings"


def test_a_header_shows_stand_off_and_clearances() -> None:
    """R7: 1 1/8 in from the opening's edge, 3/8 in at each end of header and tail."""
    words = words_of("house", "header")
    assert 'Opening edge 1 1/8" off trimmer and header, inner rim board between' in words
    assert 'Header of 2 plies ends 3/8" short of the trimmer' in words
    assert 'Tail ends 3/8" short of the header: clip angle, 4 self-drilling screws in each leg' in words
    headers = sum(member.kind is MemberKind.HEADER for member in floor("house").members)
    assert details("house")["header"].places == f"{headers} headers"


@pytest.mark.parametrize("name", ["house", "townhouse"])
@pytest.mark.parametrize("kind", ["T", "H"])
def test_ply_clips_stand_where_they_are_placed(name: str, kind: str) -> None:
    found = Conditions(floor(name), CATALOGUE, Practice())
    root = root_of(detail_svg(details(name)[f"plies-{kind}"]))
    drawn = [
        int(node.attrib["data-clip-16"]) for node in root.iter(f"{SVG}rect") if "data-clip-16" in node.attrib
    ]
    member = max(
        (m for m in floor(name).members if m.kind.value == kind), key=lambda m: (m.plies, m.length_16)
    )
    clips, places = clips_of(found, member)
    assert drawn == places
    assert len(clips) * (member.plies - 1) == sum(
        thing.item is Item.PLY_CLIP and thing.host == member.id for thing in floor(name).placed
    )
    words = words_of(name, f"plies-{kind}")
    assert f"{len(clips)} ply clips per interface" in words
    assert "4 self-drilling screws each" in words
    assert all(format_length(place, "imperial") in words for place in places)


@pytest.mark.parametrize("name", ["house", "corridor", "townhouse"])
def test_bridging_shows_the_block_between_its_joists(name: str) -> None:
    result = floor(name)
    block = next(thing for thing in result.placed if thing.item is Item.SOLID_BLOCK)
    assert block.to is not None
    clear = abs(block.to.x_16 - block.at.x_16) + abs(block.to.y_16 - block.at.y_16)
    words = words_of(name, "bridging")
    assert format_length(clear, "imperial") in words
    assert "2 self-drilling screws at each end" in words
    assert "one per ply crossed, 2 at the block" in words
    line = next(line for line in result.lines if line.id == block.host)
    assert f"clear to the next line or bearing {format_length(line.clear_16, 'imperial')}" in words
    assert parts(name, "bridging", "steel-screw") == 4
    assert parts(name, "bridging", "strap-screw") == 4  # two at the block, one at each joist


def test_numbers_follow_the_practice_set() -> None:
    """Another clearance, overlap and nail count stand on the drawings as they stand in the bill."""
    practice = Practice(end_clearance_16=8, lap_past_centre_16=128, bearing_nails=3)
    result = design_floor(sample("house"), CATALOGUE, practice)
    found = {detail.name: detail for detail in floor_details(result, CATALOGUE, practice)}
    platform = " ".join(text.text for text in texts(detail_svg(found["platform"])))
    lap = " ".join(text.text for text in texts(detail_svg(found["lap"])))
    assert 'End clearance 1/2"' in platform
    assert "3 bearing nails per ply" in platform
    assert 'Each runs 8" past the center' in lap


@pytest.mark.parametrize("name", ["house", "corridor", "townhouse", "butt", "through"])
def test_texts_keep_apart_and_on_the_paper(name: str) -> None:
    sheets = details_svg(floor(name), SHEET, CATALOGUE, Practice())
    assert sum(svg.count("data-detail=") for svg in sheets) == len(details(name))
    for number, svg in enumerate(sheets, SHEET.number):
        written = texts(svg)
        assert f"{number} of 4" in {text.text for text in written}
        for one, other in combinations(written, 2):
            assert not one.box.meets(other.box), (one.text, other.text)
        for text in written:
            assert text.box.left > 0
            assert text.box.right < SHEET.paper.width
            assert 0 < text.box.top < text.box.bottom < SHEET.paper.height


@pytest.mark.parametrize("name", ["townhouse", "butt", "through"])
def test_every_detail_stands_alone_in_black_and_white(name: str) -> None:
    for detail in details(name).values():
        svg = detail_svg(detail)
        assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', svg)) <= {"none", "currentColor"}
        root = root_of(svg)
        width, height = (float(part) for part in root.attrib["viewBox"].split()[2:])
        for node in root.iter(f"{SVG}path"):
            assert all(_inside(stroke.a.x, stroke.a.y, width, height) for stroke in strokes_of(node)), (
                detail.name
            )
        assert _title(root) == detail.title


def _inside(x: float, y: float, width: float, height: float) -> bool:
    return 0 <= x <= width and 0 <= y <= height


def _title(root: ET.Element) -> str:
    return root.findtext(f"{SVG}title") or ""


def test_no_words_stand_on_a_line() -> None:
    """No stroke but a leader's own end comes into a text."""
    for name in ("house", "townhouse", "corridor"):
        for detail in details(name).values():
            svg = detail_svg(detail)
            strokes = [s for node in root_of(svg).iter(f"{SVG}path") for s in strokes_of(node)]
            for text in texts(svg):
                for stroke in strokes:
                    level = stroke.a.y == stroke.b.y or stroke.a.x == stroke.b.x
                    assert not (level and stroke.box.grown(0.01).meets(text.box)), (detail.name, text.text)


def test_a_metric_floor_has_metric_details() -> None:
    result = floor("house")
    metric = replace(result, plan=replace(result.plan, units="metric"))
    found = {detail.name: detail for detail in floor_details(metric, CATALOGUE, Practice())}
    words = " ".join(text.text for text in texts(detail_svg(found["platform"])))
    assert "1 : 10" in words
    assert "End clearance 10 mm" in words
    assert "1 : 15" in " ".join(text.text for text in texts(detail_svg(found["bridging"])))


def test_words_are_wrapped_but_lengths_are_not_parted() -> None:
    assert wrapped("ends 1\u00a03/8 short of it", 9) == ["ends", "1 3/8", "short of", "it"]
