"""A general solver as judge where weight decides: one whole number for each way to fill a bundle.

Formulated apart from the planner and from `judge_cpsat`: pieces of one length and weight are alike for the first three
ranks, so that a plan is how often each filling is used. That leaves so few numbers that every lot is decided.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import combinations_with_replacement

from ortools.sat.python import cp_model

from framing.engine.bundling.costs import Limits, Unit

Kind = tuple[int, int]


def least_ranks(units: Sequence[Unit], limits: Limits) -> tuple[int, int, int]:
    """Short bundles, then broken spreads, then bundles: the least of each, proved, the one before held."""
    short, wide, used = _least(units, limits, by=(0, 1, 2))
    return short, wide, used


def least_count(units: Sequence[Unit], limits: Limits) -> int:
    """The fewest bundles that weight and cap allow, proved, whatever is short or uneven."""
    (used,) = _least(units, limits, by=(2,))
    return used


def _least(units: Sequence[Unit], limits: Limits, by: Sequence[int]) -> list[int]:
    kinds = Counter((unit.length_16, unit.weight_100) for unit in units)
    fillings = _fillings(kinds, limits)
    model = cp_model.CpModel()
    times = [model.new_int_var(0, len(units), "") for _ in fillings]
    for kind, count in kinds.items():
        model.add(
            sum(filling.count(kind) * var for filling, var in zip(fillings, times, strict=True)) == count
        )
    found = []
    for rank in by:
        what = sum(_ranks(filling, limits)[rank] * var for filling, var in zip(fillings, times, strict=True))
        model.minimize(what)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = 60
        assert solver.solve(model) == cp_model.OPTIMAL, "not proved"
        found.append(round(solver.objective_value))
        model.add(what == found[-1])
    return found


def _fillings(kinds: Counter[Kind], limits: Limits) -> list[tuple[Kind, ...]]:
    return [
        filling
        for size in range(1, limits.most + 1)
        for filling in combinations_with_replacement(sorted(kinds), size)
        if size == 1 or sum(weight for _, weight in filling) <= limits.weight_100
        if all(count <= kinds[kind] for kind, count in Counter(filling).items())
    ]


def _ranks(filling: Sequence[Kind], limits: Limits) -> tuple[int, int, int]:
    lengths = [length for length, _ in filling]
    return len(filling) < limits.least, max(lengths) - min(lengths) > limits.spread_16, 1
