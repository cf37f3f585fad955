"""The search: blocks of jobs go elsewhere, worse plans are taken less and less, the best one is kept.

Repeatable: the numbers that it draws follow from the seed alone, and the count of moves from the task.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from framing.engine.line.facts import Advance, GoOn
from framing.engine.line.model import Model
from framing.engine.line.timing import Order

LONGEST_BLOCK: Final = 6
_AT_ONCE: Final = 250  # moves between two reports

Sequences = list[list[int]]
Draw = tuple[float, float, float, float, float]
"""Heat of the move, then four numbers from 0 to 1: which job, how many, beside what, where."""


def moves_for(model: Model) -> int:
    """Moves of one seed: as many as the task says, else by the number of jobs."""
    told = model.task.effort.moves_per_seed
    return told if told is not None else min(250 * len(model.free), 40_000)


class Search:
    """One seed's search from a start, which is the best plan of the seeds before it."""

    def __init__(self, model: Model, start: Sequences, seed: int) -> None:
        self.model, self.seed = model, seed
        prices = model.task.prices
        self.orders = [
            Order(line, model.setups, prices, seq) for line, seq in zip(model.lines, start, strict=True)
        ]
        self.order_of = {job: self.orders[line] for line, seq in enumerate(start) for job in seq}
        mates: dict[int, list[int]] = {}
        for job in model.free:
            mates.setdefault(model.profile_of[job], []).append(job)
        self.mates = {job: mates[model.profile_of[job]] for job in model.free}
        self.cost = self.best = sum(order.total for order in self.orders)
        self.best_plan = [order.seq for order in self.orders]

    def run(self, go_on: GoOn, done: int) -> bool:
        """Make all moves, `done` having been made by earlier seeds. False if it was told to stop."""
        moves = moves_for(self.model)
        of = moves * len(self.model.task.effort.seeds)
        for made, draws in _draws(self.seed, moves, self._hottest()):
            if not go_on(Advance(done + made, of, self.best)):
                return False
            for draw in draws:
                self._move(draw)
        return True

    def _hottest(self) -> float:
        """How much worse a plan may well get at first: the longest change-over."""
        return float(max(self.model.task.prices.setup_per_minute * max(map(max, self.model.setups)), 20))

    def _move(self, draw: Draw) -> None:
        heat, which, many, beside, where = draw
        free = self.model.free
        job = free[int(which * len(free))]
        order = self.order_of[job]
        place = order.seq.index(job)
        end = min(place + 1 + int(many * many * LONGEST_BLOCK), len(order.seq))
        if beside < 0.5:  # beside a job of the same profile
            mates = self.mates[job]
            mate = mates[int(where * len(mates))]
            goal = self.order_of[mate]
            to = goal.seq.index(mate) + (beside < 0.25)
        else:
            goal = self.orders[int((beside - 0.5) * 2 * len(self.orders))]
            to = int(where * (len(goal.seq) + 1))
        if goal is not order:
            self._between(order, place, end, goal, to, heat)
        elif not place <= to <= end:
            self._within(order, place, end, to, heat)

    def _within(self, order: Order, place: int, end: int, to: int, heat: float) -> None:
        seq = order.seq
        if to < place:
            first, stretch, after = to, seq[place:end] + seq[to:place], end
        else:
            first, stretch, after = place, seq[end:to] + seq[place:end], to
        stand, limit = order.walk(stretch, order.before(first)), order.total + heat
        if order.least_with_rest(after, stand) > limit:
            return
        worse = order.with_rest(after, stand) - order.total
        if worse <= heat:
            order.put(seq[:first] + stretch + seq[after:], first)
            self._taken(worse)

    def _between(self, order: Order, place: int, end: int, goal: Order, to: int, heat: float) -> None:
        block = order.seq[place:end]
        if not all(map(goal.rows.__getitem__, block)):
            return
        here, there = order.before(place), goal.walk(block, goal.before(to))
        now = order.total + goal.total
        if order.least_with_rest(end, here) + goal.least_with_rest(to, there) > now + heat:
            return
        left = order.with_rest(end, here)
        if left + goal.least_with_rest(to, there) > now + heat:
            return
        worse = left + goal.with_rest(to, there) - now
        if worse <= heat:
            order.put(order.seq[:place] + order.seq[end:], place)
            goal.put(goal.seq[:to] + block + goal.seq[to:], to)
            for job in block:
                self.order_of[job] = goal
            self._taken(worse)

    def _taken(self, worse: int) -> None:
        self.cost += worse
        if self.cost < self.best:
            self.best, self.best_plan = self.cost, [order.seq for order in self.orders]


def _draws(seed: int, moves: int, hottest: float) -> Iterator[tuple[int, Sequence[Draw]]]:
    """Moves made so far, and the numbers for the next ones."""
    numbers = np.random.RandomState(seed)  # the one generator whose numbers never change between releases
    for made in range(0, moves, _AT_ONCE):
        count = min(_AT_ONCE, moves - made)
        drawn = numbers.random_sample((count, 5))
        cooling = (made + np.arange(count)) / moves
        # a move that is worse by d is taken with a chance of exp(-d / heat), heat falling to 1
        drawn[:, 0] = -np.log1p(-drawn[:, 0]) * hottest ** (1 - cooling)
        yield made, [tuple(row) for row in drawn.tolist()]
