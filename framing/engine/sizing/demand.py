"""What a member must carry: dead load with each live-load pattern, as envelopes that serve any profile.

Live load is set on the patterns that are worst for uniform load: all spans, alternate spans, and for each
inner support its two spans and every second one beyond.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from framing.engine.sizing.beams import BeamModel, Section, Solution, solve


@dataclass(frozen=True, slots=True)
class Demand:
    """Envelope over all patterns of one beam; every figure grows in step with the loads.

    Attributes:
        supports_in, spans_in: positions of the supports, lengths between them.
        total: one solution for each pattern, dead and live.
        sections: places with moment and shear, of all patterns.
        live_sags, total_sags: largest deflection of each span, as E x I x inches (lb-in3).
        reactions_lb: (dead, largest live) at each support.
        stepped: whether there is an inner support or a point load, where high moment and shear meet.
    """

    supports_in: tuple[float, ...]
    spans_in: tuple[float, ...]
    total: tuple[Solution, ...]
    sections: tuple[Section, ...]
    live_sags: tuple[float, ...]
    total_sags: tuple[float, ...]
    reactions_lb: tuple[tuple[float, float], ...]
    stepped: bool

    @property
    def moment_lb_in(self) -> float:
        return max(abs(section.moment_lb_in) for section in self.sections)

    @property
    def shear_lb(self) -> float:
        return max(abs(section.shear_lb) for section in self.sections)

    def shear_at_lb(self, at_in: float) -> float:
        """Largest shear of any pattern at a place."""
        return max(solution.shear_at_lb(at_in) for solution in self.total)


def analyse(model: BeamModel) -> Demand:
    """Solve a member for dead load, and for live load on each pattern alone and with the dead load."""
    supports = model.supports_in
    count = len(supports) - 1
    dead = _solve(model, live=None, dead=True)
    lives = [_solve(model, live=pattern, dead=False) for pattern in live_patterns(count)]
    totals = tuple(_solve(model, live=pattern, dead=True) for pattern in live_patterns(count))
    return Demand(
        supports_in=supports,
        spans_in=tuple(b - a for a, b in pairwise(supports)),
        total=totals,
        sections=tuple(section for solution in totals for section in solution.sections()),
        live_sags=_largest([solution.largest_sags() for solution in lives]),
        total_sags=_largest([solution.largest_sags() for solution in totals]),
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


def _largest(rows: list[tuple[float, ...]]) -> tuple[float, ...]:
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
