"""What each member of a bay carries (R8, R13, R19): strips of floor, partitions, and members framed into it.

A member carries the floor half-way to its neighbor or to the outline on each side, at least half a spacing
(so that joists on the grid are one case), and all of it up to an opening's edge. A header carries the strip
from its far face to the opening's edge, partitions that stand on that strip, and the reactions of its tails; a
trimmer those of its headers, each at its place. Stringers of a stair that hang on a header are not among the loads.
"""

from __future__ import annotations

from dataclasses import dataclass

from framing.engine.floor import FloorPlan
from framing.engine.loads import PointLoad
from framing.engine.members import BayLayout, Member
from framing.engine.practice import Practice
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import Demand, analyse
from framing.engine.sizing.ground import Ground
from framing.engine.sizing.seats import Seats, seats_of
from framing.engine.units import inches


@dataclass(frozen=True, slots=True)
class Carried:
    """A member with its loads and what they do to it.

    `partition_stays`: a partition on it would weigh as much on it at a closer spacing, for it stands along the
    member or over a part of its strip only.
    """

    member: Member
    model: BeamModel
    demand: Demand
    seats: Seats
    has_partition: bool
    partition_stays: bool


def carried_by(plan: FloorPlan, layout: BayLayout, practice: Practice) -> tuple[Carried, ...]:
    """Loads and demand of every member of a bay, in the bay's member order."""
    ground = Ground(plan, layout, practice)
    done: dict[str, Carried] = {}
    return tuple(_carry(ground, member, done) for member in layout.members)


def supports_in(member: Member) -> tuple[float, ...]:
    """Where a member is held: faces of what its ends meet, centers of bearings that it passes over."""
    places = (member.low.face_16, *(c.centre_16 for c in member.crossings), member.high.face_16)
    return tuple(inches(place) for place in places)


def _carry(ground: Ground, member: Member, done: dict[str, Carried]) -> Carried:
    if member.id in done:
        return done[member.id]
    points = []
    for rider in ground.riders(member):
        reactions = _carry(ground, rider, done).demand.reactions_lb
        for end, (dead, live) in ((rider.low, reactions[0]), (rider.high, reactions[-1])):
            if end.host == member.id:
                # a far span may pull up here: what helps a host is not counted on
                points.append(PointLoad(inches(rider.centre_16), max(dead, 0.0), live, rider.id))
    across = member.runs == "across"
    lines = tuple(ground.header_strip(member) if across else ground.strips(member))
    drawn_lines, drawn_points = ground.header_partitions(member) if across else ground.partitions(member)
    model = BeamModel(
        supports_in(member),
        (*lines, *drawn_lines),
        (*points, *drawn_points),
        braces_in=ground.braces_in(member) if member.crossings else (),
    )
    done[member.id] = Carried(
        member,
        model,
        analyse(model, ground.practice.method),
        seats_of(member, model, ground.pressing, ground.practice),
        bool(drawn_lines or drawn_points),
        bool(drawn_lines) or any(not ground.under_all_of_strip(member, point) for point in drawn_points),
    )
    return done[member.id]
