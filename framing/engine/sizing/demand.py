"""What a member must carry: dead load with each live-load pattern, as envelopes that serve any profile.

Live load is set on the patterns that are worst for uniform load: all spans, alternate spans, and for each
inner support its two spans and every second one beyond.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from math import inf
from typing import Literal

from framing.engine.sizing.beams import BeamModel, Section, Solution, solve


@dataclass(frozen=True, slots=True)
class NegativeRegion:
    """A stretch between braces with its bottom flange in compression, under one load pattern.

    Attributes:
        moment_lb_in: largest moment there, as a positive size.
        unbraced_in: from the support or brace to the next one, the point of inflection or the free end.
        cb: factor for the moment's shape (AISI S100-16 F2.1.1), 1 on an overhang.
        at_in: where that moment is.
    """

    moment_lb_in: float
    unbraced_in: float
    cb: float
    at_in: float


@dataclass(frozen=True, slots=True)
class LoadPlace:
    """A force on the web: a support's reaction or a point load, with the moment it meets.

    Attributes:
        at_in: place; force_lb, moment_lb_in: factored sizes of one load pattern.
        kind, index: which support or which point load of the model.
        edge_in: from the place to the nearer end of the member.
        opposed_in: from the place to the nearest force from the other side; infinity where there is none.
    """

    at_in: float
    force_lb: float
    moment_lb_in: float
    kind: Literal["support", "load"]
    index: int
    edge_in: float
    opposed_in: float = inf


@dataclass(frozen=True, slots=True)
class Demand:
    """Envelope over all patterns of one beam; every figure grows in step with the loads.

    Attributes:
        supports_in, spans_in: positions of the supports, lengths between them.
        total: one solution for each pattern, dead and live.
        moment_lb_in, shear_lb: the largest of each, anywhere.
        meetings: (moment, shear) that act together and that no other place has both larger, of all patterns.
        live_sags, total_sags: largest deflection of each span, as E x I x inches (lb-in3).
        reactions_lb: (dead, largest live) at each support.
        stepped: whether there is an inner support or a point load, where high moment and shear meet.
    """

    supports_in: tuple[float, ...]
    spans_in: tuple[float, ...]
    total: tuple[Solution, ...]
    moment_lb_in: float
    shear_lb: float
    meetings: tuple[tuple[float, float], ...]
    live_sags: tuple[float, ...]
    total_sags: tuple[float, ...]
    reactions_lb: tuple[tuple[float, float], ...]
    stepped: bool
    positive_moment_lb_in: float = 0.0
    negative: tuple[NegativeRegion, ...] = ()
    uplift_lb: tuple[float, ...] = ()
    strength_reactions_lb: tuple[float, ...] = ()
    places: tuple[LoadPlace, ...] = ()

    @property
    def live_sag(self) -> tuple[float, float]:
        """(deflection, span) of the span that live load bends most for its length."""
        return self._worst(self.live_sags)

    @property
    def total_sag(self) -> tuple[float, float]:
        """(deflection, span) of the span that all load bends most for its length."""
        return self._worst(self.total_sags)

    def _worst(self, sags: tuple[float, ...]) -> tuple[float, float]:
        return max(zip(sags, self.spans_in, strict=True), key=lambda pair: pair[0] / pair[1])

    def shear_at_lb(self, at_in: float) -> float:
        """Largest shear of any pattern at a place."""
        return max(solution.shear_at_lb(at_in) for solution in self.total)

    def shear_at_holes_lb(self, holes_in: Sequence[float], length_in: float) -> float | None:
        """Largest shear at either edge of any hole of that length; None where there are no holes."""
        half = length_in / 2
        edges = (edge for hole in holes_in for edge in (hole - half, hole + half))
        return max((self.shear_at_lb(edge) for edge in edges), default=None)


@lru_cache(maxsize=2048)
def analyse(model: BeamModel) -> Demand:
    """Solve a member for dead load, and for live load on each pattern alone and with the dead load.

    Kept for equal models: most joists of a floor are one model.
    """
    supports = model.supports_in
    count = len(supports) - 1
    dead = _solve(model, live=None, dead=True)
    lives = [_solve(model, live=pattern, dead=False) for pattern in live_patterns(count)]
    totals = tuple(_solve(model, live=pattern, dead=True) for pattern in live_patterns(count))
    meetings = _meetings([section for solution in totals for section in solution.sections()])
    return Demand(
        supports_in=supports,
        spans_in=tuple(b - a for a, b in pairwise(supports)),
        total=totals,
        moment_lb_in=meetings[0][0],
        shear_lb=meetings[-1][1],
        meetings=meetings,
        live_sags=_largest(lives),
        total_sags=_largest(totals),
        reactions_lb=tuple(
            (dead.reactions_lb[i], max(solution.reactions_lb[i] for solution in lives))
            for i in range(len(supports))
        ),
        stepped=count > 1 or bool(model.points),
    )


def live_patterns(spans: int) -> tuple[frozenset[int], ...]:
    """Sets of span indexes that carry live load together; see the module's text."""
    found = [
        frozenset(range(spans)),
        frozenset(range(0, spans, 2)),
        frozenset(range(1, spans, 2)),
    ]
    found += [
        frozenset(range(right - 1, -1, -2)) | frozenset(range(right, spans, 2)) for right in range(1, spans)
    ]
    return tuple(dict.fromkeys(pattern for pattern in found if pattern))


def _meetings(sections: Sequence[Section]) -> tuple[tuple[float, float], ...]:
    """Sizes of moment and shear at the places that can govern, falling moment and rising shear."""
    found: list[tuple[float, float]] = []
    for moment, shear in sorted({(abs(s.moment_lb_in), abs(s.shear_lb)) for s in sections}, reverse=True):
        if not found or shear > found[-1][1]:
            found.append((moment, shear))
    return tuple(found)


def _largest(solutions: Sequence[Solution]) -> tuple[float, ...]:
    rows = [solution.largest_sags() for solution in solutions]
    return tuple(max(column) for column in zip(*rows, strict=True))


def _solve(model: BeamModel, *, live: frozenset[int] | None, dead: bool) -> Solution:
    """One pattern; a live line is cut at the supports so that each span takes its own part."""
    supports = model.supports_in
    lines: list[tuple[float, float, float]] = []
    points: list[tuple[float, float]] = []
    if dead:
        lines += [(line.low_in, line.high_in, line.dead_lb_in) for line in model.lines]
        points += [(point.at_in, point.dead_lb) for point in model.points]
    for i in sorted(live or ()):
        low, high = supports[i], supports[i + 1]
        lines += [(max(n.low_in, low), min(n.high_in, high), n.live_lb_in) for n in model.lines]
        points += [(p.at_in, p.live_lb) for p in model.points if _in_span(supports, i, p.at_in)]
    return solve(supports, lines, points)


def _in_span(supports: tuple[float, ...], index: int, at_in: float) -> bool:
    """Whether a point belongs to a span; one over a support belongs to the span it ends."""
    first = index == 0 and at_in == supports[0]
    return first or supports[index] < at_in <= supports[index + 1]
