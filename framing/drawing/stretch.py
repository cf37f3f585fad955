"""A member's length on paper: true to scale, with breaks in the longest stretches where it would not fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from framing.drawing.paper import MM_PER_16

_GAP = 2.0  # mm left open at a break
_SHARE = 0.25  # of a shortened stretch that its break may take
_LEAST = 11.0  # mm to which a stretch is shortened, less only where the paper asks for it
_NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class Stretch:
    """Places along a member, in sixteenths from its printed end, on paper.

    Attributes:
        start: x of the printed end in mm.
        scale: 1 : scale between breaks.
        stops_16: places that keep their order and their surroundings: both ends and what stands on the member.
        xs: their x in mm.
        broken: whether the stretch that begins at that stop is shortened.
    """

    start: float
    scale: float
    stops_16: tuple[int, ...]
    xs: tuple[float, ...]
    broken: tuple[bool, ...]

    def x(self, place_16: int) -> float:
        """The x of a stop. Raises ValueError where nothing stands at that place."""
        return self.xs[self.stops_16.index(place_16)]

    def moved(self, by: float) -> Stretch:
        """The same, `by` mm to the right."""
        return replace(self, start=self.start + by, xs=tuple(x + by for x in self.xs))

    @property
    def length(self) -> float:
        return self.xs[-1] - self.xs[0]

    @property
    def breaks(self) -> tuple[tuple[float, float], ...]:
        """Left and right x of each break, in the middle of its stretch."""
        found = []
        for (a, b), short in zip(pairwise(self.xs), self.broken, strict=True):
            if short:
                half = min(_GAP, (b - a) * _SHARE) / 2
                found.append(((a + b) / 2 - half, (a + b) / 2 + half))
        return tuple(found)

    @property
    def parts(self) -> tuple[tuple[float, float], ...]:
        """What is drawn of a line along the whole member: from break to break."""
        edges = [self.xs[0], *(x for pair in self.breaks for x in pair), self.xs[-1]]
        return tuple(zip(edges[::2], edges[1::2], strict=True))


def lay_stretch(start: float, length_16: int, places_16: Sequence[int], scale: float, room: float) -> Stretch:
    """Lay a member on `room` mm from `start`; where it is longer, as few stretches as will do are shortened."""
    stops = tuple(sorted({0, length_16, *places_16}))
    true = [(b - a) * MM_PER_16 / scale for a, b in pairwise(stops)]
    shown = _shortened(true, room)
    xs = [start]
    for gap in shown:
        xs.append(xs[-1] + gap)
    return Stretch(start, scale, stops, tuple(xs), tuple(b < a for a, b in zip(true, shown, strict=True)))


def _shortened(gaps: Sequence[float], room: float) -> list[float]:
    """Stretches that together take the room: the longest first, of equal ones those nearest the middle."""
    shown, over = list(gaps), sum(gaps) - room
    middle = (len(gaps) - 1) / 2
    least = min(_LEAST, room / len(gaps))
    for index in sorted(range(len(gaps)), key=lambda i: (-gaps[i], abs(i - middle), i)):
        if over <= _NOISE:
            break
        kept = max(min(gaps[index], least), gaps[index] - over)
        over -= gaps[index] - kept
        shown[index] = kept
    return shown
