"""What holds on any real floor: ends bear on what they name, nothing leaves the floor, nothing stands in another."""

from __future__ import annotations

from itertools import combinations
from math import hypot

import shapely
from hypothesis import given

from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import join_openings
from framing.engine.geometry import Point
from framing.engine.layout import layout_warnings
from framing.engine.members import EndKind, Member, MemberEnd, MemberKind
from framing.engine.regions import regions_of
from tests.engine.properties.floor_moves import Move, moves
from tests.engine.properties.laying import PRACTICE, Stood, laid, members, times
from tests.engine.properties.sketches import real_floors

REACHED = (EndKind.PLATFORM, EndKind.LAP, EndKind.BUTT)
"""Bearings with a plate under the member; at a ledger a clip carries it (R2)."""
BEARS = (*REACHED, EndKind.BALLOON)
STEEL = (EndKind.HEADER, EndKind.TRIMMER, EndKind.FLUSH)
IN_WAY = "stand in each other's way"


@times(1000)
@given(drawn=real_floors(), move=moves())
def test_every_end_lies_on_what_it_names(drawn: FloorPlan, move: Move) -> None:
    plan = move.floor(drawn)
    layouts = laid(plan)
    known = {stood.member.id: stood for stood in members(layouts)}
    for stood in known.values():
        for end, at_low in ((stood.member.low, True), (stood.member.high, False)):
            _rests(plan, known, stood, end, at_low)


def _rests(plan: FloorPlan, known: dict[str, Stood], stood: Stood, end: MemberEnd, at_low: bool) -> None:
    place = stood.member.plan_ends(stood.frame)[0 if at_low else 1]
    what, _, name = end.host.partition(":")
    if end.kind in STEEL:
        host = known[end.host]
        assert host.member.kind == {"header": "H", "trimmer": "T", "flush": "B"}[end.kind.value]
        flange = shapely.box(*stood.box)
        away = shapely.distance(flange, shapely.box(*host.box))
        assert abs(away - PRACTICE.end_clearance_16) < 1e-9, (stood.member, host.member)
    elif what == "support":
        support = next(s for s in plan.supports if s.id == name)
        assert end.kind in (EndKind.LAP, EndKind.BUTT)
        # A wall drawn to a wall's inside carries on over that wall; a member is as wide as it is.
        most = plan.edges[0].width_16 + stood.member.width_16
        most += PRACTICE.lap_past_centre_16 if end.kind is EndKind.LAP else 0
        line = shapely.LineString([(p.x_16, p.y_16) for p in (support.start, support.end)])
        assert shapely.distance(shapely.Point(place.x_16, place.y_16), line) <= most
    else:
        _meets_outline(plan, int(name), stood.member, end, place)


def _meets_outline(plan: FloorPlan, index: int, member: Member, end: MemberEnd, place: Point) -> None:
    """Out of the rim, and not farther inside it than clearance and the flange's corner ask for."""
    edge = plan.edges[index]
    # Headers and flush beams end at outside walls that joists run beside.
    beside = member.runs == "across" and end.kind is EndKind.PLATFORM
    assert edge.kind.value == end.kind.value or beside
    a, b = plan.outline[index], plan.outline[(index + 1) % len(plan.outline)]
    dx, dy = b.x_16 - a.x_16, b.y_16 - a.y_16
    away = abs((place.x_16 - a.x_16) * dy - (place.y_16 - a.y_16) * dx) / hypot(dx, dy)
    assert away >= PRACTICE.rim_thickness_16, member
    assert away <= PRACTICE.rim_thickness_16 + PRACTICE.end_clearance_16 + member.width_16, member


@times(1000)
@given(drawn=real_floors(), move=moves())
def test_a_free_end_has_two_bearings_behind_it(drawn: FloorPlan, move: Move) -> None:
    for stood in members(laid(move.floor(drawn))):
        member = stood.member
        free = [end for end in (member.low, member.high) if end.kind is EndKind.FREE]
        if member.kind is MemberKind.JOIST and free:
            held = [end for end in (member.low, member.high) if end.kind in (*BEARS, *STEEL)]
            assert member.crossings, member
            assert len(member.crossings) + len(held) >= 2, member


@times(1000)
@given(drawn=real_floors(), move=moves())
def test_no_member_leaves_the_floor_or_stands_in_its_rim(drawn: FloorPlan, move: Move) -> None:
    plan = move.floor(drawn)
    layouts = laid(plan)
    warned = " ".join(w.message for w in layout_warnings(join_openings(plan), layouts, PRACTICE))
    floor = shapely.Polygon([(p.x_16, p.y_16) for p in plan.outline])
    inside = floor.buffer(-PRACTICE.rim_thickness_16, join_style="mitre").buffer(1.01)
    for stood in members(layouts):
        box = shapely.box(*stood.box)
        said = f"{stood.member.id} stands in the rim board" in warned
        assert floor.covers(shapely.LineString(_ends(stood))) or said, stood.member
        assert inside.covers(box) or said or _at_corner(plan, stood), stood.member


def _ends(stood: Stood) -> list[tuple[int, int]]:
    return [(p.x_16, p.y_16) for p in stood.member.plan_ends(stood.frame)]


def _at_corner(plan: FloorPlan, stood: Stood) -> bool:
    """Whether a corner of outline or bay lies within the member's width and a rim: boards there are fitted on site."""
    rings = [plan.outline, *(region.ring for region in regions_of(plan))]
    corners = shapely.MultiPoint([(p.x_16, p.y_16) for ring in rings for p in ring])
    along_x = _ends(stood)[0][1] == _ends(stood)[1][1]
    across = 1 if along_x else 0
    return any(
        abs((p.x, p.y)[across] - _ends(stood)[0][across]) < stood.width_16 // 2 + PRACTICE.rim_thickness_16
        for p in shapely.get_parts(corners)
    )


@times(1000)
@given(drawn=real_floors(), move=moves())
def test_no_two_members_stand_in_each_other_unsaid(drawn: FloorPlan, move: Move) -> None:
    plan = join_openings(move.floor(drawn))
    layouts = laid(plan)
    said = [w.message for w in layout_warnings(plan, layouts, PRACTICE)]
    words = [message for message in said if IN_WAY in message]
    stood = list(members(layouts))
    for one, other in combinations(stood, 2):
        if _overlap(one.box, other.box):
            ids = {one.member.id, other.member.id}
            named = any(all(ident in message for ident in ids) for message in words)
            assert named or _lap_in_header(one.member, other.member, said), ids


def _lap_in_header(one: Member, other: Member, said: list[str]) -> bool:
    """Whether a joist of the next span stands in a header, and its opening's warning says so."""
    header, joist = (one, other) if one.kind is MemberKind.HEADER else (other, one)
    opening = header.why.rpartition("opening ")[2]
    laps = {joist.low.kind, joist.high.kind} & {EndKind.LAP, EndKind.BUTT}
    told = any(f"opening {opening};" in message and "bearing into" in message for message in said)
    told = told or any(f"within opening {opening};" in message for message in said)
    return header.kind is MemberKind.HEADER and bool(laps) and told


def _overlap(one: tuple[int, int, int, int], other: tuple[int, int, int, int]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@times(1000)
@given(drawn=real_floors(), move=moves())
def test_openings_stay_open_or_it_is_said(drawn: FloorPlan, move: Move) -> None:
    """An opening whose edge lies on a bearing may meet the next span's joists there, or the flush beam itself."""
    plan = join_openings(move.floor(drawn))
    layouts = laid(plan)
    warned = [w.message for w in layout_warnings(plan, layouts, PRACTICE) if "opening" in w.message]
    for opening in plan.openings:
        rect = opening.rect
        hole = rect.low.x_16, rect.low.y_16, rect.high.x_16, rect.high.y_16
        for stood in (s for s in members(layouts) if _overlap(s.box, hole)):
            ends = {stood.member.low.kind, stood.member.high.kind}
            beam = stood.member.kind is MemberKind.BEAM
            assert beam or ends & {EndKind.LAP, EndKind.BUTT}, stood.member
            said = any(f"opening {opening.name}" in message for message in warned)
            assert said or (beam and _depth(stood.box, hole) <= PRACTICE.site_tolerance_16), stood.member


def _depth(one: tuple[int, int, int, int], other: tuple[int, int, int, int]) -> int:
    """How far two boxes reach into each other, the shorter way."""
    return min(min(one[2], other[2]) - max(one[0], other[0]), min(one[3], other[3]) - max(one[1], other[1]))


@times(500)
@given(drawn=real_floors(), move=moves())
def test_clear_spans_are_over_zero_and_ends_reach_their_bearing(drawn: FloorPlan, move: Move) -> None:
    for stood in members(laid(move.floor(drawn))):
        member = stood.member
        places = [member.low.face_16]
        places += [face for c in member.crossings for face in (c.low_face_16, c.high_face_16)]
        places.append(member.high.face_16)
        assert all(low < high for low, high in zip(places[::2], places[1::2], strict=True))
        if member.low.kind in REACHED:
            assert member.low_16 < member.low.face_16
        if member.high.kind in REACHED:
            assert member.high_16 > member.high.face_16
