"""Live load set part by part on a member: overhangs and spans in a row, each loaded or not.

By the shape of influence lines the worst sets are: all parts, every second one, the two beside a support with
every second one beyond, and what each of these leaves out.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import cache

from framing.engine.loads import combination_where_dead_helps, combinations
from framing.engine.method import Method
from framing.engine.sizing.beam_parts import Solution
from framing.engine.sizing.beam_solver import Grid, Loading, solve_loading
from framing.engine.sizing.beams import BeamModel


@dataclass(frozen=True, slots=True)
class Factored:
    """A load case: factors on dead load and on live load, and the parts that carry live load."""

    dead: float
    live: float
    parts: frozenset[int]


@cache
def live_patterns(parts: int) -> tuple[frozenset[int], ...]:
    """Sets of part indexes that carry live load together, all of them first; see the module's text."""
    every = frozenset(range(parts))
    found = [every, frozenset(range(0, parts, 2)), frozenset(range(1, parts, 2))]
    for right in range(1, parts):
        pair = frozenset(range(right - 1, -1, -2)) | frozenset(range(right, parts, 2))
        found += [pair, every - pair]
    return tuple(dict.fromkeys(pattern for pattern in found if pattern))


class PatternedLoads:
    """A model's loads on one grid, dead and live apart, ready to be solved in any case."""

    __slots__ = ("_dead", "_live", "_part_of_place", "_part_of_segment", "grid")

    def __init__(self, model: BeamModel) -> None:
        steps = [place for line in model.lines for place in (line.low_in, line.high_in)]
        steps += [point.at_in for point in model.points]
        self.grid = grid = Grid(model.supports_in, model.low_in, model.high_in, steps)
        self._dead, self._live = Loading(grid), Loading(grid)
        for line in model.lines:
            self._dead.add_line(line.low_in, line.high_in, *line.dead_ends_lb_in)
            self._live.add_line(line.low_in, line.high_in, *line.live_ends_lb_in)
        for point in model.points:
            self._dead.add_point(point.at_in, point.dead_lb)
            self._live.add_point(point.at_in, point.live_lb)
        self._part_of_segment = grid.parts_of_segments()
        self._part_of_place = [0, *self._part_of_segment]  # a support belongs to the part it ends

    @property
    def parts(self) -> int:
        """Overhangs and spans together."""
        return len(self.grid.cuts) - 1

    def live_factor(self, case: Factored, at_in: float) -> float:
        """Factor on the live part of a point load at a place of the grid."""
        index = bisect_left(self.grid.places, at_in)
        return case.live if self._part_of_place[index] in case.parts else 0.0

    def solve_dead(self) -> Solution:
        """Dead load alone, unfactored."""
        return solve_loading(self._dead)

    def solve_lives(self) -> dict[frozenset[int], Solution]:
        """Live load alone on each pattern, unfactored: each part solved once, patterns added up."""
        if self.parts == 1:
            return {frozenset({0}): solve_loading(self._live)}
        alone = [self._solve_part(part) for part in range(self.parts)]
        return {
            pattern: _added([alone[part] for part in sorted(pattern)])
            for pattern in live_patterns(self.parts)
        }

    def _solve_part(self, part: int) -> Solution:
        live, loading = self._live, Loading(self.grid)
        for k, own in enumerate(self._part_of_segment):
            if own == part:
                loading.loads[k], loading.rises[k] = live.loads[k], live.rises[k]
        for k, own in enumerate(self._part_of_place):
            if own == part:
                loading.forces[k] = live.forces[k]
        return solve_loading(loading)


def _added(solutions: list[Solution]) -> Solution:
    total = solutions[0]
    for solution in solutions[1:]:
        total = total.plus(1.0, solution, 1.0)
    return total


@cache
def strength_cases(parts: int, method: Method) -> tuple[Factored, ...]:
    """Factored cases of a member, no two the same.

    On one span without overhangs dead load never helps, and D alone never rules where D + L is among them.
    """
    wanted = list(combinations(method))
    if parts > 1:
        wanted.append(combination_where_dead_helps(method))
    elif method is Method.ASD:
        wanted = wanted[1:]
    cases = [
        Factored(one.dead, one.live, pattern)
        for one in wanted
        for pattern in (live_patterns(parts) if one.live else (frozenset(),))
    ]
    return tuple(dict.fromkeys(cases))
