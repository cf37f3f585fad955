"""Warnings that layout finds: unusual, not impossible (R6, R7)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan, Opening
from framing.engine.layout.ground import Ground, survey
from framing.engine.members import BayLayout, EndKind, FramedOpening, Member, MemberKind
from framing.engine.practice import Practice
from framing.engine.units import format_length


def layout_warnings(plan: FloorPlan, layouts: Sequence[BayLayout], practice: Practice) -> tuple[Problem, ...]:
    """Bearings off their neighbour's line, members that overlap or stand in a rim, joists in an opening."""
    found: list[Problem] = []
    members = {member.id: member for layout in layouts for member in layout.members}
    beams = [(support, members[ident]) for layout in layouts for support, ident in layout.beams]
    for layout in layouts:
        ground = survey(plan, layout.bay, practice, beams)
        found += _bearings_off_line(plan, ground)
        found += _overlaps(layout)
        found += _in_rim(ground, layout)
        found += _ends_in_openings(plan, layout)
        found += _beams_in_openings(plan, ground, layout)
        found += layout.left_out
    return tuple(found)


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


def _ends_in_openings(plan: FloorPlan, layout: BayLayout) -> list[Problem]:
    """Joists of the next span that reach over their bearing into an opening whose edge lies on it."""
    found = []
    order = [opening.id for opening in plan.openings]
    for framed in layout.openings:
        index = order.index(framed.opening)
        opening = plan.openings[index]
        reaching = [member for member in layout.members if _reaches_into(member, framed)]
        laps = sum(EndKind.LAP in (member.low.kind, member.high.kind) for member in reaching)
        butts = len(reaching) - laps
        found += [_in_opening(opening, index, words) for words in _joints_in(opening, laps, butts)]
    return found


def _beams_in_openings(plan: FloorPlan, ground: Ground, layout: BayLayout) -> Iterator[Problem]:
    """Flush beams that take more of an opening than the clips' tolerance: its edge lies in the beam's width."""
    order = [opening.id for opening in plan.openings]
    for framed in layout.openings:
        for line in (line for line in (*ground.lines, *ground.bearings) if line.flush):
            low = line.track.along_0_16 - line.width_16 // 2
            inside = min(low + line.width_16, framed.along_high_16) - max(low, framed.along_low_16)
            beside = framed.across_low_16 < line.across_high_16 and line.across_low_16 < framed.across_high_16
            if beside and inside > ground.practice.site_tolerance_16:
                index = order.index(framed.opening)
                opening = plan.openings[index]
                length = format_length(inside, plan.units)
                words = f"Flush beam {line.id} takes {length} of opening {opening.name}; end the opening at its face."
                yield _in_opening(opening, index, words)


def _joints_in(opening: Opening, laps: int, butts: int) -> Iterator[str]:
    if laps:
        joists = "1 joist laps its" if laps == 1 else f"{laps} joists lap their"
        yield f"{joists} bearing into opening {opening.name}; butt the joists there or move the opening."
    if butts:
        joists = "1 joist butts" if butts == 1 else f"{butts} joists butt"
        where = f"{joists} over a bearing within opening {opening.name}"
        yield f"{where}; end the opening short of the bearing's centre or move it."


def _in_opening(opening: Opening, index: int, words: str) -> Problem:
    return Problem(f"openings.{index}", words, opening.rect.low.x_16, opening.rect.low.y_16)


def _reaches_into(member: Member, framed: FramedOpening) -> bool:
    inside = framed.across_low_16 < member.centre_16 < framed.across_high_16
    meets = member.low_16 < framed.along_high_16 and framed.along_low_16 < member.high_16
    return member.runs == "along" and inside and meets


def _at(layout: BayLayout, member: Member, words: str) -> Problem:
    at = layout.frame.point(member.centre_16, member.low_16)
    return Problem("", words, at.x_16, at.y_16)
