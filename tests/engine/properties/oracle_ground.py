"""The oracle's ground: outlines and bays cut by joist lines in exact numbers, sharing no code with the engine.

Everything is a Fraction of a sixteenth, in the bay's own frame: across away from the start edge, along as the plan.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, getcontext
from fractions import Fraction
from math import floor

from framing.engine.floor import Bay, FloorPlan
from framing.engine.geometry import Point

getcontext().prec = 50


def nearest(value: Fraction) -> int:
    return floor(value + Fraction(1, 2))


def slant(rise: Fraction) -> Fraction:
    """Length along a line per unit across, to fifty digits."""
    square = 1 + rise * rise
    return Fraction((Decimal(square.numerator) / Decimal(square.denominator)).sqrt())


@dataclass(frozen=True)
class Bound:
    """A line that joists meet: where at `across`, how much it rises per unit across, which outline edge it is."""

    across: Fraction
    along: Fraction
    rise: Fraction
    edge: int | None

    def at(self, across: Fraction | int) -> Fraction:
        return self.along + self.rise * (across - self.across)


@dataclass(frozen=True)
class Stretch:
    """Floor of one bay under a joist line."""

    low: Bound
    high: Bound

    def shares(self, low: Fraction, high: Fraction) -> bool:
        return self.low.along < high and low < self.high.along


@dataclass(frozen=True)
class Rim:
    """Outline along the joists: its place across, whether the floor lies before it, from, to, and its edge."""

    place: Fraction
    before: bool
    low: Fraction
    high: Fraction
    edge: int


class NoAnswer(Exception):
    """The rules leave this floor open."""


Segment = tuple[Fraction, Fraction, Fraction, Fraction, int | None]


class Ground:
    """One bay in its frame."""

    def __init__(self, plan: FloorPlan, bay: Bay) -> None:
        self.plan, self.bay = plan, bay
        self.start = Fraction(0)
        ring = bay.ring or plan.outline
        self.start = min(self._edges_of_ground(plan.outline, ring))
        self.outline = self._segments(plan.outline, numbered=True)
        self.ring = self._segments(ring, numbered=not bay.ring)
        self.far = max(u for _, _, u, _, _ in (*self.outline, *self.ring))

    def frame(self, point: Point) -> tuple[Fraction, Fraction]:
        u, v = (point.x_16, point.y_16) if self.bay.axis == "y" else (point.y_16, point.x_16)
        return Fraction(-u if self.bay.start == "high" else u) - self.start, Fraction(v)

    def plan_across(self, across: Fraction | int) -> Fraction:
        raw = across + self.start
        return -raw if self.bay.start == "high" else raw

    def _edges_of_ground(self, outline: Sequence[Point], ring: Sequence[Point]) -> Iterator[Fraction]:
        """Where ground begins and ends: at corners, and where outline and ring cross."""
        self.outline = self._segments(outline, numbered=True)
        self.ring = self._segments(ring, numbered=False)
        places = {u for a, _, b, _, _ in (*self.outline, *self.ring) for u in (a, b)}
        for a in self.outline:
            for b in self.ring:
                places |= set(crossing(a, b))
        yield from (u for u in places if self.scan(u))

    def _segments(self, ring: Sequence[Point], *, numbered: bool) -> list[Segment]:
        found: list[Segment] = []
        corners = [self.frame(p) for p in ring]
        for index, (a, b) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True)):
            (ua, va), (ub, vb) = sorted((a, b))
            found.append((ua, va, ub, vb, index if numbered else None))
        return found

    def scan(self, across: Fraction | int, way: int = 1) -> list[Stretch]:
        """Ground just after a place across (just before it with way -1), low to high."""
        floors = _pairs(self.outline, Fraction(across), way)
        bays = _pairs(self.ring, Fraction(across), way)
        found = []
        for a, b in floors:
            for c, d in bays:
                low = max((a, c), key=lambda x: (x.along, way * x.rise, x.edge is not None))
                high = min((b, d), key=lambda x: (x.along, way * x.rise, x.edge is None))
                if (low.along, way * low.rise) < (high.along, way * high.rise):
                    found.append(Stretch(low, high))
        return found

    def holds(self, across: int) -> bool:
        """Whether there is any ground of the bay at a place across; a shifted joist may stand beyond a border."""
        return bool(self.scan(across) or self.scan(across, -1))

    def rims(self) -> Iterator[Rim]:
        """Outline along the joists with this bay's floor beside it."""
        for ua, va, ub, vb, edge in self.outline:
            if ua != ub:
                continue
            for way in (-1, 1):
                for stretch in self.scan(ua, way):
                    low, high = max(va, stretch.low.along), min(vb, stretch.high.along)
                    beyond = any(s.shares(low, high) for s in self.scan_floor(ua, -way))
                    if low < high and not beyond:
                        assert edge is not None
                        yield Rim(ua, way < 0, low, high, edge)

    def scan_floor(self, across: Fraction | int, way: int) -> list[Stretch]:
        return [Stretch(a, b) for a, b in _pairs(self.outline, Fraction(across), way)]


def _pairs(segments: Sequence[Segment], across: Fraction, way: int) -> list[tuple[Bound, Bound]]:
    met = []
    for ua, va, ub, vb, edge in segments:
        if (ua <= across < ub) if way > 0 else (ua < across <= ub):
            rise = Fraction(vb - va) / (ub - ua)
            met.append(Bound(across, va + rise * (across - ua), rise, edge))
    met.sort(key=lambda b: (b.along, way * b.rise))
    return list(zip(met[::2], met[1::2], strict=True))


def crossing(a: Segment, b: Segment) -> list[Fraction]:
    """Where two segments cross, across; none for parallel ones (their ends tell)."""
    (x1, y1, x2, y2, _), (x3, y3, x4, y4, _) = a, b
    whole = (x2 - x1) * (y4 - y3) - (y2 - y1) * (x4 - x3)
    if whole == 0:
        return []
    s = ((x3 - x1) * (y4 - y3) - (y3 - y1) * (x4 - x3)) / whole
    t = ((x3 - x1) * (y2 - y1) - (y3 - y1) * (x2 - x1)) / whole
    return [x1 + s * (x2 - x1)] if 0 <= s <= 1 and 0 <= t <= 1 else []
