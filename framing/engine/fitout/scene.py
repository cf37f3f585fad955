"""What every fit-out step reads: a bay's members, the outline in its frame, profiles and practice values."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.fitout.shape import Number, Shape, half_up, shape_of
from framing.engine.floor import FloorPlan, Opening, OpeningKind
from framing.engine.geometry import Point
from framing.engine.members import BayLayout, FramedOpening, Member, MemberEnd
from framing.engine.practice import Practice


@dataclass(frozen=True, slots=True)
class Scene:
    """One bay ready for fit-out.

    Attributes:
        plan, layout, catalogue, practice: what it is made from.
        shape: the outline in the bay's frame.
        runners: members that run along, from the start edge outwards.
        by_id: every member by its id.
        profiles: profile by designator, of every member.
    """

    plan: FloorPlan
    layout: BayLayout
    catalogue: Catalogue
    practice: Practice
    shape: Shape
    runners: tuple[Member, ...]
    by_id: Mapping[str, Member]
    profiles: Mapping[str, JoistProfile]

    @property
    def members(self) -> tuple[Member, ...]:
        return self.layout.members

    def member(self, member_id: str) -> Member:
        """The member of that id. Raises KeyError."""
        return self.by_id[member_id]

    def profile(self, member: Member) -> JoistProfile:
        return self.profiles[member.profile]

    def size(self, member: Member) -> str:
        """Depth code that tells clips of different joist depths apart."""
        return str(self.profile(member).depth_code)

    def screws(self, member: Member) -> int:
        """Screws in one leg of a clip on this member, n of R20."""
        return self.catalogue.screws_for(self.profile(member))

    def at(self, across_16: Number, along_16: Number) -> Point:
        """Plan position of a frame position, rounded to sixteenths."""
        return self.layout.frame.point(half_up(across_16), half_up(along_16))

    def on_member(self, member: Member, position_16: Number, beside_16: Number = 0) -> Point:
        """Plan position on a member: `position_16` on its own axis, `beside_16` off its centre line."""
        beside = member.centre_16 + beside_16
        return self.at(beside, position_16) if member.runs == "along" else self.at(position_16, beside)

    def stair_openings(self) -> tuple[FramedOpening, ...]:
        """Openings that get an inner rim (R28) and web backing (R29)."""
        return tuple(o for o in self.layout.openings if self.opening(o).kind is OpeningKind.STAIR)

    def opening(self, framed: FramedOpening) -> Opening:
        """The drawn opening that was framed. Raises KeyError."""
        return {opening.id: opening for opening in self.plan.openings}[framed.opening]


def scene_of(plan: FloorPlan, layout: BayLayout, catalogue: Catalogue, practice: Practice) -> Scene:
    """Gather one bay. Raises FloorRefused for a skewed outline, UnknownProfile."""
    along = (member for member in layout.members if member.runs == "along")
    return Scene(
        plan,
        layout,
        catalogue,
        practice,
        shape_of(plan, layout.frame),
        tuple(sorted(along, key=lambda m: (m.centre_16, m.low_16))),
        {member.id: member for member in layout.members},
        {name: catalogue.profile(name) for name in dict.fromkeys(m.profile for m in layout.members)},
    )


def ends(member: Member) -> Iterator[tuple[str, MemberEnd, int]]:
    """The member's two ends as (name, what it meets, cut position), low first."""
    yield "low", member.low, member.low_16
    yield "high", member.high, member.high_16


def low_face_16(member: Member) -> Number:
    """The member's face nearer the start of its other axis."""
    return member.centre_16 - half_width_16(member)


def high_face_16(member: Member) -> Number:
    """The member's face farther from the start of its other axis."""
    return member.centre_16 + half_width_16(member)


def half_width_16(member: Member) -> Number:
    """Half the member's width; a half sixteenth where the width is odd."""
    return Fraction(member.width_16, 2) if member.width_16 % 2 else member.width_16 // 2
