"""What lies under the sheathing at a coordinate across the joists: members, and floor between openings.

Faces may stand on half sixteenths and panel joints on any fraction, so faces are held doubled: every question
is then answered between whole numbers, exactly, and fast enough to ask for every panel.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, floor
from typing import NamedTuple

from framing.engine.fitout.intervals import Interval, subtract
from framing.engine.fitout.scene import Scene
from framing.engine.lean import Number

_HALF = Fraction(1, 2)


class Strand(NamedTuple):
    """A member that runs along: twice its faces across, and which of the reaches along it has."""

    twice_low_face: int
    twice_high_face: int
    reach: int


@dataclass(frozen=True, slots=True)
class Strands:
    """Strands from the start edge outwards.

    Attributes:
        strands: the members.
        reaches: the few different ends along (low, high) that they have.
        twice_centres, widest_16: twice their centres, and the width of the widest.
    """

    strands: tuple[Strand, ...]
    reaches: tuple[tuple[int, int], ...]
    twice_centres: tuple[int, ...]
    widest_16: int

    def under(self, across_16: Number) -> list[tuple[int, int]]:
        """Ends along of the strands that lie under a coordinate or touch it."""
        low, high = _doubled(across_16)
        first = bisect_left(self.twice_centres, low - self.widest_16)
        last = bisect_right(self.twice_centres, high + self.widest_16)
        return [
            self.reaches[reach]
            for face, far_face, reach in self.strands[first:last]
            if face <= low and high <= far_face
        ]

    def within(self, low_16: int, high_16: int) -> Bearers:
        """Those that reach into a row."""
        lengths = [min(high, high_16) - max(low, low_16) for low, high in self.reaches]
        strands = [
            (face, far_face, length)
            for face, far_face, reach in self.strands
            if (length := lengths[reach]) > 0
        ]
        return Bearers(strands, [face + far_face for face, far_face, _ in strands], 2 * self.widest_16)


@dataclass(frozen=True, slots=True)
class Bearers:
    """Strands under one row of panels: twice their faces, and their length within the row.

    `places` are four times their centres, `widest` is four times half the widest.
    """

    strands: Sequence[tuple[int, int, int]]
    places: Sequence[int]
    widest: int
    _kept: dict[Number, list[int]] = field(default_factory=dict)

    def between(self, low_16: Number, high_16: Number) -> list[int]:
        """Lengths of the strands wholly between two coordinates, touching neither."""
        (low, _), (_, high) = _doubled(low_16), _doubled(high_16)
        first, last = bisect_right(self.places, 2 * low), bisect_left(self.places, 2 * high)
        return [n for face, far_face, n in self.strands[first:last] if low < face and far_face < high]

    def under(self, across_16: Number) -> list[int]:
        """Lengths of the strands that lie under a coordinate or touch it; two panels ask at each joint."""
        if across_16 not in self._kept:
            low, high = _doubled(across_16)
            first = bisect_left(self.places, 2 * low - self.widest)
            last = bisect_right(self.places, 2 * high + self.widest)
            self._kept[across_16] = [
                n for face, far_face, n in self.strands[first:last] if face <= low and high <= far_face
            ]
        return self._kept[across_16]


def _doubled(across_16: Number) -> tuple[int, int]:
    """Twice a coordinate, down and up to whole numbers."""
    if type(across_16) is int:
        return 2 * across_16, 2 * across_16
    return floor(2 * across_16), ceil(2 * across_16)


def strands_of(scene: Scene) -> Strands:
    """All members of a bay that run along."""
    reaches: dict[tuple[int, int], int] = {}
    strands = []
    for member in scene.runners:
        reach = reaches.setdefault((member.low_16, member.high_16), len(reaches))
        twice, width = 2 * member.centre_16, member.width_16
        strands.append(Strand(twice - width, twice + width, reach))
    return Strands(
        tuple(strands),
        tuple(reaches),
        tuple(2 * m.centre_16 for m in scene.runners),
        max((m.width_16 for m in scene.runners), default=0),
    )


@dataclass(frozen=True, slots=True)
class Floor:
    """Where there is floor along a line; answers are kept, as joints of many rows stand at one coordinate."""

    scene: Scene
    _kept: dict[tuple[Number, int], tuple[Interval, ...]] = field(default_factory=dict)

    def just_inside(self, across_16: Number, inward: int, row: tuple[int, int]) -> list[Number]:
        """Lengths of floor in a row on the line half a sixteenth inside a panel's end (`inward` +1 at its low end)."""
        parts = self._kept.get((across_16, inward))
        if parts is None:
            parts = tuple(self._parts(across_16 + inward * _HALF))
            self._kept[across_16, inward] = parts
        low, high = row
        return [min(b, high) - max(a, low) for a, b in parts if a < high and low < b]

    def _parts(self, across_16: Number) -> Iterator[Interval]:
        holes = openings_at(self.scene, across_16)
        for low, high in self.scene.shape.along_at(across_16):
            yield from subtract((low.along_at(across_16), high.along_at(across_16)), holes)


def openings_at(scene: Scene, across_16: Number) -> Sequence[Interval]:
    """Along-intervals that openings, with the inner rim around them, take out at one across-coordinate."""
    rim = scene.practice.opening_stand_off_16
    low, high = floor(across_16), ceil(across_16)
    return [
        (o.along_low_16 - rim, o.along_high_16 + rim)
        for o in scene.layout.openings
        if o.across_low_16 - rim < high and low < o.across_high_16 + rim
    ]
