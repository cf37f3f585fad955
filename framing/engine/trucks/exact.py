"""The exact model: whether all things go on given trucks (CP-SAT, within a fixed number of its own steps).

A thing lies on another one or stands on a lane; each carries one at most; levels and heights grow by what is added, and
what stands on a lane adds up to the deck at most; where some take several lanes each has a stretch of its own. One
worker and a limit in the solver's own measure: equal input gives equal plans on any machine.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum
from typing import TYPE_CHECKING

from framing.engine.trucks.model import Frame, Model, by_lane
from framing.engine.trucks.packing import Load, Pile, new_load

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, CpSolver, IntervalVar


class Answer(Enum):
    """Whether the things go on the trucks."""

    FOUND = "found"
    IMPOSSIBLE = "impossible"
    OPEN = "open"


def solve(model: Model, frames: Sequence[Frame], limit: float) -> tuple[Answer, list[Load]]:
    """Loads that hold all things on these trucks, if the solver finds some within its limit."""
    from ortools.sat.python import cp_model  # it takes a while to load, and most plans never ask it

    cp = cp_model.CpModel()
    asked = _Asked(cp, model, frames)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = limit
    status = solver.solve(cp)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Answer.FOUND, asked.loads(solver)
    return (Answer.IMPOSSIBLE if status == cp_model.INFEASIBLE else Answer.OPEN), []


class _Asked:
    """The question in the solver's terms."""

    def __init__(self, cp: CpModel, model: Model, frames: Sequence[Frame]) -> None:
        self.cp, self.model, self.frames = cp, model, frames
        self.count = len(model.things)
        self.on = {
            (i, j): cp.new_bool_var("")
            for i in range(self.count)
            for j in range(self.count)
            if self._may_lie(i, j)
        }
        self.rides = [[cp.new_bool_var("") for _ in frames] for _ in range(self.count)]
        self.base = {
            (i, t, lane): cp.new_bool_var("")
            for i in range(self.count)
            for t, frame in enumerate(frames)
            if frame.carries[i]
            for lane in by_lane(frame, i)
        }
        self.x = {
            (i, t): cp.new_int_var(0, frame.deck - frame.lengths[i], "")
            for i in range(self.count)
            for t, frame in enumerate(frames)
            if max(frame.needs) > 1
        }
        self._places()
        self._stacks()
        self._trucks()

    def _may_lie(self, i: int, j: int) -> bool:
        """Whether thing i may lie on thing j somewhere. Of equal ones the later lies on the earlier."""
        model = self.model
        upper, lower = model.things[i], model.things[j]
        if i == j or upper.own_place or not model.bears[j]:
            return False
        if model.lengths[i] > model.lengths[j] or model.stops[i] > model.stops[j]:
            return False
        if not any(frame.needs[i] <= frame.needs[j] for frame in self.frames):
            return False
        equal = all(
            values[i] == values[j]
            for values in (model.lengths, model.stops, model.bears, *(f.needs for f in self.frames))
        )
        return not (equal and upper.own_place == lower.own_place and i < j)

    def _places(self) -> None:
        """Each thing lies on one other or stands on one lane, on one truck; each carries one at most."""
        cp, each = self.cp, range(self.count)
        for i in each:
            stands = [var for (k, _, _), var in self.base.items() if k == i]
            cp.add_exactly_one([*stands, *(var for (k, _), var in self.on.items() if k == i)])
            cp.add_at_most_one([var for (_, k), var in self.on.items() if k == i])
            cp.add_exactly_one(self.rides[i])
        for (i, t, _), var in self.base.items():
            cp.add_implication(var, self.rides[i][t])
        for (i, j), var in self.on.items():
            for t, frame in enumerate(self.frames):
                if frame.needs[i] > frame.needs[j]:
                    cp.add_bool_or([~var, ~self.rides[i][t]])
                cp.add_bool_or([~var, ~self.rides[j][t], self.rides[i][t]])
                cp.add_bool_or([~var, ~self.rides[i][t], self.rides[j][t]])

    def _stacks(self) -> None:
        """Levels and heights from the deck up; tiers that a thing bears from the top down."""
        cp, model = self.cp, self.model
        most = max(frame.kind.tiers for frame in self.frames)
        high = max(frame.kind.stack_height_16 for frame in self.frames)
        level = [cp.new_int_var(1, most, "") for _ in range(self.count)]
        top = [cp.new_int_var(model.heights[i], high, "") for i in range(self.count)]
        above = [cp.new_int_var(0, min(most, bears), "") for bears in model.bears]
        for (i, j), var in self.on.items():
            cp.add(level[i] >= level[j] + 1).only_enforce_if(var)
            cp.add(top[i] >= top[j] + model.heights[i]).only_enforce_if(var)
            cp.add(above[j] >= above[i] + 1).only_enforce_if(var)
        for t, frame in enumerate(self.frames):
            for i in range(self.count):
                if not frame.carries[i]:
                    cp.add(self.rides[i][t] == 0)
                    continue
                if frame.kind.tiers < most:
                    cp.add(level[i] <= frame.kind.tiers).only_enforce_if(self.rides[i][t])
                if frame.kind.stack_height_16 < high:
                    cp.add(top[i] <= frame.kind.stack_height_16).only_enforce_if(self.rides[i][t])

    def _trucks(self) -> None:
        """Payload, length of each lane; no more in all than lanes times tiers or height."""
        cp, model = self.cp, self.model
        for t, frame in enumerate(self.frames):
            rides = [self.rides[i][t] for i in range(self.count)]
            cp.add(sum(w * var for w, var in zip(model.weights, rides, strict=True)) <= frame.payload_100)
            for lane in range(frame.lanes):
                stands = [
                    (frame.lengths[i], var)
                    for (i, truck, first), var in self.base.items()
                    if truck == t and first <= lane < first + frame.needs[i]
                ]
                cp.add(sum(length * var for length, var in stands) <= frame.deck)
            if max(frame.needs) > 1:
                self._apart(t, frame)
            area = [length * needs for length, needs in zip(frame.lengths, frame.needs, strict=True)]
            room = frame.deck * frame.lanes
            cp.add(sum(a * var for a, var in zip(area, rides, strict=True)) <= room * frame.kind.tiers)
            volume = [a * height for a, height in zip(area, model.heights, strict=True)]
            cp.add(
                sum(v * var for v, var in zip(volume, rides, strict=True))
                <= room * frame.kind.stack_height_16
            )
        self._alike()

    def _apart(self, t: int, frame: Frame) -> None:
        """Where things over several lanes stand beside others the sum is not enough: each has its own stretch."""
        by_lane: list[list[IntervalVar]] = [[] for _ in range(frame.lanes)]
        for (i, truck, first), var in self.base.items():
            if truck == t:
                start = self.x[i, t]
                stretch = self.cp.new_optional_fixed_size_interval_var(start, frame.lengths[i], var, "")
                for lane in range(first, first + frame.needs[i]):
                    by_lane[lane].append(stretch)
        for stretches in by_lane:
            self.cp.add_no_overlap(stretches)

    def _alike(self) -> None:
        """Trucks that are all of one kind are alike: the n-th thing goes on one of the first n."""
        if len(set(map(id, self.frames))) == 1:
            for t in range(len(self.frames)):
                for i in range(min(t, self.count)):
                    self.cp.add(self.rides[i][t] == 0)

    def loads(self, solver: CpSolver) -> list[Load]:
        """The answer as loads."""
        loads = [new_load(frame) for frame in self.frames]
        above = {j: i for (i, j), var in self.on.items() if solver.boolean_value(var)}
        for (i, t, lane), var in self.base.items():
            if solver.boolean_value(var):
                needs = self.frames[t].needs[i]
                x = solver.value(self.x[i, t]) if (i, t) in self.x else 0
                pile = Pile(i, lane, needs, self.model.lengths[i], self.model.stops[i], 0, 0, x)
                while (top := above.get(pile.things[-1])) is not None:
                    pile.things.append(top)
                loads[t].piles.append(pile)
        return loads
