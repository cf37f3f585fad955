"""What must hold of fit-out on any real floor: skewed walls, bays, flush beams, overhangs, stairs beside walls.

Each property looks at the plan in another way than fit-out does: floating point polygons, ends counted one by one.
"""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from math import hypot

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import Polygon, box
from shapely.geometry import LineString

from framing.engine.catalogue import load_catalogue
from framing.engine.fitout import fit_out, lone_end_warnings
from framing.engine.floor import FloorPlan, OpeningKind
from framing.engine.floor_checks import join_openings
from framing.engine.geometry import Point
from framing.engine.layout import list_pieces
from framing.engine.members import BayLayout, EndKind, Member
from framing.engine.placement import BridgingLine, Item, Placed
from framing.engine.takeoff import bill_of_materials
from tests.engine.properties.floor_moves import Move
from tests.engine.properties.laying import PRACTICE, laid, times
from tests.engine.properties.sketches import real_floors

CATALOGUE = load_catalogue()
STEEL_ENDS = (EndKind.HEADER, EndKind.TRIMMER, EndKind.FLUSH)


def _fitted(
    floor: FloorPlan,
) -> tuple[FloorPlan, tuple[BayLayout, ...], tuple[Placed, ...], tuple[BridgingLine, ...]]:
    layouts = laid(floor)
    plan = join_openings(floor)
    return plan, layouts, *fit_out(plan, layouts, CATALOGUE, PRACTICE)


def _ends(layouts: tuple[BayLayout, ...]) -> Counter[EndKind]:
    """Plies by what their ends meet."""
    found = Counter[EndKind]()
    for member in (m for layout in layouts for m in layout.members):
        found[member.low.kind] += member.plies
        found[member.high.kind] += member.plies
    return found


@times(300)
@given(real_floors())
def test_the_bill_adds_up_what_was_placed_once(floor: FloorPlan) -> None:
    plan, layouts, placed, _ = _fitted(floor)
    by_id = {thing.id: thing for thing in placed}
    assert len(by_id) == len(placed)
    total = Counter[str]()
    for thing in placed:
        assert thing.quantity > 0
        total[f"{thing.item}:{thing.size}" if thing.size else str(thing.item)] += thing.quantity
    profiles = {m.profile for layout in layouts for m in layout.members}
    for line in bill_of_materials(layouts, list_pieces(plan, layouts), placed, CATALOGUE, PRACTICE):
        if line.code in profiles:
            continue
        code = "adhesive_bead" if line.code == "adhesive_tube" else line.code
        assert line.exact == total.pop(code)
        assert line.exact == sum(by_id[p].quantity for term in line.terms for p in term.places)
    assert {code.split(":")[0] for code in total} <= {"rim_board", "web_backing", "sheathing_cell"}


@times(300)
@given(real_floors())
def test_clips_and_nails_follow_the_ends_of_members(floor: FloorPlan) -> None:
    _, layouts, placed, _ = _fitted(floor)
    ends = _ends(layouts)
    count = Counter[Item]()
    for thing in (t for t in placed if t.rule == "R20"):
        count[thing.item] += thing.quantity
    angles = sum(ends[kind] for kind in (EndKind.BALLOON, EndKind.FREE, *STEEL_ENDS))
    assert count[Item.BEARING_CLIP] == ends[EndKind.PLATFORM]
    assert count[Item.CLIP_ANGLE] == angles
    in_wood = ends[EndKind.PLATFORM] + ends[EndKind.BALLOON] + ends[EndKind.FREE]
    in_steel = ends[EndKind.PLATFORM] + angles + sum(ends[kind] for kind in STEEL_ENDS)
    assert (count[Item.WOOD_SCREW], count[Item.STEEL_SCREW]) == (5 * in_wood, 5 * in_steel)
    plates = ends[EndKind.PLATFORM] + ends[EndKind.LAP] + ends[EndKind.BUTT]
    plates += sum(m.plies * len(m.crossings) for layout in layouts for m in layout.members)
    assert sum(t.quantity for t in placed if t.rule == "R21") == 2 * plates


@times(300)
@given(real_floors())
def test_every_joist_over_an_inner_bearing_has_one_partner_or_is_told(floor: FloorPlan) -> None:
    _, layouts, placed, _ = _fitted(floor)
    over = Counter[tuple[str, str]]()
    for member in (m for layout in layouts for m in layout.members if m.runs == "along"):
        for end in (member.low, member.high):
            if end.kind in (EndKind.LAP, EndKind.BUTT):
                over[member.id, end.host] += 1
    paired = Counter(
        (member, plate.host)
        for plate in placed
        if plate.item is Item.LAP_PLATE
        for member in plate.id.split(":")[1:]
    )
    assert set(paired.values()) <= {1}
    alone = {
        (member, f"support:{warning.place.removeprefix('supports.')}")
        for warning in lone_end_warnings(layouts, placed)
        for member in warning.message.split(" end")[0].split(" and ")
    }
    assert set(over) == set(paired) | alone
    assert not set(paired) & alone


@times(200)
@given(real_floors())
def test_no_ply_clip_within_three_inches_of_who_is_carried(floor: FloorPlan) -> None:
    _, layouts, placed, _ = _fitted(floor)
    members: dict[str, tuple[Member, BayLayout]] = {
        m.id: (m, layout) for layout in layouts for m in layout.members
    }
    carried: dict[str, list[LineString]] = {}
    for member, layout in members.values():
        line = LineString([(p.x_16, p.y_16) for p in member.plan_ends(layout.frame)])
        for host in {member.low.host, member.high.host} & set(members):
            carried.setdefault(host, []).append(line)
    for clip in (t for t in placed if t.item is Item.PLY_CLIP):
        host, layout = members[clip.host]
        a, b = host.plan_ends(layout.frame)
        own = (lambda p: p.x_16) if a.y_16 == b.y_16 else (lambda p: p.y_16)
        places = sorted(_own(line, along_x=a.y_16 == b.y_16) for line in carried.get(clip.host, []))
        near = [place for place in places if abs(own(clip.at) - place) < 48 - 1]
        # Where neither side of a carried member is free a clip stays on the nearer one.
        crowded = any(y - x < 96 + 2 for x, y in pairwise(places) if x != y)
        assert not near or crowded


def _own(line: LineString, *, along_x: bool) -> float:
    x, y = line.coords[0]
    return float(x if along_x else y)


@times(200)
@given(real_floors())
def test_runs_end_at_rims_borders_and_trimmers(floor: FloorPlan) -> None:
    plan, layouts, _, lines = _fitted(floor)
    frames = {layout.bay.id: layout.frame for layout in layouts}
    ground = Polygon([(p.x_16, p.y_16) for p in plan.outline])
    corners = (*plan.outline[1:], plan.outline[0])
    for line in lines:
        for run in line.runs:
            assert run.across_low_16 < run.across_high_16
            frame = frames[line.bay]
            ends = [
                (frame.point(at, line.along_16), stop)
                for at, stop in ((run.across_low_16, run.low_stop), (run.across_high_16, run.high_stop))
            ]
            assert ground.buffer(2).contains(LineString([(p.x_16, p.y_16) for p, _ in ends]))
            for point, stop in ends:
                if stop.startswith("edge:"):
                    index = int(stop.split(":")[1])
                    assert _off(point, plan.outline[index], corners[index]) == pytest.approx(18, abs=0.75)


def _off(point: Point, a: Point, b: Point) -> float:
    """Distance of a point from a line."""
    dx, dy = b.x_16 - a.x_16, b.y_16 - a.y_16
    return abs((point.x_16 - a.x_16) * dy - (point.y_16 - a.y_16) * dx) / hypot(dx, dy)


@times(200)
@given(real_floors())
def test_every_part_of_the_floor_is_sheathed_and_panels_cover_it(floor: FloorPlan) -> None:
    plan, _, placed, _ = _fitted(floor)
    ground = Polygon([(p.x_16, p.y_16) for p in plan.outline])
    for opening in plan.openings:
        rect = opening.rect
        ground -= box(rect.low.x_16, rect.low.y_16, rect.high.x_16, rect.high.y_16)
    area = ground.area
    panels = 0
    for thing in placed:
        if thing.item is Item.SHEATHING_CELL and thing.to is not None:
            x, y = sorted((thing.at.x_16, thing.to.x_16)), sorted((thing.at.y_16, thing.to.y_16))
            ground -= box(x[0], y[0], x[1], y[1])
        panels += thing.item is Item.SHEATHING_PANEL
    # Panel ends are drawn to the sixteenth: slits of that width may be left over.
    assert ground.buffer(-1.5).is_empty
    assert panels * 768 * 1536 >= area - 1


@times(200)
@given(real_floors())
def test_each_edge_has_one_board_as_long_as_it_is_and_sticks_hold_them_all(floor: FloorPlan) -> None:
    plan, _, placed, _ = _fitted(floor)
    boards, lengths = Counter[str](), dict[str, int]()
    for thing in placed:
        if thing.item is Item.RIM_BOARD:
            boards[thing.host] += thing.quantity
            lengths[thing.id] = thing.quantity
    corners = (*plan.outline[1:], plan.outline[0])
    for index, (a, b) in enumerate(zip(plan.outline, corners, strict=True)):
        length = hypot(b.x_16 - a.x_16, b.y_16 - a.y_16)
        assert max(0, length - 36) <= boards[f"edge:{index}"] <= length + 37
    for stick in (t for t in placed if t.item is Item.RIM_STICK):
        inside = stick.host.split(",")
        assert sum(lengths.pop(piece) for piece in inside) <= int(stick.size) * 192
    assert not lengths
    stairs = {f"opening:{o.id}" for o in plan.openings if o.kind is OpeningKind.STAIR}
    assert {host for host in boards if host.startswith("opening")} == stairs


def _bill(floor: FloorPlan) -> dict[str, int]:
    plan, layouts, placed, _ = _fitted(floor)
    lines = bill_of_materials(layouts, list_pieces(plan, layouts), placed, CATALOGUE, PRACTICE)
    return {line.code: line.exact for line in lines}


@times(150)
@given(real_floors(), st.integers(-9000, 9000), st.integers(-9000, 9000))
def test_a_floor_turned_over_its_diagonal_has_the_same_bill(floor: FloorPlan, x: int, y: int) -> None:
    assert _bill(Move(swap=True, by=Point(x, y)).floor(floor)) == _bill(floor)


@times(150)
@given(real_floors())
def test_a_floor_mirrored_across_its_joists_has_the_same_bill(floor: FloorPlan) -> None:
    # Of bays along x and y one would be mirrored along its joists: printed ends and rows begin at the other end then.
    axes = {bay.axis for bay in floor.bays}
    assume(len(axes) == 1)
    move = Move(flip_x=True) if axes == {"y"} else Move(flip_y=True)
    assert _bill(move.floor(floor)) == _bill(floor)
