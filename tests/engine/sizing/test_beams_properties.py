"""Beams as properties: equilibrium, superposition, symmetry, and agreement with fine sampling."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import accumulate

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.loads import LineLoad, PointLoad
from framing.engine.method import Method
from framing.engine.sizing.beam_parts import Solution
from framing.engine.sizing.beam_solver import solve
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import analyse
from framing.engine.sizing.patterns import live_patterns

LENGTH = st.floats(30.0, 300.0)
SHARE = st.floats(0.0, 1.0)
LOAD = st.floats(0.1, 20.0)
OVERHANG = st.just(0.0) | st.floats(5.0, 80.0)

Line = tuple[float, float, float, float]


@dataclass(frozen=True)
class Beam:
    """A beam from its first overhang's tip at 0."""

    supports: tuple[float, ...]
    end: float
    lines: tuple[Line, ...]
    points: tuple[tuple[float, float], ...]

    @property
    def solution(self) -> Solution:
        return solve(self.supports, self.lines, self.points, 0.0, self.end)


@st.composite
def beams(draw: st.DrawFn) -> Beam:
    lengths = draw(st.lists(LENGTH, min_size=1, max_size=4))
    supports = tuple(accumulate(lengths, initial=draw(OVERHANG)))
    end = supports[-1] + draw(OVERHANG)
    spread = st.tuples(SHARE, SHARE, LOAD, LOAD).filter(lambda s: abs(s[0] - s[1]) > 0.01)
    lines = [
        (min(a, b) * end, max(a, b) * end, v, w)
        for a, b, v, w in draw(st.lists(spread, min_size=1, max_size=3))
    ]
    points = [(a * end, 50 * p) for a, p in draw(st.lists(st.tuples(SHARE, LOAD), max_size=3))]
    return Beam(supports, end, tuple(lines), tuple(points))


def scale(beam: Beam) -> float:
    """All force on a beam."""
    return sum((v + w) * (b - a) / 2 for a, b, v, w in beam.lines) + sum(p for _, p in beam.points)


@given(beams())
def test_reactions_balance_the_loads(beam: Beam) -> None:
    force = scale(beam)
    turn = sum(p * at for at, p in beam.points)
    for a, b, v, w in beam.lines:
        turn += v * (b - a) * (a + b) / 2 + (w - v) * (b - a) / 2 * (a + 2 * b) / 3
    reactions = beam.solution.reactions_lb
    assert sum(reactions) == pytest.approx(force, rel=1e-9)
    assert sum(r * a for r, a in zip(reactions, beam.supports, strict=True)) == pytest.approx(
        turn, abs=1e-9 * force * beam.end
    )


@given(beams())
def test_turned_round_it_answers_the_same(beam: Beam) -> None:
    end = beam.end
    mirror = Beam(
        tuple(end - s for s in reversed(beam.supports)),
        end,
        tuple((end - b, end - a, w, v) for a, b, v, w in beam.lines),
        tuple((end - at, p) for at, p in beam.points),
    )
    ours, theirs = beam.solution, mirror.solution
    assert theirs.reactions_lb[::-1] == pytest.approx(ours.reactions_lb, abs=1e-8 * scale(beam))
    sags = ours.largest_sags()
    assert theirs.largest_sags()[::-1] == pytest.approx(sags, rel=1e-6, abs=1e-8 * max(sags))


@settings(max_examples=40)
@given(beams())
def test_loads_add_up(beam: Beam) -> None:
    whole = beam.solution
    spread, forces = replace(beam, points=()).solution, replace(beam, lines=()).solution
    size = max(abs(s.moment_lb_in) for s in whole.sections())
    for at in places(beam):
        assert spread.moment_at(at) + forces.moment_at(at) == pytest.approx(
            whole.moment_at(at), abs=1e-8 * size
        )


@settings(max_examples=40)
@given(beams(), st.floats(0.1, 0.9))
def test_a_load_cut_in_two_is_the_same_load(beam: Beam, share: float) -> None:
    a, b, v, w = beam.lines[0]
    middle, value = a + share * (b - a), v + share * (w - v)
    cut = replace(beam, lines=((a, middle, v, value), (middle, b, value, w), *beam.lines[1:]))
    assert cut.solution.reactions_lb == pytest.approx(beam.solution.reactions_lb, abs=1e-8 * scale(beam))
    sags = beam.solution.largest_sags()
    assert cut.solution.largest_sags() == pytest.approx(sags, rel=1e-6, abs=1e-8 * max(sags))


@settings(max_examples=40)
@given(beams())
def test_largest_sag_bounds_every_place_and_is_reached(beam: Beam) -> None:
    solution = beam.solution
    largest = solution.largest_sags()
    size = max(abs(sag) for part in range(len(solution.parts)) for sag in sampled(solution, part))
    for part, most in enumerate(largest):
        found = sampled(solution, part)
        overhang = solution.parts[part] not in solution.spans
        best = max(0.0, *found) if overhang else max(map(abs, found))
        assert best <= most * (1 + 1e-9) + 1e-9 * size
        assert best >= most * 0.99 - 1e-9 * size
    for support in beam.supports:
        assert solution.sag_at(support) == pytest.approx(0.0, abs=1e-9 * size)


@settings(max_examples=40)
@given(beams())
def test_no_place_has_more_moment_than_the_sections_say(beam: Beam) -> None:
    solution = beam.solution
    most = max(abs(section.moment_lb_in) for section in solution.sections())
    assert max(abs(solution.moment_at(at)) for at in places(beam)) <= most * (1 + 1e-9)


@settings(max_examples=25)
@given(beams())
def test_patterns_are_the_model_solved_part_by_part(beam: Beam) -> None:
    """Dead load everywhere and live load on the pattern's parts only, each cut by hand."""
    lines = tuple(LineLoad(a, b, v / 4, v, w / 4, w) for a, b, v, w in beam.lines)
    model = BeamModel(beam.supports, lines, (), low_in=0.0, high_in=beam.end)
    ends = sorted({0.0, *beam.supports, beam.end})
    totals = analyse(model).total
    assert len(totals) == len(live_patterns(len(ends) - 1))
    for solution, pattern in zip(totals, live_patterns(len(ends) - 1), strict=True):
        quarter = [(a, b, v / 4, w / 4) for a, b, v, w in beam.lines]
        live = [clipped(line, ends[part], ends[part + 1]) for part in pattern for line in beam.lines]
        alone = solve(beam.supports, [*quarter, *(line for line in live if line)], [], 0.0, beam.end)
        assert solution.reactions_lb == pytest.approx(alone.reactions_lb, abs=1e-8 * scale(beam))


def clipped(line: Line, low: float, high: float) -> Line | None:
    a, b, v, w = line
    start, stop = max(a, low), min(b, high)
    at = [v + (w - v) * (place - a) / (b - a) for place in (start, stop)]
    return (start, stop, at[0], at[1]) if stop > start else None


@settings(max_examples=25)
@given(beams(), st.sampled_from(Method))
def test_patterns_ask_for_no_less_than_full_load(beam: Beam, method: Method) -> None:
    model = BeamModel(
        beam.supports,
        tuple(LineLoad(a, b, 0.0, v, 0.0, w) for a, b, v, w in beam.lines),
        tuple(PointLoad(at, 0.0, p) for at, p in beam.points),
        low_in=0.0,
        high_in=beam.end,
    )
    demand, full = analyse(model, method), beam.solution
    factor = {Method.ASD: 1.0, Method.LRFD: 1.6, Method.LSD: 1.5}[method]
    sections = full.sections()
    assert demand.moment_lb_in >= factor * max(abs(s.moment_lb_in) for s in sections) * (1 - 1e-9)
    assert demand.shear_lb >= factor * max(abs(s.shear_lb) for s in sections) * (1 - 1e-9)
    assert demand.shear_lb == pytest.approx(max(shear for _, shear in demand.meetings))
    for own, theirs in zip(demand.strength_reactions_lb, full.reactions_lb, strict=True):
        assert own >= factor * theirs - 1e-8 * scale(beam)
    for own, theirs in zip(demand.live_sags, full.largest_sags(), strict=True):
        assert own >= theirs * (1 - 1e-9)


@settings(max_examples=25)
@given(st.lists(LENGTH, min_size=1, max_size=3), st.floats(1.01, 2.0), LOAD)
def test_spans_stretched_alike_bend_by_the_square(lengths: list[float], factor: float, load: float) -> None:
    """One span of several alone may be stretched and bend less: its neighbor's share can fall faster."""

    def moment(spans: list[float]) -> float:
        supports = tuple(accumulate(spans, initial=0.0))
        return analyse(BeamModel(supports, (LineLoad(0.0, supports[-1], 1.0, load),))).moment_lb_in

    stretched = [length * factor for length in lengths]
    assert moment(stretched) == pytest.approx(factor**2 * moment(lengths))


def places(beam: Beam) -> list[float]:
    return [beam.end * k / 60 for k in range(61)]


def sampled(solution: Solution, part: int) -> list[float]:
    return [
        segment.sag_at((segment.high_in - segment.low_in) * k / 50)
        for segment in solution.parts[part]
        for k in range(51)
    ]
