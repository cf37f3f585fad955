"""A general solver as judge of truck plans of one kind of truck and bundles of one lane's width.

Formulated apart from the planner: stacks are slots, each with a thing that opens it; a thing goes into the slot of one
that is as long and comes off no earlier; slots go on the lanes of the trucks.
"""

from __future__ import annotations

from dataclasses import dataclass
from time import process_time

from ortools.sat.python import cp_model

from framing.engine.trucks.facts import LoadTask


@dataclass(frozen=True)
class Verdict:
    """Whether the things go on so many trucks (None: not decided), and the processor's seconds for that."""

    possible: bool | None
    seconds: float


def judge(task: LoadTask, trucks: int, effort_s: float) -> Verdict:
    """One thread; the limit counts the solver's own steps, about as many as a second of the processor makes."""
    began = process_time()
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_deterministic_time = effort_s
    status = solver.solve(_model(task, trucks))
    possible = {cp_model.OPTIMAL: True, cp_model.FEASIBLE: True, cp_model.INFEASIBLE: False}.get(status)
    return Verdict(possible, process_time() - began)


def _model(task: LoadTask, trucks: int) -> cp_model.CpModel:
    """opens[i]: i lies on the deck; joins[i, j]: i is in the stack that j opens; at[i, s]: that stack is on lane s.

    Within a stack of chosen things they lie longest down and last stop down; that works when no two of them cross:
    one longer and coming off earlier than the other.
    """
    kind = task.kinds[0]
    lanes = kind.deck_width_16 // max(thing.width_16 for thing in task.things)
    things, cp = task.things, cp_model.CpModel()
    each = range(len(things))
    slots = range(trucks * lanes)
    keys = [(thing.length_16, thing.stop) for thing in things]
    below = {
        (i, j)
        for i in each
        for j in each
        if keys[i][0] <= keys[j][0] and keys[i][1] <= keys[j][1] and (keys[i] != keys[j] or i > j)
    }
    opens = [cp.new_bool_var("") for _ in each]
    joins = {pair: cp.new_bool_var("") for pair in below}
    at = {(i, s): cp.new_bool_var("") for i in each for s in slots}
    on = {(i, t): cp.new_bool_var("") for i in each for t in range(trucks)}
    for i in each:
        cp.add_exactly_one([opens[i], *(var for (k, _), var in joins.items() if k == i)])
        cp.add(sum(at[i, s] for s in slots) == opens[i])
        cp.add_exactly_one(on[i, t] for t in range(trucks))
        inside = [(k, var) for (k, j), var in joins.items() if j == i]
        cp.add(sum(var for _, var in inside) <= (kind.tiers - 1) * opens[i])
        heights = [(things[k].height_16 + task.dunnage.height_16) * var for k, var in inside]
        own = things[i].height_16 + task.dunnage.height_16
        cp.add(sum(heights) + own <= kind.stack_height_16)
        for t in range(trucks):
            cp.add(sum(at[i, s] for s in slots if s // lanes == t) <= on[i, t])
            for k, var in inside:
                cp.add_implication(on[i, t], on[k, t]).only_enforce_if(var)
        for k, var in inside:
            for m, other in inside:
                if k < m and (k, m) not in below and (m, k) not in below:
                    cp.add_bool_or([~var, ~other])
    for s in slots:
        cp.add(sum(things[i].length_16 * at[i, s] for i in each) <= kind.deck_length_16)
    for t in range(trucks):
        cp.add(sum(things[i].weight_100 * on[i, t] for i in each) <= kind.payload_100)
    return cp
