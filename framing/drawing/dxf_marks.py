"""Where marks stand on the DXF drawing: beside their member, near its printed end, on nothing else if possible."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Final

from framing.drawing.paper import Box, Ground, Spot, Stroke, box_around, box_at
from framing.drawing.point_loads import load_words
from framing.engine.floor import StandingLoad, Support, SupportKind
from framing.engine.geometry import Frame
from framing.engine.members import BayLayout, Member, MemberKind
from framing.engine.result import FloorResult
from framing.engine.units import inches

MARK: Final = 3.0
"""Height of a mark's capitals in inches: marks stand between joists."""
_ADVANCE: Final = 0.95  # room of a sign, in heights
_AIRS: Final = (1.0, 2.5)  # between a flange and its mark; the second passes an opening's edge
_FIRST: Final = 24.0  # from the printed end to the middle of the mark, short of most bridging lines
_STEP: Final = 12.0
_STEPS: Final = 6
_INSIDE: Final = 2.0  # from a bearing's end to its name, clear of the rim
LOAD: Final = 4.0  # width and height of a point load's triangle
_PLIES_HALF: Final = 3.2  # more than half of a flush beam's plies

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class MarkPlace:
    """The middle of a mark in inches; `turned` reads upwards."""

    at: Place
    turned: bool


def on_plan(frame: Frame, member: Member, own_16: float, other_16: float) -> Place:
    """A place by the member's own axis and the other one, in inches; plies may stand between sixteenths."""
    across_16, along_16 = (other_16, own_16) if member.runs == "along" else (own_16, other_16)
    other = frame.start_16 - across_16 if frame.reverse else frame.start_16 + across_16
    return (inches(other), inches(along_16)) if frame.axis == "y" else (inches(along_16), inches(other))


def member_box(frame: Frame, member: Member) -> Box:
    """The member with all its plies, in inches."""
    half = member.width_16 / 2
    low = on_plan(frame, member, member.low_16, member.centre_16 - half)
    high = on_plan(frame, member, member.high_16, member.centre_16 + half)
    return box_around((Spot(*low), Spot(*high)))


def support_name(support: Support) -> MarkPlace:
    """At a bearing's far end, beside it and inside the outline; clear of three plies of a flush beam."""
    a, b = (Spot(inches(p.x_16), inches(p.y_16)) for p in sorted((support.start, support.end)))
    line, half = Stroke(a, b), inches(support.width_16 / 2)
    turned = abs(line.direction.y) > abs(line.direction.x)
    half = max(half, _PLIES_HALF) if support.kind is SupportKind.FLUSH_BEAM else half
    middle = line.beside(half + MARK).at(line.length - _INSIDE - _name_long(support.id) / 2)
    return MarkPlace((middle.x, middle.y), turned)


def _name_long(text: str) -> float:
    return len(text) * MARK * _ADVANCE


def _name_box(support: Support) -> Box:
    place, long = support_name(support), _name_long(support.id)
    size = (MARK, long) if place.turned else (long, MARK)
    return box_at(Spot(*place.at), *size)


def load_words_at(load: StandingLoad) -> Place:
    """Where a point load's words stand, over its triangle."""
    return inches(load.at.x_16), inches(load.at.y_16) + LOAD + MARK


def load_box(load: StandingLoad) -> Box:
    """A point load's triangle with its words."""
    x, y = load_words_at(load)
    words = box_at(Spot(x, y), _name_long(load_words(load)), MARK)
    return box_around(
        (Spot(x, y - LOAD - MARK), Spot(words.left, words.top), Spot(words.right, words.bottom))
    )


def _ground(result: FloorResult) -> Ground:
    """Members, bridging and the edges of openings, in inches."""
    ground = Ground()
    frames = {layout.bay.id: layout.frame for layout in result.bays}
    for layout in result.bays:
        for member in layout.members:
            ground.add(member_box(layout.frame, member), 1.0)
    for line in result.lines:
        for run in line.runs:
            ends = (run.across_low_16, run.across_high_16)
            points = [frames[line.bay].point(across_16, line.along_16) for across_16 in ends]
            ground.add(box_around(Spot(inches(p.x_16), inches(p.y_16)) for p in points).grown(0.5), 1.0)
    for support in result.plan.supports:
        ground.add(_name_box(support), 2.0)
    for load in result.plan.point_loads:
        ground.add(load_box(load), 2.0)
    for opening in result.plan.openings:
        low, high = opening.rect.low, opening.rect.high
        left, right, bottom, top = (inches(s) for s in (low.x_16, high.x_16, low.y_16, high.y_16))
        for side in (
            Box(left, bottom, right, bottom),
            Box(left, top, right, top),
            Box(left, bottom, left, top),
            Box(right, bottom, right, top),
        ):
            ground.add(side.grown(0.1), 1.0)
    return ground


def mark_places(result: FloorResult) -> dict[str, MarkPlace]:
    """By member id; what is drawn and marks placed before are kept free where there is room at all."""
    ground = _ground(result)
    found: dict[str, MarkPlace] = {}
    for layout in result.bays:
        for member in layout.members:
            place, box = min(_candidates(member, layout), key=lambda pair: ground.weight_under(pair[1], 9.0))
            ground.add(box, 2.0)
            found[member.id] = place
    return found


def _candidates(member: Member, layout: BayLayout) -> Iterator[tuple[MarkPlace, Box]]:
    """From the printed end on, first away from the start edge, headers first into their opening."""
    turned = (layout.frame.axis == "y") == (member.runs == "along")
    long = _name_long(member.mark or member.id)
    into_low = member.kind is MemberKind.HEADER and member.id in {o.header_high for o in layout.openings}
    middle = inches(member.length_16) / 2
    fine = member.kind is MemberKind.BEAM  # between the joists that end on it
    for step in range(_STEPS * 6 if fine else _STEPS):
        own = min(
            _FIRST + step * (_STEP / 6 if fine else _STEP), max(middle, inches(member.length_16) - _FIRST)
        )
        along_16 = member.low_16 + (min(own, middle) if member.runs == "across" else own) * 16
        for air, sign in product(_AIRS, (-1, 1) if into_low else (1, -1)):
            off_16 = member.width_16 / 2 + (air + MARK / 2) * 16
            at = on_plan(layout.frame, member, along_16, member.centre_16 + sign * off_16)
            size = (MARK, long) if turned else (long, MARK)
            yield MarkPlace(at, turned), box_at(Spot(*at), *size)
