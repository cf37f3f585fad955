"""Which member a point load stands on, and where on it (R10, R15, R19).

The nearest of the members that run past the load takes all of it, at the load's true place along it: 0 off where the
load stands on its width. Beyond an outside bearing a joist counts out to the outline, at a lap to the bearing's centre.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import hypot

from framing.engine.floor import FloorPlan, StandingLoad
from framing.engine.geometry import Frame, Point
from framing.engine.lean import farthest_16
from framing.engine.members import BayLayout, EndKind, Member, MemberEnd
from framing.engine.practice import Practice


@dataclass(frozen=True, slots=True)
class Stood:
    """A point load on its member.

    Attributes:
        index: the load's place in the plan's list.
        place_16: where it stands on the member's axis.
        off_16: from it to the member, 0 where it stands on its width.
    """

    load: StandingLoad
    index: int
    member: Member
    place_16: int
    off_16: float


def stood_on(plan: FloorPlan, layouts: Sequence[BayLayout], practice: Practice) -> tuple[Stood, ...]:
    """Every point load of the plan with the member that takes it, in the plan's order.

    Of members equally near the first bay's comes first, then the one nearer to the start edge.
    """
    if not plan.point_loads:
        return ()
    there = [
        _Under(member, bay, layout.frame, *_reach(plan, layout.frame, member, practice))
        for bay, layout in enumerate(layouts)
        for member in layout.members
    ]
    return tuple(_under(load, index, there) for index, load in enumerate(plan.point_loads))


@dataclass(frozen=True, slots=True)
class _Under:
    """A member with the stretch of its axis on which a load can stand."""

    member: Member
    bay: int
    frame: Frame
    low_16: float
    high_16: float

    def away(self, at: Point) -> tuple[float, float]:
        """How far a place lies beyond the member's ends, and how far from it in all."""
        own, other = _own_other(self.member, self.frame, at)
        beyond = max(self.low_16 - own, own - self.high_16, 0.0)
        aside = max(abs(other - self.member.centre_16) - self.member.width_16 / 2, 0.0)
        return beyond, hypot(beyond, aside)


def _under(load: StandingLoad, index: int, there: Sequence[_Under]) -> Stood:
    ranked = ((*_rank(under, load.at), number) for number, under in enumerate(there))
    _, off, *_, number = min(ranked)
    under = there[number]
    own, _ = _own_other(under.member, under.frame, load.at)
    # where none runs past it, the nearest takes it at its end
    place = min(max(own, round(under.low_16)), round(under.high_16))
    return Stood(load, index, under.member, place, off)


def _rank(under: _Under, at: Point) -> tuple[bool, float, int, int]:
    beyond, off = under.away(at)
    return beyond > 0, off, under.bay, under.member.centre_16


def _own_other(member: Member, frame: Frame, point: Point) -> tuple[int, int]:
    """A place on the member's own axis and on the one across it."""
    along, across = frame.along_16(point), frame.across_16(point)
    return (along, across) if member.runs == "along" else (across, along)


def _reach(plan: FloorPlan, frame: Frame, member: Member, practice: Practice) -> Iterator[float]:
    yield _end_16(plan, frame, member, member.low, practice.lap_past_centre_16, -1)
    yield _end_16(plan, frame, member, member.high, practice.lap_past_centre_16, 1)


def _end_16(plan: FloorPlan, frame: Frame, member: Member, end: MemberEnd, lap_16: int, sign: int) -> float:
    """Where a member's end counts to: the outline, the centre of the bearing that it laps over, else its cut."""
    cut = member.high_16 if sign > 0 else member.low_16
    if end.kind is EndKind.LAP:
        return cut - sign * lap_16
    if not end.host.startswith("edge:"):
        return cut
    index = int(end.host.removeprefix("edge:"))
    corners = plan.outline[index], plan.outline[(index + 1) % len(plan.outline)]
    low, high = sorted(_own_other(member, frame, corner)[::-1] for corner in corners)
    return farthest_16(low, high, member.centre_16, member.width_16 / 2, sign)
