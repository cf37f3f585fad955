"""How a member sits where force goes into its web: the stretch of bearing for web crippling (R15, R20, R23).

A full-depth bearing clip (platform edges), a lap plate (laps and butts) stiffen the web; a clip angle
(balloon edges, headers, trimmers) takes the reaction through its screws. None of these bears on the flange, so
web crippling is not asked there and the calculation sheet says so. What is left: inner bearings that a joist
runs over, walls that stand across the joists and bear or weigh more than the sheathing is taken to spread, and
point loads that weigh more than a foot of such a wall.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from framing.engine.loads import PointLoad
from framing.engine.members import EndKind, Member
from framing.engine.practice import Practice
from framing.engine.sizing.beams import BeamModel
from framing.engine.standing import Stood
from framing.engine.units import inches


@dataclass(frozen=True, slots=True)
class Seat:
    """Bearing on a flange: its length along the member in inches, and whether the flange is fastened to it."""

    length_in: float
    fastened: bool


@dataclass(frozen=True, slots=True)
class Seats:
    """Seats by support and by point load of a model, in its order; None where the web is held otherwise."""

    supports: tuple[Seat | None, ...] = ()
    points: tuple[Seat | None, ...] = ()

    @property
    def bears(self) -> bool:
        """Whether force goes into an unstiffened web anywhere."""
        return any((*self.supports, *self.points))

    def seat(self, kind: str, index: int) -> Seat | None:
        """Of a load place of the demand: `kind` is support or load."""
        held = self.supports if kind == "support" else self.points
        return held[index] if index < len(held) else None


def standing_loads(standing: Sequence[Stood], practice: Practice) -> tuple[PointLoad, ...]:
    """Point loads drawn on a member, each with the length of flange that it stands on.

    One that with those within that length of it weighs no more than a foot of the heaviest wall that the sheathing
    spreads is spread by it too.
    """
    plate_in = practice.load_plate_in
    found = []
    for stood in standing:
        at_in, load = inches(stood.place_16), stood.load
        beside = (s.load for s in standing if abs(inches(s.place_16) - at_in) < plate_in)
        weight_lb = sum(one.dead_lb + one.live_lb for one in beside)
        pressed_in = plate_in if weight_lb > practice.spread_wall_plf else 0.0
        found.append(PointLoad(at_in, load.dead_lb, load.live_lb, load.label, pressed_in))
    return tuple(found)


def seats_of(member: Member, model: BeamModel, walls: frozenset[str], practice: Practice) -> Seats:
    """Seats of a member; `walls` are the partitions that press on its top flange."""
    crossed = tuple(
        Seat(inches(c.high_face_16 - c.low_face_16), fastened=True)  # nailed to the plate, R21
        for c in member.crossings
    )
    plate = Seat(practice.load_plate_in, fastened=False)
    low, high = (() if end.kind is EndKind.FREE else (None,) for end in (member.low, member.high))
    return Seats(
        supports=(*low, *crossed, *high),
        points=tuple(plate if point.plate_in or point.source in walls else None for point in model.points),
    )


_HELD = {
    EndKind.PLATFORM: "the full-depth bearing clip stiffens the web (R20)",
    EndKind.BALLOON: "the clip angle takes the reaction through its screws (R20)",
    EndKind.LAP: "the lap plate, or a stiffener where there is no partner, stiffens the web (R23)",
    EndKind.BUTT: "the lap plate, or a stiffener where there is no partner, stiffens the web (R23)",
    EndKind.HEADER: "the clip angle takes the reaction through its screws (R20)",
    EndKind.TRIMMER: "the clip angle takes the reaction through its screws (R20)",
    EndKind.FLUSH: "the clip angle takes the reaction through its screws (R20)",
    EndKind.FREE: "nothing bears at a free tip, whose clip angle only holds it upright (R20)",
}


def seat_notes(member: Member, model: BeamModel, seats: Seats, drawn: frozenset[str]) -> tuple[str, ...]:
    """Sentences on the places where web crippling is not asked, and why.

    `drawn` are the sources of what stands on the floor: its partitions and point loads.
    """
    words = dict.fromkeys(_HELD[end.kind] for end in (member.low, member.high))
    ends = (
        "No web crippling at the ends: "
        + "; ".join(words)
        + ". Clips, plates and their fasteners are held to the ratings of their supplier."
    )
    light = [
        point.source
        for index, point in enumerate(model.points)
        if seats.points[index] is None and point.source in drawn
    ]
    if not light:
        return (ends,)
    spread = f"No web crippling under {', '.join(light)}: light loads spread through the sheathing (common practice)."
    return ends, spread
