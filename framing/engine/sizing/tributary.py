"""What each member of a floor carries (R8, R13, R19): floor, partitions, point loads, and members framed into it.

A member carries the floor half-way to its neighbor or to the outline on each side, at least half a spacing
(so that joists on the grid are one case), and all of it up to an opening's edge. A header carries the strip
from its far face to the opening's edge, partitions that stand on that strip, and the reactions of its tails; a
trimmer those of its headers, a flush beam those of the joists of all bays that end on it, each at its place; the
floor of a flush beam's own width is not among them. A point load stands on one member, at its place along it.
Stringers of a stair that hang on a header are not among the loads.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan
from framing.engine.loads import LineLoad, PointLoad
from framing.engine.members import BayLayout, EndKind, Member, MemberKind
from framing.engine.practice import Practice
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import Demand, analyse
from framing.engine.sizing.ground import Ground
from framing.engine.sizing.seats import Seats, seats_of, standing_loads
from framing.engine.sizing.strip_parts import Share
from framing.engine.sizing.walls import Walls
from framing.engine.standing import Stood, stood_on
from framing.engine.units import inches

_HUNG = (EndKind.HEADER, EndKind.TRIMMER, EndKind.FLUSH)


@dataclass(frozen=True, slots=True)
class Carried:
    """A member with its loads and what they do to it.

    `drawn_stays`: what is drawn on it would weigh as much on it at a closer spacing: a point load, a partition that
    stands along the member or over a part of its strip only.
    """

    member: Member
    model: BeamModel
    demand: Demand
    seats: Seats
    has_partition: bool
    drawn_stays: bool


def carried_by(plan: FloorPlan, layout: BayLayout, practice: Practice) -> tuple[Carried, ...]:
    """Loads and demand of every member of a floor's one bay, in the bay's member order."""
    return carried_on(plan, (layout,), practice)[0]


def carried_on(
    plan: FloorPlan, layouts: Sequence[BayLayout], practice: Practice
) -> tuple[tuple[Carried, ...], ...]:
    """Loads and demand of every member of a floor, bay by bay in member order.

    Raises FloorRefused for a member that runs out to a free edge over its only bearing.
    """
    floor = _Floor(plan, layouts, practice)
    return tuple(tuple(floor.carry(member) for member in layout.members) for layout in layouts)


def supports_in(member: Member) -> tuple[float, ...]:
    """Where a member is held: faces of what its ends meet, centers of bearings that it passes over, no free tip."""
    low, high = member.low, member.high
    return tuple(
        inches(place)
        for place in (
            *((low.face_16,) if low.kind is not EndKind.FREE else ()),
            *(c.centre_16 for c in member.crossings),
            *((high.face_16,) if high.kind is not EndKind.FREE else ()),
        )
    )


class _Floor:
    """All bays at once, for members of one may hang on a flush beam of another."""

    def __init__(self, plan: FloorPlan, layouts: Sequence[BayLayout], practice: Practice) -> None:
        self.practice = practice
        self.hosts = {member.id: member for layout in layouts for member in layout.members}
        self.grounds = {
            layout.bay.id: Ground(
                plan, layout, practice, self.hosts, [other for other in layouts if other is not layout]
            )
            for layout in layouts
        }
        self.walls = {bay: Walls(ground) for bay, ground in self.grounds.items()}
        self.riders: dict[str, list[Member]] = {}
        for member in self.hosts.values():
            for host in dict.fromkeys(e.host for e in (member.low, member.high) if e.kind in _HUNG):
                self.riders.setdefault(host, []).append(member)
        self.standing: dict[str, list[Stood]] = {}
        for stood in stood_on(plan, layouts, practice):
            self.standing.setdefault(stood.member.id, []).append(stood)
        self.done: dict[str, Carried] = {}
        self.alike: dict[tuple[object, ...], Carried] = {}

    def carry(self, member: Member) -> Carried:
        """A member with all that it carries, after those that hang on it."""
        found = self.done.get(member.id)
        if found is None:
            found = self._across(member) if member.runs == "across" else self._along(member)
            self.done[member.id] = found
        return found

    def _along(self, member: Member) -> Carried:
        """A runner; those that carry strips alone, in equal surroundings, are worked out once."""
        shares = self.grounds[member.bay].shares(member)
        if self.walls[member.bay].walls or member.id in self.riders or member.id in self.standing:
            return self._runner(member, shares)
        ends = member.low.kind, member.low.face_16, member.high.kind, member.high.face_16
        key = (member.bay, ends, member.crossings, shares)
        found = self.alike.get(key)
        if found is None:
            found = self.alike[key] = self._runner(member, shares)
        return Carried(member, found.model, found.demand, found.seats, has_partition=False, drawn_stays=False)

    def _runner(self, member: Member, shares: tuple[Share, ...]) -> Carried:
        ground, walls = self.grounds[member.bay], self.walls[member.bay]
        drawn_lines, drawn_points = walls.on_runner(member, shares)
        points = [*self._reactions(member), *self._standing(member)]
        low, high = ground.ends_16(member)
        supports = supports_in(member)
        if len(supports) < 2:
            at = ground.frame.point(member.centre_16, member.low_16)
            words = f"{member.id} runs out to a free edge over one bearing only; give it a second one."
            raise FloorRefused((Problem("supports", words, at.x_16, at.y_16),))
        model = BeamModel(
            supports,
            (*ground.strip_lines(shares), *drawn_lines),
            (*points, *drawn_points),
            inches(low) if member.low.kind is EndKind.FREE else None,
            inches(high) if member.high.kind is EndKind.FREE else None,
            braces_in=ground.braces_in(member) if member.crossings else (),
        )
        stays = any(not walls.under_all_of_strip(point, shares) for point in drawn_points)
        return self._carried(member, model, (drawn_lines, drawn_points), stays=stays)

    def _across(self, member: Member) -> Carried:
        ground, walls = self.grounds[member.bay], self.walls[member.bay]
        beam = member.kind is MemberKind.BEAM
        drawn_lines, drawn_points = walls.on_beam(member) if beam else walls.on_header(member)
        points = self._reactions(member)
        supports = supports_in(member)
        held = sorted({point.at_in for point in points})
        model = BeamModel(
            supports,
            (*ground.header_strip(member), *drawn_lines),
            (*points, *self._standing(member), *drawn_points),
            braces_in=tuple(held) if beam and member.crossings else (),
            top_free_in=max(b - a for a, b in pairwise(sorted({*supports, *held}))) if beam else 0.0,
        )
        return self._carried(member, model, (drawn_lines, drawn_points), stays=bool(drawn_points))

    def _carried(
        self, member: Member, model: BeamModel, drawn: tuple[list[LineLoad], list[PointLoad]], *, stays: bool
    ) -> Carried:
        pressing = self.walls[member.bay].pressing
        return Carried(
            member,
            model,
            analyse(model, self.practice.method),
            seats_of(member, model, pressing, self.practice),
            bool(drawn[0] or drawn[1]),
            bool(drawn[0]) or stays or member.id in self.standing,
        )

    def _standing(self, member: Member) -> tuple[PointLoad, ...]:
        """The point loads drawn on it."""
        return standing_loads(self.standing.get(member.id, ()), self.practice)

    def _reactions(self, member: Member) -> list[PointLoad]:
        """What the members that hang on it bring, each at its place."""
        return [point for rider in self.riders.get(member.id, ()) for point in self._of(rider, member)]

    def _of(self, rider: Member, host: Member) -> Iterator[PointLoad]:
        reactions = self.carry(rider).demand.reactions_lb
        for end, (dead, live) in ((rider.low, reactions[0]), (rider.high, reactions[-1])):
            if end.host == host.id:
                # a far span may pull up here: what helps a host is not counted on
                yield PointLoad(inches(self._place_16(rider, host)), max(dead, 0.0), live, rider.id)

    def _place_16(self, rider: Member, host: Member) -> int:
        """Where a rider stands on its host's axis; riders of another bay by their place on the plan."""
        if rider.bay == host.bay:
            return rider.centre_16
        point, _ = rider.plan_ends(self.grounds[rider.bay].frame)
        return self.grounds[host.bay].frame.across_16(point)
