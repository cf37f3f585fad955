"""What a member must carry: dead load with each live-load pattern, as envelopes that serve any profile.

Strength figures are factored by the design method, deflections are of unfactored loads. Every figure grows in
step with the loads.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from framing.engine.method import Method
from framing.engine.sizing.beam_parts import Solution
from framing.engine.sizing.beams import BeamModel, check_model
from framing.engine.sizing.demand_parts import (
    LoadPlace,
    NegativeRegion,
    load_places,
    negative_regions,
    worst_pairs,
)
from framing.engine.sizing.patterns import Factored, PatternedLoads, strength_cases

__all__ = ["Demand", "LoadPlace", "NegativeRegion", "analyse"]


@dataclass(frozen=True, slots=True)
class Demand:
    """Envelope over all patterns of one beam; sizes are positive.

    Attributes:
        supports_in, spans_in: positions of the supports, lengths between them.
        limit_spans_in: length that a deflection limit divides, for each part from low to high: a span's own,
            twice an overhang's (IBC Table 1604.3, note i).
        total: one solution for each live-load pattern with the dead load, unfactored.
        strength: one solution for each factored case.
        moment_lb_in, shear_lb: the largest of each, anywhere, factored.
        meetings: factored (moment, shear) that act together and that no other place has both larger.
        live_sags, total_sags: largest deflection of each part, as E x I x inches (lb-in3), unfactored.
        reactions_lb: (dead, largest live) at each support, unfactored.
        stepped: whether there is an inner support, an overhang or a point load, where high moment and shear meet.
        positive_moment_lb_in: largest moment with the top flange in compression, factored.
        negative: stretches with the bottom flange in compression, of all patterns, those that can rule.
        uplift_lb, strength_reactions_lb: largest factored pull and push at each support, 0 where there is none.
        places: forces on the web at supports and point loads.
        top_free_in: longest stretch of top flange that nothing holds; 0 where the sheathing holds all of it.
    """

    supports_in: tuple[float, ...]
    spans_in: tuple[float, ...]
    limit_spans_in: tuple[float, ...]
    total: tuple[Solution, ...]
    strength: tuple[Solution, ...]
    moment_lb_in: float
    shear_lb: float
    meetings: tuple[tuple[float, float], ...]
    live_sags: tuple[float, ...]
    total_sags: tuple[float, ...]
    reactions_lb: tuple[tuple[float, float], ...]
    stepped: bool
    positive_moment_lb_in: float
    negative: tuple[NegativeRegion, ...]
    uplift_lb: tuple[float, ...]
    strength_reactions_lb: tuple[float, ...]
    places: tuple[LoadPlace, ...]
    top_free_in: float = 0.0

    @property
    def ends_in(self) -> tuple[float, float]:
        """Where the member ends: tips of overhangs, else the outer supports."""
        parts = self.strength[0].parts
        return parts[0][0].low_in, parts[-1][-1].high_in

    @property
    def overhangs_in(self) -> tuple[float, ...]:
        """Lengths of the overhangs, the low one first."""
        low, high = self.ends_in
        return tuple(length for length in (self.supports_in[0] - low, high - self.supports_in[-1]) if length)

    def tip_rules(self, sags: tuple[float, ...]) -> bool:
        """Whether of these deflections of parts an overhang's is the worst for its length."""
        sag, limit_span = self._worst(sags)
        worst = list(zip(sags, self.limit_spans_in, strict=True)).index((sag, limit_span))
        low, high = self.ends_in
        first, last = low < self.supports_in[0], high > self.supports_in[-1]
        return (first and worst == 0) or (last and worst == len(sags) - 1)

    @property
    def live_sag(self) -> tuple[float, float]:
        """(deflection, length the limit divides) of the part that live load bends most for its length."""
        return self._worst(self.live_sags)

    @property
    def total_sag(self) -> tuple[float, float]:
        """(deflection, length the limit divides) of the part that all load bends most for its length."""
        return self._worst(self.total_sags)

    def _worst(self, sags: tuple[float, ...]) -> tuple[float, float]:
        return max(zip(sags, self.limit_spans_in, strict=True), key=lambda pair: pair[0] / pair[1])

    def shear_at_lb(self, at_in: float) -> float:
        """Largest factored shear of any pattern at a place, from both sides where it steps; 0 off the member."""
        return max(solution.shear_at_lb(at_in) for solution in self.strength)

    def moment_at_lb_in(self, at_in: float) -> float:
        """Largest factored moment of any pattern at a place, whichever flange it compresses; 0 off the member."""
        return max(abs(solution.moment_at(at_in)) for solution in self.strength)

    def hole_figures(self, holes_in: Sequence[float], length_in: float) -> tuple[float, float] | None:
        """Largest factored (shear in lb, moment in lb-in) at holes; None where there are none.

        Args:
            holes_in: centers of the holes on the member's axis.
            length_in: length of each hole; both edges are looked at, and between them where a moment peaks.
        """
        if not holes_in:
            return None
        half = length_in / 2
        edges = [edge for hole in holes_in for edge in (hole - half, hole + half)]
        shear = max(self.shear_at_lb(edge) for edge in edges)
        moment = max(self.moment_at_lb_in(edge) for edge in edges)
        peaks = (s.peak_between(hole - half, hole + half) for s in self.strength for hole in holes_in)
        return shear, max(moment, *peaks)


@lru_cache(maxsize=2048)
def analyse(model: BeamModel, method: Method = Method.ASD) -> Demand:
    """Solve a member for dead load, for live load on each pattern, and for both, factored and unfactored.

    Kept for equal models: most joists of a floor are one model. Raises LoadRefused (`check_model`).
    """
    check_model(model)
    loads = PatternedLoads(model)
    cases = strength_cases(loads.parts, method)
    dead, lives = loads.solve_dead(), loads.solve_lives()
    both = {pattern: dead.plus(1.0, live, 1.0) for pattern, live in lives.items()}
    strength = tuple(_factored(case, dead, lives, both) for case in cases)
    sections = [section for solution in strength for section in solution.sections()]
    meetings = worst_pairs((abs(moment), abs(shear)) for _, moment, shear in sections)
    reactions = list(zip(*(solution.reactions_lb for solution in strength), strict=True))
    live_reactions = zip(*(solution.reactions_lb for solution in lives.values()), strict=True)
    spans = tuple(b - a for a, b in pairwise(model.supports_in))
    return Demand(
        supports_in=model.supports_in,
        spans_in=spans,
        limit_spans_in=_limit_spans(model, spans),
        total=tuple(both.values()),
        strength=strength,
        moment_lb_in=meetings[0][0],
        shear_lb=meetings[-1][1],
        meetings=meetings,
        live_sags=_largest(lives.values()),
        total_sags=_largest(both.values()),
        reactions_lb=tuple(zip(dead.reactions_lb, map(max, live_reactions), strict=True)),
        stepped=loads.parts > 1 or bool(model.points),
        positive_moment_lb_in=max(moment for _, moment, _ in sections),
        negative=negative_regions(model, strength, meetings[0][0]) if loads.parts > 1 else (),
        uplift_lb=tuple(max(0.0, -min(row)) for row in reactions),
        strength_reactions_lb=tuple(max(0.0, *row) for row in reactions),
        places=load_places(model, cases, strength, loads),
        top_free_in=model.top_free_in,
    )


def _factored(
    case: Factored,
    dead: Solution,
    lives: Mapping[frozenset[int], Solution],
    both: Mapping[frozenset[int], Solution],
) -> Solution:
    """A factored case from what is solved already; `both` where its factors are 1."""
    if case.dead == case.live == 1.0:
        return both[case.parts]
    return dead.plus(case.dead, lives.get(case.parts, dead), case.live)


def _limit_spans(model: BeamModel, spans: tuple[float, ...]) -> tuple[float, ...]:
    low, high = model.ends_in
    overhangs = (model.supports_in[0] - low, high - model.supports_in[-1])
    return (
        *(2 * length for length in overhangs[:1] if length),
        *spans,
        *(2 * length for length in overhangs[1:] if length),
    )


def _largest(solutions: Iterable[Solution]) -> tuple[float, ...]:
    rows = [solution.largest_sags() for solution in solutions]
    return tuple(max(column) for column in zip(*rows, strict=True))
