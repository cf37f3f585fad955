"""Warnings about openings: joints and beams that stand in them (R7)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan, Opening
from framing.engine.layout.ground import Ground
from framing.engine.members import BayLayout, EndKind, FramedOpening, Member
from framing.engine.units import format_length


def opening_notes(plan: FloorPlan, ground: Ground, layout: BayLayout) -> Iterator[Problem]:
    """What stands in the bay's openings or their headers and should not."""
    yield from _ends_in_openings(plan, layout)
    yield from _beams_in_openings(plan, ground, layout)


def _ends_in_openings(plan: FloorPlan, layout: BayLayout) -> list[Problem]:
    """Joists of the next span that reach over their bearing into an opening on it, or into its header."""
    found = []
    order = [opening.id for opening in plan.openings]
    for framed in layout.openings:
        index = order.index(framed.opening)
        opening = plan.openings[index]
        headers = [m for m in layout.members if m.id in (framed.header_low, framed.header_high)]
        reaching = [m for m in layout.members if _reaches_into(m, framed) or _hits(m, headers)]
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


def _hits(member: Member, headers: Sequence[Member]) -> bool:
    """Whether a joist would stand in a header."""
    low = member.centre_16 - member.width_16 // 2
    return member.runs == "along" and any(
        low < header.high_16
        and header.low_16 < low + member.width_16
        and member.low_16 < header.centre_16 - header.width_16 // 2 + header.width_16
        and header.centre_16 - header.width_16 // 2 < member.high_16
        for header in headers
    )
