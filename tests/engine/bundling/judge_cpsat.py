"""A general solver as judge: the best plan of a lot of pieces by the ranks of R33 and R35, and what it could prove.

Formulated apart from the planner: x[i, b] says that piece i lies in bundle b; bundles are ordered by their first
pieces, so piece i opens no bundle later than i. Ranks are solved one after the other, each held while the next is
made least: short bundles, bundles over the spread, bundles, cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ortools.sat.python import cp_model

from framing.engine.bundling.costs import Limits, Unit

RANKS = ("short", "wide", "bundles", "cost")


@dataclass(frozen=True)
class Verdict:
    """Values of the ranks in their order as far as they are proved to be the least; the first unproved ends it."""

    proved: tuple[int, ...]
    bound: int

    @property
    def whole(self) -> bool:
        return len(self.proved) == len(RANKS)


def judge(
    units: Sequence[Unit],
    plan: Sequence[Sequence[Unit]],
    limits: Limits,
    *,
    effort_s: float,
    ranks: int = len(RANKS),
) -> Verdict:
    """The least value of each of the first `ranks` ranks, with the plan as hint; one thread.

    The limit counts the solver's own steps, about as many as a second of the processor makes: a busy machine proves
    the same cases as an idle one.
    """
    model = _Model(units, plan, limits)
    proved: list[int] = []
    bound = 0
    for name in RANKS[:ranks]:
        objective = model.ranks[name]
        model.cp.minimize(objective)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = effort_s
        status = solver.solve(model.cp)
        bound = round(solver.best_objective_bound)
        if status != cp_model.OPTIMAL:
            break
        proved.append(round(solver.objective_value))
        model.cp.add(objective == proved[-1])
        model.hint_from(solver)
    return Verdict(tuple(proved), bound)


class _Model:
    def __init__(self, units: Sequence[Unit], plan: Sequence[Sequence[Unit]], limits: Limits) -> None:
        self.cp, self.units, self.limits = cp_model.CpModel(), sorted(units), limits
        many = len(plan) + 2  # two more than the plan to be judged: enough to spare short or wide ones
        self.x = [
            [self.cp.new_bool_var("") if bundle <= piece else None for bundle in range(min(many, len(units)))]
            for piece in range(len(units))
        ]
        for row in self.x:
            self.cp.add_exactly_one([var for var in row if var is not None])
        parts = [self._bundle(index) for index in range(min(many, len(units)))]
        self.ranks = {name: sum(part[name] for part in parts) for name in RANKS}
        self._symmetry(parts)
        self._hint(plan)

    def _bundle(self, index: int) -> dict[str, cp_model.LinearExprT]:
        """Limits of one bundle, and what it adds to each rank."""
        cp, limits, units = self.cp, self.limits, self.units
        inside = [(units[i], row[index]) for i, row in enumerate(self.x) if row[index] is not None]
        used, size = cp.new_bool_var(""), cp.new_int_var(0, limits.most, "")
        cp.add(size == sum(var for _, var in inside))
        cp.add(size >= used)
        cp.add(size <= limits.most * used)
        light = [(unit, var) for unit, var in inside if unit.weight_100 <= limits.weight_100]
        cp.add(sum(unit.weight_100 * var for unit, var in light) <= limits.weight_100)
        for unit, var in inside:
            if unit.weight_100 > limits.weight_100:
                cp.add(size == 1).only_enforce_if(var)
        short, missing = cp.new_bool_var(""), cp.new_int_var(0, limits.least, "")
        cp.add(size >= limits.least * used - limits.least * short)
        cp.add(size <= limits.least - 1).only_enforce_if(short)
        cp.add(missing >= limits.least - size).only_enforce_if(short)
        cp.add(short <= used)
        spread, wide = self._reach([(u.length_16, var) for u, var in inside], used), cp.new_bool_var("")
        cp.add(spread <= limits.spread_16).only_enforce_if(~wide)
        cp.add(spread >= limits.spread_16 + 1).only_enforce_if(wide)
        reach = self._reach([(u.place, var) for u, var in inside], used)
        cost = spread + 64 * (reach - size + used) + 1600 * short + 800 * missing
        return {"short": short, "wide": wide, "bundles": used, "cost": cost}

    def _reach(self, values: list[tuple[int, cp_model.IntVar]], used: cp_model.IntVar) -> cp_model.IntVar:
        """Largest less least value of the pieces inside; 0 where there are none."""
        low, high = min(value for value, _ in values), max(value for value, _ in values)
        least, most = self.cp.new_int_var(low, high, ""), self.cp.new_int_var(low, high, "")
        for value, var in values:
            self.cp.add(least <= value).only_enforce_if(var)
            self.cp.add(most >= value).only_enforce_if(var)
        reach = self.cp.new_int_var(0, high - low, "")
        self.cp.add(reach == most - least).only_enforce_if(used)
        self.cp.add(reach == 0).only_enforce_if(~used)
        return reach

    def _symmetry(self, parts: list[dict[str, cp_model.LinearExprT]]) -> None:
        """Used bundles come first, and a piece opens bundle b only where an earlier piece opened b - 1."""
        for before, after in pairwise(parts):
            self.cp.add(before["bundles"] >= after["bundles"])
        for piece, row in enumerate(self.x):
            for bundle, var in enumerate(row):
                if bundle and var is not None:
                    earlier = [self.x[i][bundle - 1] for i in range(piece)]
                    self.cp.add(sum(e for e in earlier if e is not None) >= var)

    def _hint(self, plan: Sequence[Sequence[Unit]]) -> None:
        ordered = sorted(sorted(bundle) for bundle in plan)
        place = {unit.place: index for index, bundle in enumerate(ordered) for unit in bundle}
        for unit, row in zip(self.units, self.x, strict=True):
            for bundle, var in enumerate(row):
                if var is not None:
                    self.cp.add_hint(var, place[unit.place] == bundle)

    def hint_from(self, solver: cp_model.CpSolver) -> None:
        values = [(var, solver.value(var)) for row in self.x for var in row if var is not None]
        self.cp.clear_hints()
        for var, value in values:
            self.cp.add_hint(var, value)
