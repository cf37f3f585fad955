"""What lies under the sheathing at a coordinate across the joists: members, and floor between openings.

Faces may stand on half sixteenths and panel joints on any fraction, so faces are held doubled: every question
is then answered between whole numbers, exactly, and fast enough to ask for every panel.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, floor
from typing import NamedTuple

from framing.engine.fitout.intervals import Interval, Number, clip, subtract
from framing.engine.fitout.scene import Scene


class Strand(NamedTuple):
    """A member that runs along: twice its faces across, and its ends along."""

    twice_low_face: int
    twice_high_face: int
    low_16: int
    high_16: int


@dataclass(frozen=True, slots=True)
class Strands:
    """Strands from the start edge outwards; `twice_centres` are theirs, `widest_16` is the widest of them."""

    strands: tuple[Strand, ...]
    twice_centres: tuple[int, ...]
    widest_16: int

    def between(self, low_16: Number, high_16: Number) -> list[Strand]:
        """Strands wholly between two coordinates, touching neither."""
        low, high = floor(2 * low_16), ceil(2 * high_16)
        first, last = bisect_right(self.twice_centres, low), bisect_left(self.twice_centres, high)
        return [s for s in self.strands[first:last] if low < s.twice_low_face and s.twice_high_face < high]

    def under(self, across_16: Number) -> list[Strand]:
        """Strands that lie under a coordinate or touch it."""
        low, high = floor(2 * across_16), ceil(2 * across_16)
        first = bisect_left(self.twice_centres, low - self.widest_16)
        last = bisect_right(self.twice_centres, high + self.widest_16)
        return [s for s in self.strands[first:last] if s.twice_low_face <= low and high <= s.twice_high_face]

    def within(self, low_16: int, high_16: int) -> Strands:
        """Those that reach into a row, cut to it."""
        cut = [
            (Strand(s.twice_low_face, s.twice_high_face, max(s.low_16, low_16), min(s.high_16, high_16)), c)
            for s, c in zip(self.strands, self.twice_centres, strict=True)
            if s.low_16 < high_16 and low_16 < s.high_16
        ]
        return Strands(tuple(s for s, _ in cut), tuple(c for _, c in cut), self.widest_16)


def strands_of(scene: Scene) -> Strands:
    """All members of a bay that run along."""
    return Strands(
        tuple(
            Strand(2 * m.centre_16 - m.width_16, 2 * m.centre_16 + m.width_16, m.low_16, m.high_16)
            for m in scene.runners
        ),
        tuple(2 * m.centre_16 for m in scene.runners),
        max((m.width_16 for m in scene.runners), default=0),
    )


@dataclass(frozen=True, slots=True)
class Floor:
    """Where there is floor along a line; answers are kept, as joints of many rows stand at one coordinate."""

    scene: Scene
    _kept: dict[Number | tuple[int, int], tuple[Interval, ...]] = field(default_factory=dict)

    def at(self, across_16: Number, row: tuple[int, int]) -> list[Interval]:
        """Along-intervals of a row that have floor at one across-coordinate."""
        return [part for whole in self._line(across_16) if (part := clip(whole, row)) is not None]

    def _line(self, across_16: Number) -> tuple[Interval, ...]:
        # Between two whole sixteenths nothing changes where no side is skewed.
        key = across_16 if self.scene.shape.skewed else (floor(across_16), ceil(across_16))
        if key not in self._kept:
            holes = openings_at(self.scene, across_16)
            self._kept[key] = tuple(
                left
                for low, high in self.scene.shape.along_at(across_16)
                for left in subtract((low.along_at(across_16), high.along_at(across_16)), holes)
            )
        return self._kept[key]


def openings_at(scene: Scene, across_16: Number) -> Sequence[Interval]:
    """Along-intervals that openings, with the inner rim around them, take out at one across-coordinate."""
    rim = scene.practice.opening_stand_off_16
    low, high = floor(across_16), ceil(across_16)
    return [
        (o.along_low_16 - rim, o.along_high_16 + rim)
        for o in scene.layout.openings
        if o.across_low_16 - rim < high and low < o.across_high_16 + rim
    ]
