"""The best plan of a few jobs, found and proved: no order costs less.

On one line orders are built from their beginnings, always the one that can still come out cheapest, until one is
whole. Of two beginnings with the same jobs and the same last one, a later and dearer one is dropped. On two lines
the ways to share the jobs out are tried in the order of their bounds, until no bound is below the best plan.

An earlier end is not always better where jobs have a day that they were planned for, so that such plans are left to
the search that promises nothing.
"""

from __future__ import annotations

from heapq import heappop, heappush
from typing import Final

import numpy as np

from framing.engine.line.lattice import FAR, Lattice, Numbers
from framing.engine.line.model import LineModel, Model

FEW: Final = 12
LINES_MOST: Final = 2
STEPS_MOST: Final = 20_000
"""Beginnings that are taken up in all; a task that needs more is left to the search."""
_Best = tuple[int, list[int]]
"""Cost of some jobs on a line, and their order."""
_NONE: Final[_Best] = (FAR, [])


def decidable(model: Model) -> bool:
    """Whether a task is small enough to be decided."""
    few = 0 < len(model.free) <= FEW and len(model.lines) <= LINES_MOST
    return few and not any(line.planned for line in model.lines) and _dearest(model) < FAR


def _dearest(model: Model) -> int:
    """More than any plan costs: each job as late as can be, the longest change-over before each."""
    late = sum(model.jobs[job].weight for job in model.free) * max(line.clock.minutes for line in model.lines)
    change = model.task.prices.setup_per_minute * max(map(max, model.setups))
    return late + change * len(model.free)


def best_sequences(model: Model) -> list[list[int]] | None:
    """Orders of the jobs of each line that cost least, for a `decidable` task.

    None where that takes too many steps, or no order keeps all pins.
    """
    search = _Search(model)
    if len(model.lines) == 1:
        cost, order = search.best(model.lines[0], (1 << len(model.free)) - 1)
        plan = [order]
    else:
        cost, plan = search.shared()
    return plan if search.left and cost < FAR else None


class _Search:
    """One search; `left` counts down the steps."""

    def __init__(self, model: Model) -> None:
        self.model, self.left = model, STEPS_MOST

    def shared(self) -> tuple[int, list[list[int]]]:
        """The best plan of two lines."""
        one, two = self.model.lines
        alike = (one.rows, one.ready, one.loaded) == (two.rows, two.ready, two.loaded)
        costs = Lattice(self.model, one, self.model.free).so_far()
        others = (costs if alike else Lattice(self.model, two, self.model.free).so_far())[::-1]
        bounds = costs + others
        best: tuple[int, list[list[int]]] = (FAR, [])
        for mine in np.argsort(bounds, kind="stable").tolist():
            if bounds[mine] >= best[0] or not self.left:
                break
            if alike and not mine & 1:
                continue  # the same shares the other way round
            cost, order = self.best(one, mine)
            if cost + int(others[mine]) < best[0]:
                more, other = self.best(one if alike else two, mine ^ (len(bounds) - 1))
                best = min(best, (cost + more, [order, other]), key=lambda found: found[0])
        return best

    def best(self, line: LineModel, chosen: int) -> _Best:
        """The best order of a set of the jobs, all of which the line can take."""
        jobs = [job for bit, job in enumerate(self.model.free) if chosen >> bit & 1]
        return self._ordered(_Way(self.model, line, jobs)) if jobs else (0, [])

    def _ordered(self, way: _Way) -> _Best:
        while way.open and self.left:
            bound, _, index = heappop(way.open)
            if bound >= FAR:
                break
            if way.nodes[index][0] == way.full:
                return way.told(index)
            if way.is_best(index):
                self.left -= 1
                way.go_on(index)
        return _NONE


_Node = tuple[int, int, int, int, int]
"""Jobs done as bits, the last one's index, the minute, the cost, and the node before."""


class _Way:
    """Beginnings of orders of some jobs on a line; `open` are those still to be taken up, cheapest bound first."""

    def __init__(self, model: Model, line: LineModel, jobs: list[int]) -> None:
        self.jobs, self.full = jobs, (1 << len(jobs)) - 1
        self.rows = [row for job in jobs if (row := line.rows[job])]
        self.setups, self.rate = model.setups, model.task.prices.setup_per_minute
        self.loaded = line.loaded
        lattice = Lattice(model, line, jobs)
        self.kinds, self.to_come = lattice.kinds, lattice.to_come()
        self.bits: Numbers = 1 << np.arange(len(jobs))
        self.nodes: list[_Node] = [(0, -1, line.ready, 0, -1)]
        self.open: list[tuple[int, int, int]] = [(0, 0, 0)]
        self.seen: dict[tuple[int, int], list[tuple[int, int]]] = {}

    def is_best(self, index: int) -> bool:
        """Whether nothing since is as early and as cheap with the same jobs and the same last one."""
        done, last, at, cost, _ = self.nodes[index]
        return not done or (at, cost) in self.seen[done, last]

    def go_on(self, index: int) -> None:
        """Add each job that is left to a beginning."""
        done, last, at, cost, _ = self.nodes[index]
        changes = self.setups[self.rows[last][0] if done else self.loaded]
        bounds = self.to_come[done | self.bits, self.kinds].tolist()
        for job, bound in enumerate(bounds):
            if not done >> job & 1:
                self._add(done | 1 << job, job, self._after(job, changes, at, cost), bound, index)

    def _after(self, job: int, changes: list[int], at: int, cost: int) -> tuple[int, int]:
        """Minute and cost after one job more; the cost is FAR where it misses the day it is pinned to."""
        profile, minutes, due, weight, first, after, *_ = self.rows[job]
        begin = max(at + changes[profile], first)
        if begin >= after:
            return 0, FAR
        end = begin + minutes
        return end, cost + self.rate * changes[profile] + weight * max(0, end - due)

    def _add(self, done: int, job: int, after: tuple[int, int], bound: int, before: int) -> None:
        at, cost = after
        front = self.seen.setdefault((done, job), [])
        if cost >= FAR or any(a <= at and c <= cost for a, c in front):
            return
        front[:] = [(a, c) for a, c in front if a < at or c < cost]
        front.append(after)
        self.nodes.append((done, job, at, cost, before))
        heappush(self.open, (cost + bound, -done.bit_count(), len(self.nodes) - 1))

    def told(self, index: int) -> _Best:
        """Cost and order of a whole one."""
        cost, order = self.nodes[index][3], list[int]()
        while index:
            _, last, _, _, before = self.nodes[index]
            order.append(self.jobs[last])
            index = before
        return cost, order[::-1]
