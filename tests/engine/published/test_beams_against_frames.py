"""Judge: 200 made-up beams against a 3-D frame package (PyNiteFEA): direct stiffness there, three moments here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from Pynite import FEModel3D

from framing.engine.sizing.beam_parts import Solution
from framing.engine.sizing.beam_solver import solve

CASES = 200
SEED = 20240611
TOLERANCE = 1e-8  # of the largest figure of its kind on the beam


STIFFNESS = 1e6  # of the frame's members; I = 1

Line = tuple[float, float, float, float]


@dataclass(frozen=True)
class Beam:
    """A beam with its loads; `low` and `high` are its ends, at the outer supports or beyond."""

    supports: tuple[float, ...]
    low: float
    high: float
    lines: tuple[Line, ...]
    points: tuple[tuple[float, float], ...]


def made_up(number: int) -> Beam:
    """One to four spans, an overhang on every second end, even, straight and point loads anywhere on it."""
    draw = np.random.default_rng([SEED, number])
    spans = draw.uniform(40.0, 300.0, 1 + number % 4)
    supports = np.concatenate(([0.0], np.cumsum(spans)))
    low = -draw.uniform(10.0, 80.0) if number // 4 % 2 else 0.0
    high = supports[-1] + (draw.uniform(10.0, 80.0) if number // 8 % 2 else 0.0)
    even = draw.uniform(0.5, 10.0)
    lines = [(low, high, even, even)]
    for _ in range(draw.integers(0, 3)):
        a, b = np.sort(draw.uniform(low, high, 2))
        lines.append((a, b, *draw.uniform(0.0, 20.0, 2)))
    points = [(at, draw.uniform(50.0, 2000.0)) for at in draw.uniform(low, high, draw.integers(0, 4))]
    return Beam(tuple(supports), low, high, tuple(lines), tuple(points))


def solved(beam: Beam) -> Solution:
    return solve(beam.supports, beam.lines, beam.points, beam.low, beam.high)


def framed(beam: Beam) -> FEModel3D:
    """The same beam with nodes at supports and ends.

    Straight loads are cut at the nodes here: the package's own cutting changes a sloping load that runs over
    two nodes (its reactions then do not add up to the load).
    """
    frame = FEModel3D()
    frame.add_material("steel", STIFFNESS, STIFFNESS / 2.6, 0.3, 0.0)
    frame.add_section("unit", 1.0, 1.0, 1.0, 1.0)
    places = sorted({beam.low, *beam.supports, beam.high})
    for place in places:
        frame.add_node(str(place), place, 0.0, 0.0)
    frame.add_member("beam", str(places[0]), str(places[-1]), "steel", "unit")
    for i, place in enumerate(beam.supports):
        frame.def_support(str(place), i == 0, True, True, i == 0, False, False)
    for line in beam.lines:
        for a, b, w0, w1 in cut(line, places):
            frame.add_member_dist_load("beam", "FY", -w0, -w1, a - beam.low, b - beam.low)
    for at, force in beam.points:
        frame.add_member_pt_load("beam", "FY", -force, at - beam.low)
    frame.analyze_linear(sparse=False)
    return frame


def cut(line: Line, places: list[float]) -> list[Line]:
    """A straight load as one for each stretch between two places."""
    a, b, w0, w1 = line
    ends = [a, *(place for place in places if a < place < b), b]
    values = np.interp(ends, (a, b), (w0, w1)).tolist()
    return list(zip(ends[:-1], ends[1:], values[:-1], values[1:], strict=True))


@pytest.mark.parametrize("number", range(CASES))
def test_a_beam_answers_as_in_a_frame_package(number: int) -> None:
    beam = made_up(number)
    ours, frame = solved(beam), framed(beam)
    member = frame.members["beam"]
    places = np.linspace(beam.low, beam.high, 14)[1:-1]  # no place of a point load
    reactions = [frame.nodes[str(place)].RxnFY["Combo 1"] for place in beam.supports]
    for own, theirs in (
        (ours.reactions_lb, reactions),
        ([ours.moment_at(x) for x in places], [-member.moment("Mz", x - beam.low) for x in places]),
        ([ours.shears_at(x)[0] for x in places], [member.shear("Fy", x - beam.low) for x in places]),
        (
            [ours.sag_at(x) for x in places],
            [-STIFFNESS * member.deflection("dy", x - beam.low) for x in places],
        ),
    ):
        assert own == pytest.approx(theirs, rel=0, abs=TOLERANCE * max(map(abs, theirs)))


def test_the_made_up_beams_are_of_every_kind() -> None:
    beams = [made_up(number) for number in range(CASES)]
    kinds = {(len(b.supports), b.low < 0, b.high > b.supports[-1]) for b in beams}
    assert len(kinds) == 16
    assert sum(len(b.lines) > 1 for b in beams) > 50
    assert sum(bool(b.points) for b in beams) > 50
