"""A bay's ground in its own frame: sides with their corners, and what lies inside at a coordinate.

Index: `FrameSide`, `Band`, `Shape` (`shape_of`). Intervals and rounding live in `intervals`.
Sides run along the joists, across them or askew. What is asked between two corners has the same sides all over,
so both ways are cut into bands once and every later question only looks its band up. Crossings with a skewed
side are exact fractions; on square floors all stays whole numbers.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import floor
from typing import Literal, NamedTuple

from framing.engine.fitout.intervals import root
from framing.engine.floor import Edge
from framing.engine.geometry import Frame
from framing.engine.lean import Number, whole
from framing.engine.regions import Side

Runs = Literal["along", "across", "skewed"]
Corner = Literal["outside", "re-entrant", "straight"]
Place = tuple[int, int]  # across, along


@dataclass(frozen=True, slots=True)
class FrameSide:
    """One side of a bay in frame coordinates (sixteenths).

    Attributes:
        id: `edge:3` on an outline edge, `border:0` at a border with another bay (its number in the ring).
        edge: the outline edge that it lies on, None at a border.
        runs: "along" beside the joists, "across" square to them, "skewed" else.
        across_low_16, across_high_16, along_low_16, along_high_16: what it reaches over.
        line: a place on its line and the line's direction (across, along, then steps across and along).
        inward_across, inward_along: +1 where the bay lies towards larger coordinates, -1 smaller, 0 neither.
        low_corner, high_corner: the corners at its ends, the end with the smaller (across, along) first.
    """

    id: str
    edge: Edge | None
    runs: Runs
    across_low_16: int
    across_high_16: int
    along_low_16: int
    along_high_16: int
    line: tuple[int, int, int, int]
    inward_across: int
    inward_along: int
    low_corner: Corner
    high_corner: Corner

    @property
    def corners(self) -> tuple[Corner, Corner]:
        return self.low_corner, self.high_corner

    def across_at(self, along_16: Number) -> Number:
        """Across-coordinate of its line at an along-coordinate; not for a side that runs across."""
        if self.runs == "along":
            return self.across_low_16
        across, along, step_across, step_along = self.line
        return whole(across + Fraction((along_16 - along) * step_across) / step_along)

    def along_at(self, across_16: Number) -> Number:
        """Along-coordinate of its line at an across-coordinate; not for a side that runs along."""
        if self.runs == "across":
            return self.along_low_16
        across, along, step_across, step_along = self.line
        return whole(along + Fraction((across_16 - across) * step_along) / step_across)

    def across_through(self, thickness_16: int) -> Number:
        """How far a board of that thickness on the side reaches, measured across the joists."""
        return thickness_16 if self.runs == "along" else whole(thickness_16 * self._stretch(self.line[3]))

    def length_over(self, across_16: Number) -> Number:
        """Length of the stretch of the side that reaches so far across; not for a side that runs along."""
        return across_16 if self.runs == "across" else whole(across_16 * self._stretch(self.line[2]))

    def _stretch(self, step: int) -> Fraction:
        _, _, step_across, step_along = self.line
        return root(Fraction(step_across**2 + step_along**2, step**2))


class Band(NamedTuple):
    """Between two neighbouring corner coordinates: the pairs of sides that bound the bay, low to high."""

    low_16: int
    high_16: int
    pairs: tuple[tuple[FrameSide, FrameSide], ...]


@dataclass(frozen=True, slots=True)
class Shape:
    """A bay's ground in frame coordinates.

    Attributes:
        sides: in ring order.
        parallel: those on the outline that joists run along.
        bearing: those on the outline that joists end on, skewed ones too.
        columns: bands by across-coordinate, whose pairs bound the bay along the joists.
        strata: bands by along-coordinate, whose pairs bound the bay across them.
        skewed: whether any side is.
    """

    sides: tuple[FrameSide, ...]
    parallel: tuple[FrameSide, ...]
    bearing: tuple[FrameSide, ...]
    columns: tuple[Band, ...]
    strata: tuple[Band, ...]
    skewed: bool

    @property
    def along_range(self) -> tuple[int, int]:
        """Smallest and largest along-coordinate of the ground."""
        return self.strata[0].low_16, self.strata[-1].high_16

    def across_at(self, along_16: Number) -> tuple[tuple[FrameSide, FrameSide], ...]:
        """Pairs of sides that bound the ground at one along-coordinate, low to high (half-open)."""
        return _pairs_at(self.strata, along_16)

    def along_at(self, across_16: Number) -> tuple[tuple[FrameSide, FrameSide], ...]:
        """Pairs of sides that bound the ground at one across-coordinate, low to high (half-open)."""
        return _pairs_at(self.columns, across_16)


def _pairs_at(bands: Sequence[Band], at: Number) -> tuple[tuple[FrameSide, FrameSide], ...]:
    """Half-open: a band counts from its low end up to, not including, its high end."""
    whole = floor(at)  # bands end at whole sixteenths
    index = bisect_right(bands, whole, key=_low_of) - 1
    return bands[index].pairs if index >= 0 and whole < bands[index].high_16 else ()


def _low_of(band: Band) -> int:
    return band.low_16


def shape_of(ring: Sequence[Side], frame: Frame) -> Shape:
    """A ring of sides (a bay's region, or the whole outline) in a bay's frame."""
    corners = [(frame.across_16(side.start), frame.along_16(side.start)) for side in ring]
    count = len(ring)
    turn = 1 if _area_2(corners) > 0 else -1
    kinds = [_corner(corners[i - 1], corners[i], corners[(i + 1) % count], turn) for i in range(count)]
    sides = tuple(
        _side(
            i,
            ring[i],
            frame,
            turn,
            (kinds[i], kinds[(i + 1) % count]),
            (corners[i], corners[(i + 1) % count]),
        )
        for i in range(count)
    )
    return Shape(
        sides,
        tuple(side for side in sides if side.edge and side.runs == "along"),
        tuple(side for side in sides if side.edge and side.runs != "along"),
        _columns(sides),
        _strata(sides),
        any(side.runs == "skewed" for side in sides),
    )


def _area_2(corners: Sequence[Place]) -> int:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))


def _corner(before: Place, at: Place, after: Place, turn: int) -> Corner:
    cross = (at[0] - before[0]) * (after[1] - at[1]) - (at[1] - before[1]) * (after[0] - at[0])
    if cross == 0:
        return "straight"
    return "outside" if cross * turn > 0 else "re-entrant"


def _side(
    number: int, side: Side, frame: Frame, turn: int, kinds: tuple[Corner, Corner], ends: tuple[Place, Place]
) -> FrameSide:
    (start, end), (first, last) = ends, kinds
    a, b = ((frame.across_16(point), frame.along_16(point)) for point in side.line)
    step_across, step_along = b[0] - a[0], b[1] - a[1]
    forward = end > start
    return FrameSide(
        id=f"edge:{side.edge.index}" if side.edge else f"border:{number}",
        edge=side.edge,
        runs="along" if step_across == 0 else "across" if step_along == 0 else "skewed",
        across_low_16=min(start[0], end[0]),
        across_high_16=max(start[0], end[0]),
        along_low_16=min(start[1], end[1]),
        along_high_16=max(start[1], end[1]),
        line=(*a, step_across, step_along),
        inward_across=_sign(start[1] - end[1]) * turn,
        inward_along=_sign(end[0] - start[0]) * turn,
        low_corner=first if forward else last,
        high_corner=last if forward else first,
    )


def _sign(value: int) -> int:
    return (value > 0) - (value < 0)


def _columns(sides: Sequence[FrameSide]) -> tuple[Band, ...]:
    over = [(s.across_low_16, s.across_high_16, s) for s in sides if s.runs != "along"]
    return _bands(over, FrameSide.along_at)


def _strata(sides: Sequence[FrameSide]) -> tuple[Band, ...]:
    over = [(s.along_low_16, s.along_high_16, s) for s in sides if s.runs != "across"]
    return _bands(over, FrameSide.across_at)


def _bands(
    over: Sequence[tuple[int, int, FrameSide]], at: Callable[[FrameSide, Number], Number]
) -> tuple[Band, ...]:
    """Sides sorted between each two neighbouring corners.

    A bay drawn a sixteenth off the outline can leave an odd side over in a band so narrow: it bounds nothing.
    """
    bands = []
    for low, high in pairwise(sorted({cut for a, b, _ in over for cut in (a, b)})):
        middle = Fraction(low + high, 2)
        met = sorted((at(side, middle), i) for i, (a, b, side) in enumerate(over) if a <= low < b)
        found = [over[i][2] for _, i in met]
        bands.append(Band(low, high, tuple(zip(found[::2], found[1::2], strict=False))))
    return tuple(bands)
