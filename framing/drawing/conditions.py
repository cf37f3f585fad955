"""What the details read of a designed floor: members with their frames, and the placed things by host."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from framing.engine.catalogue import Catalogue, JoistProfile
from framing.engine.floor import Support, Units
from framing.engine.geometry import Frame, Point
from framing.engine.members import BayLayout, Member, MemberEnd
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from framing.engine.result import FloorResult


@dataclass(frozen=True, slots=True)
class End:
    """One end of a member: `cut_16` is where it is cut, on its own axis."""

    layout: BayLayout
    member: Member
    name: str
    meets: MemberEnd
    cut_16: int


@dataclass(frozen=True)
class Conditions:
    """A floor, its catalogue and practice set, read for details."""

    result: FloorResult
    catalogue: Catalogue
    practice: Practice

    @property
    def units(self) -> Units:
        return self.result.plan.units

    def profile(self, member: Member) -> JoistProfile:
        return self.catalogue.profile(member.profile)

    @cached_property
    def members(self) -> dict[str, Member]:
        return {member.id: member for member in self.result.members}

    @cached_property
    def frames(self) -> dict[str, Frame]:
        return {layout.bay.id: layout.frame for layout in self.result.bays}

    @cached_property
    def supports(self) -> dict[str, Support]:
        """Interior bearings by the host's name."""
        return {f"support:{support.id}": support for support in self.result.plan.supports}

    @cached_property
    def by_host(self) -> dict[str, list[Placed]]:
        found: dict[str, list[Placed]] = {}
        for thing in self.result.placed:
            found.setdefault(thing.host, []).append(thing)
        return found

    def placed(self, item: Item) -> list[Placed]:
        return [thing for thing in self.result.placed if thing.item is item]

    def count(self, host: str, item: Item, part: str = "") -> int:
        """How many of an item hold a host; `part` narrows it to one end or crossing."""
        start = f"{item.value}:{host}/{part}:" if part else ""
        things = self.by_host.get(host, ())
        return sum(thing.quantity for thing in things if thing.item is item and thing.id.startswith(start))

    def ends(self) -> Iterator[End]:
        for layout in self.result.bays:
            for member in layout.members:
                yield End(layout, member, "low", member.low, member.low_16)
                yield End(layout, member, "high", member.high, member.high_16)

    def centre_16(self, support: Support, member: Member) -> int:
        """Where a bearing's centre line crosses a member, on the member's own axis."""
        return round(self.crossing_16(member, support.start, support.end)[0])

    def crossing_16(self, member: Member, a: Point, b: Point) -> tuple[Fraction, Fraction]:
        """Where a line crosses a member's centre line, on the member's own axis, and the line's slope to the square.

        Raises ZeroDivisionError for a line along the member.
        """
        (own_a, other_a), (own_b, other_b) = (self._seen(member, point) for point in (a, b))
        slope = Fraction(own_b - own_a, other_b - other_a)
        return own_a + slope * (member.centre_16 - other_a), abs(slope)

    def _seen(self, member: Member, point: Point) -> tuple[int, int]:
        """A point on the member's own axis and on the other one."""
        frame = self.frames[member.bay]
        across, along = frame.across_16(point), frame.along_16(point)
        return (along, across) if member.runs == "along" else (across, along)
