"""What every fit-out step reads: a bay's members, its ground in its frame, profiles and practice values.

What the bays of a floor share (members of all bays, who carries whom) is gathered once by `scenes_of`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TypedDict

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.fitout.shape import Shape, shape_of
from framing.engine.floor import FloorPlan, Opening, OpeningKind
from framing.engine.geometry import Frame, Point
from framing.engine.lean import Number, half_up
from framing.engine.members import BayLayout, FramedOpening, Member, MemberEnd
from framing.engine.practice import Practice
from framing.engine.regions import Region, Side, regions_of


@dataclass(frozen=True, slots=True)
class Scene:
    """One bay ready for fit-out.

    Attributes:
        plan, layout, catalogue, practice: what it is made from.
        shape: the bay's ground in its frame.
        runners: members that run along, from the start edge outwards.
        by_id: every member of the floor by its id.
        profiles: profile by designator, of every member of the floor.
        sizes, screws_by: depth code and screws in a clip's leg by designator.
        carried: centre lines of the members that end on a member, on its own axis, low to high; by its id.
        drawn: the plan's openings by id.
        regions: the regions of all bays.
        point: plan position of a whole frame position (across, along); `at` rounds first.
    """

    plan: FloorPlan
    layout: BayLayout
    catalogue: Catalogue
    practice: Practice
    shape: Shape
    runners: tuple[Member, ...]
    by_id: Mapping[str, Member]
    profiles: Mapping[str, JoistProfile]
    sizes: Mapping[str, str]
    screws_by: Mapping[str, int]
    carried: Mapping[str, Sequence[int]]
    drawn: Mapping[str, Opening]
    regions: tuple[Region, ...]
    point: Callable[[int, int], Point]

    @property
    def members(self) -> tuple[Member, ...]:
        return self.layout.members

    @property
    def frame(self) -> Frame:
        return self.layout.frame

    def member(self, member_id: str) -> Member:
        """The member of that id. Raises KeyError."""
        return self.by_id[member_id]

    def profile(self, member: Member) -> JoistProfile:
        return self.profiles[member.profile]

    def size(self, member: Member) -> str:
        """Depth code that tells clips of different joist depths apart."""
        return self.sizes[member.profile]

    def screws(self, member: Member) -> int:
        """Screws in one leg of a clip on this member, n of R20."""
        return self.screws_by[member.profile]

    def at(self, across_16: Number, along_16: Number) -> Point:
        """Plan position of a frame position, rounded to sixteenths."""
        return self.point(half_up(across_16), half_up(along_16))

    def on_member(self, member: Member, position_16: Number, beside_16: Number = 0) -> Point:
        """Plan position on a member: `position_16` on its own axis, `beside_16` off its centre line."""
        beside = member.centre_16 + beside_16
        return self.at(beside, position_16) if member.runs == "along" else self.at(position_16, beside)

    def stair_openings(self) -> tuple[FramedOpening, ...]:
        """Openings that get an inner rim (R28) and web backing (R29)."""
        return tuple(o for o in self.layout.openings if self.drawn[o.opening].kind is OpeningKind.STAIR)


def scenes_of(
    plan: FloorPlan, layouts: Sequence[BayLayout], catalogue: Catalogue, practice: Practice
) -> tuple[Scene, ...]:
    """Gather all bays of a floor. Raises UnknownProfile, UnknownItem; FloorRefused as `regions_of` does."""
    regions = regions_of(plan)
    rings = {region.bay: region.sides for region in regions}
    members = [member for layout in layouts for member in layout.members]
    profiles = {name: catalogue.profile(name) for name in dict.fromkeys(m.profile for m in members)}
    by_id = {member.id: member for member in members}
    shared: _Shared = {
        "plan": plan,
        "catalogue": catalogue,
        "practice": practice,
        "by_id": by_id,
        "profiles": profiles,
        "sizes": {name: str(profile.depth_code) for name, profile in profiles.items()},
        "screws_by": {name: catalogue.screws_for(profile) for name, profile in profiles.items()},
        "carried": _carried(layouts, by_id),
        "drawn": {opening.id: opening for opening in plan.openings},
        "regions": regions,
    }
    return tuple(_scene(layout, rings[layout.bay.id], shared) for layout in layouts)


class _Shared(TypedDict):
    """What all bays of a floor have in common."""

    plan: FloorPlan
    catalogue: Catalogue
    practice: Practice
    by_id: Mapping[str, Member]
    profiles: Mapping[str, JoistProfile]
    sizes: Mapping[str, str]
    screws_by: Mapping[str, int]
    carried: Mapping[str, Sequence[int]]
    drawn: Mapping[str, Opening]
    regions: tuple[Region, ...]


def _scene(layout: BayLayout, ring: Sequence[Side], shared: _Shared) -> Scene:
    runners = sorted((m for m in layout.members if m.runs == "along"), key=_outwards)
    shape, point = shape_of(ring, layout.frame), _pointer(layout.frame)
    return Scene(layout=layout, shape=shape, runners=tuple(runners), point=point, **shared)


def scene_of(plan: FloorPlan, layout: BayLayout, catalogue: Catalogue, practice: Practice) -> Scene:
    """Gather a floor of one bay. Raises what `scenes_of` raises."""
    return scenes_of(plan, [layout], catalogue, practice)[0]


def _pointer(frame: Frame) -> Callable[[int, int], Point]:
    """`Frame.point` with the frame's questions answered beforehand: a floor asks for hundreds of positions."""
    start, turn = frame.start_16, -1 if frame.reverse else 1
    if frame.axis == "y":
        return lambda across_16, along_16: Point(start + turn * across_16, along_16)
    return lambda across_16, along_16: Point(along_16, start + turn * across_16)


def _outwards(member: Member) -> tuple[int, int]:
    return member.centre_16, member.low_16


def _carried(layouts: Sequence[BayLayout], by_id: Mapping[str, Member]) -> dict[str, list[int]]:
    """Who ends on whom, over all bays: a flush beam carries joists of the bays on both its sides."""
    frames = {member.id: layout.frame for layout in layouts for member in layout.members}
    found: dict[str, list[int]] = {}
    for layout in layouts:
        for member in layout.members:
            for host_id in {member.low.host, member.high.host}:
                if host_id in by_id:
                    place = _place_on(by_id[host_id], frames[host_id], member, layout.frame)
                    found.setdefault(host_id, []).append(place)
    return {host_id: sorted(places) for host_id, places in found.items()}


def _place_on(host: Member, host_frame: Frame, member: Member, frame: Frame) -> int:
    """Where a member's centre line meets its host, on the host's own axis."""
    if frame == host_frame:
        return member.centre_16
    end, _ = member.plan_ends(frame)
    return host_frame.across_16(end) if host.runs == "across" else host_frame.along_16(end)


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
