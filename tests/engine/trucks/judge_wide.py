"""A general solver as judge of truck plans with things over several lanes, for one kind of truck.

Formulated apart from the planner: a stack is whatever its bottom opens; bottoms are boxes of whole lanes by sixteenths
on a truck's deck, no two of which meet.
"""

from __future__ import annotations

from time import process_time

from ortools.sat.python import cp_model

from framing.engine.trucks.facts import LoadTask, Thing
from tests.engine.trucks.judge_cpsat import Verdict


def judge_wide(task: LoadTask, trucks: int, effort_s: float) -> Verdict:
    """One thread; the limit counts the solver's own steps, about as many as a second of the processor makes."""
    began = process_time()
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = effort_s
    status = solver.solve(_Boxes(task, trucks).cp)
    possible = {cp_model.OPTIMAL: True, cp_model.FEASIBLE: True, cp_model.INFEASIBLE: False}.get(status)
    return Verdict(possible, process_time() - began)


class _Boxes:
    """opens[i]: i lies on the deck; joins[i, j]: i is in the stack that j opens; on[i, t]: it rides on truck t.

    Within a stack things lie longest, widest and last stop down; what bears more lies below its equals.
    """

    def __init__(self, task: LoadTask, trucks: int) -> None:
        self.task, self.kind, self.trucks = task, task.kinds[0], range(trucks)
        self.things = sorted(task.things, key=lambda t: -self._bears(t))
        self.lanes = self.kind.deck_width_16 // task.lane_width_16
        self.wide = [-(-t.width_16 * self.lanes // self.kind.deck_width_16) for t in self.things]
        self.cp, self.each = cp_model.CpModel(), range(len(self.things))
        self.below = {(i, j) for i in self.each for j in self.each if i != j and self._may_lie(i, j)}
        self.opens = [self.cp.new_bool_var("") for _ in self.each]
        self.joins = {(i, j): self.cp.new_bool_var("") for i, j in self.below if not self.things[i].own_place}
        self.on = [[self.cp.new_bool_var("") for _ in self.trucks] for _ in self.each]
        self._stacks()
        self._decks()

    def _bears(self, thing: Thing) -> int:
        return self.kind.tiers if thing.bears is None else thing.bears

    def _key(self, i: int) -> tuple[int, int, int]:
        return self.things[i].length_16, self.things[i].stop, self.wide[i]

    def _may_lie(self, i: int, j: int) -> bool:
        upper, lower = self._key(i), self._key(j)
        return all(a <= b for a, b in zip(upper, lower, strict=True)) and (upper != lower or i > j)

    def _high(self, i: int) -> int:
        return self.things[i].height_16 + self.task.dunnage.height_16

    def _stacks(self) -> None:
        cp, joins = self.cp, self.joins
        for i in self.each:
            cp.add_exactly_one([self.opens[i], *(var for (k, _), var in joins.items() if k == i)])
            cp.add_exactly_one(self.on[i])
            inside = [(k, var) for (k, j), var in joins.items() if j == i]
            cp.add(sum(var for _, var in inside) <= (self.kind.tiers - 1) * self.opens[i])
            cp.add(sum(var for _, var in inside) <= self._bears(self.things[i]))
            cp.add(sum(self._high(k) * var for k, var in inside) + self._high(i) <= self.kind.stack_height_16)
            for k, var in inside:
                self._in_stack(i, k, var, inside)

    def _in_stack(
        self, i: int, k: int, var: cp_model.IntVar, inside: list[tuple[int, cp_model.IntVar]]
    ) -> None:
        """A thing in the stack that i opens: same truck, none that crosses it, no more on it than it bears."""
        for t in self.trucks:
            self.cp.add_implication(self.on[i][t], self.on[k][t]).only_enforce_if(var)
        for m, other in inside:
            if k < m and (k, m) not in self.below and (m, k) not in self.below:
                self.cp.add_bool_or([~var, ~other])
        over = [other for m, other in inside if (m, k) in self.below]
        if self._bears(self.things[k]) < self.kind.tiers:
            self.cp.add(sum(over) <= self._bears(self.things[k])).only_enforce_if(var)

    def _decks(self) -> None:
        cp, deck = self.cp, self.kind.deck_length_16
        for t in self.trucks:
            along, across, area = [], [], []
            for i, thing in enumerate(self.things):
                here = cp.new_bool_var("")
                cp.add_bool_and([self.opens[i], self.on[i][t]]).only_enforce_if(here)
                cp.add_bool_or([here, ~self.opens[i], ~self.on[i][t]])
                x = cp.new_int_var(0, deck - thing.length_16, "")
                lane = cp.new_int_var(0, self.lanes - self.wide[i], "")
                along.append(cp.new_optional_fixed_size_interval_var(x, thing.length_16, here, ""))
                across.append(cp.new_optional_fixed_size_interval_var(lane, self.wide[i], here, ""))
                area.append(thing.length_16 * self.wide[i] * here)
            cp.add_no_overlap_2d(along, across)
            cp.add_cumulative(along, self.wide, self.lanes)
            cp.add(sum(area) <= deck * self.lanes)
            loads = [self.things[i].weight_100 * self.on[i][t] for i in self.each]
            cp.add(sum(loads) <= self.kind.payload_100)
