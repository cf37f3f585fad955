"""Warnings that layout finds: unusual, not impossible (R6, R7)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, pairwise
from math import ceil

from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan
from framing.engine.geometry import Axis, Point
from framing.engine.layout.ground import Ground, survey
from framing.engine.layout.opening_notes import opening_notes
from framing.engine.members import BayLayout, EndKind, Member, MemberKind
from framing.engine.practice import Practice
from framing.engine.standing import stood_on
from framing.engine.units import format_length


def layout_warnings(plan: FloorPlan, layouts: Sequence[BayLayout], practice: Practice) -> tuple[Problem, ...]:
    """Bearings off their neighbour's line, members that overlap or stand in a rim, joists in an opening."""
    found: list[Problem] = []
    grounds: list[Ground] = []
    members = {member.id: member for layout in layouts for member in layout.members}
    beams = [(support, members[ident]) for layout in layouts for support, ident in layout.beams]
    for layout in layouts:
        ground = survey(plan, layout.bay, practice, beams)
        found += _bearings_off_line(plan, ground)
        found += _overlaps(layout)
        found += _in_rim(ground, layout)
        found += _laps_out(ground, layout)
        found += opening_notes(plan, ground, layout)
        found += layout.left_out
        grounds.append(ground)
    found += _bare_borders(grounds, layouts)
    found += _overlaps_of_bays(layouts)
    found += _beside_beams(layouts, members)
    found += _bare_loads(plan, layouts, practice)
    return tuple(found)


def _bare_loads(plan: FloorPlan, layouts: Sequence[BayLayout], practice: Practice) -> Iterator[Problem]:
    """Point loads that stand beside the member that is taken to carry them (R10, R19)."""
    for stood in stood_on(plan, layouts, practice):
        if stood.off_16 > practice.site_tolerance_16:
            load, off = stood.load, format_length(ceil(stood.off_16), plan.units)
            words = (
                f"Point load {load.label} has no member under it: the nearest, {stood.member.id}, is {off} off and "
                "counts as carrying all of it. Put blocking or a squash block to the joists beside it, or move it."
            )
            yield Problem(f"point_loads.{stood.index}", words, load.at.x_16, load.at.y_16)


def _bearings_off_line(plan: FloorPlan, ground: Ground) -> list[Problem]:
    order = [support.id for support in plan.supports]
    found = []
    for row in ground.rows:
        for one, other in pairwise(sorted(row, key=lambda line: line.across_low_16)):
            off = abs(one.track.along_1_16 - other.track.along_0_16)
            if off > ground.practice.site_tolerance_16:
                length, limit = (
                    format_length(v, plan.units) for v in (off, ground.practice.site_tolerance_16)
                )
                words = (
                    f"Bearing {other.id} stands {length} off the line of {one.id}; clips take up {limit}. "
                    "Draw them in line if they are meant so."
                )
                at = ground.frame.point(other.across_low_16, other.track.along_0_16)
                found.append(Problem(f"supports.{order.index(other.id)}", words, at.x_16, at.y_16))
    return found


def _overlaps(layout: BayLayout) -> list[Problem]:
    """Members along the joists that would stand in each other; neighbours across are enough to look at."""
    runners = sorted((m for m in layout.members if m.runs == "along"), key=lambda m: (m.centre_16, m.low_16))
    found = []
    for index, one in enumerate(runners):
        for other in runners[index + 1 :]:
            reach = (one.width_16 + other.width_16) // 2
            if other.centre_16 - one.centre_16 >= 2 * reach:
                break
            apart = other.centre_16 - one.centre_16 >= reach
            if not apart and one.low_16 < other.high_16 and other.low_16 < one.high_16:
                words = (
                    f"{one.id} and {other.id} stand in each other's way; move the opening or the partition."
                )
                found.append(_at(layout, other, words))
    return found


def _overlaps_of_bays(layouts: Sequence[BayLayout]) -> Iterator[Problem]:
    """Joists of two bays, or a joist and a flush beam beside it, that would stand in each other.

    As where a lap shifts one, one reaches over a border, or stands on one with a beam.
    """
    for one, two in combinations(layouts, 2):
        square = one.frame.axis != two.frame.axis  # else joists end on the beam: see `_beside_beams`
        theirs = [(_box(two, member), member) for member in _runners(two, beams=square)]
        for mine in _runners(one, beams=square):
            low, high = _box(one, mine)
            for (their_low, their_high), other in theirs:
                if (
                    their_low.x_16 < high.x_16
                    and low.x_16 < their_high.x_16
                    and their_low.y_16 < high.y_16
                    and low.y_16 < their_high.y_16
                ):
                    words = f"{mine.id} and {other.id} stand in each other's way; change the offset of a bay."
                    yield _at(one, mine, words)


def _box(layout: BayLayout, member: Member) -> tuple[Point, Point]:
    """The ground that a member takes, low and high corner on the plan."""
    low, high = member.centre_16 - member.width_16 // 2, member.centre_16 + (member.width_16 + 1) // 2
    if member.runs == "along":
        one, two = layout.frame.point(low, member.low_16), layout.frame.point(high, member.high_16)
    else:
        one, two = layout.frame.point(member.low_16, low), layout.frame.point(member.high_16, high)
    corner = Point(min(one.x_16, two.x_16), min(one.y_16, two.y_16))
    return corner, Point(max(one.x_16, two.x_16), max(one.y_16, two.y_16))


def _beside_beams(layouts: Sequence[BayLayout], members: Mapping[str, Member]) -> Iterator[Problem]:
    """Joists at the very end of a flush beam: half on it, or in its way."""
    beams = [(layout, members[ident]) for layout in layouts for _, ident in layout.beams]
    for home, beam in beams:
        half = beam.width_16 // 2
        for layout in (one for one in layouts if one.frame.axis == home.frame.axis):
            for joist in _runners(layout):
                place = home.frame.across_16(layout.frame.point(joist.centre_16, 0))
                low, high = place - joist.width_16 // 2, place + joist.width_16 // 2
                hung = beam.id in (joist.low.host, joist.high.host)
                off = hung and (low < beam.low_16 or beam.high_16 < high)
                crosses = joist.low_16 < beam.centre_16 + half and beam.centre_16 - half < joist.high_16
                if off or (not hung and crosses and low < beam.high_16 and beam.low_16 < high):
                    words = f"{joist.id} and the end of {beam.id} stand in each other's way; end the beam elsewhere."
                    yield _at(layout, joist, words)


def _runners(layout: BayLayout, *, beams: bool = False) -> list[Member]:
    """Members along the joists; with `beams` also its flush beams."""
    return [m for m in layout.members if m.runs == "along" or (beams and m.kind is MemberKind.BEAM)]


def _in_rim(ground: Ground, layout: BayLayout) -> list[Problem]:
    thick = ground.practice.rim_thickness_16
    found = []
    for member in layout.members:
        half = member.width_16 // 2
        for wall in ground.rims if member.runs == "along" else ():
            low, high = wall.across_low_16 - thick, wall.across_low_16 + thick
            stands_in = member.centre_16 - half < high and low < member.centre_16 + half
            if wall.overlaps(member.low_16, member.high_16) and stands_in:
                trimmer = member.kind is MemberKind.TRIMMER
                what = "move the opening away from that edge" if trimmer else "change the offset"
                found.append(_at(layout, member, f"{member.id} stands in the rim board; {what}."))
    return found


def _laps_out(ground: Ground, layout: BayLayout) -> list[Problem]:
    """Laps (R5) that run past their bearing into the rim of an outside wall close behind it."""
    thick = ground.practice.rim_thickness_16
    found = []
    for member in (one for one in layout.members if EndKind.LAP in (one.low.kind, one.high.kind)):
        for reach in ground.reaches(member.centre_16):
            low = member.low.kind is EndKind.LAP and reach.low_wall.edge is not None
            high = member.high.kind is EndKind.LAP and reach.high_wall.edge is not None
            over = (low and member.low_16 < reach.low_16 + thick < member.high_16) or (
                high and member.low_16 < reach.high_16 - thick < member.high_16
            )
            if over:
                words = f"{member.id} stands in the rim board; butt the joists over that bearing, or move it."
                found.append(_at(layout, member, words))
    return found


def _bare_borders(grounds: Sequence[Ground], layouts: Sequence[BayLayout]) -> Iterator[Problem]:
    """Borders that joists run beside and none stands under: panels end there (R30)."""
    flanges = [
        (layout.frame.point(member.centre_16, 0), layout.frame.axis, member.width_16)
        for layout in layouts
        for member in layout.members
        if member.runs == "along"
    ]
    said: set[tuple[Point, Point]] = set()
    for ground in grounds:
        for wall in (wall for wall in ground.walls if wall.beside and wall.edge is None):
            ends = [
                ground.frame.point(wall.across_low_16, y) for y in (wall.along_low_16, wall.along_high_16)
            ]
            key = min(ends), max(ends)
            under = any(
                axis == ground.frame.axis and 2 * abs(_off(point, axis) - _off(ends[0], axis)) <= width
                for point, axis, width in flanges
            )
            if not under and key not in said:
                said.add(key)
                words = (
                    f"Panels end on the border of bay {ground.bay.id} with no joist under them: set blocking there, or "
                    "choose the offset so that a joist stands on it."
                )
                yield Problem(f"bays.{ground.number}", words, key[0].x_16, key[0].y_16)


def _off(point: Point, axis: Axis) -> int:
    return point.x_16 if axis == "y" else point.y_16


def _at(layout: BayLayout, member: Member, words: str) -> Problem:
    at = layout.frame.point(member.centre_16, member.low_16)
    return Problem("", words, at.x_16, at.y_16)
