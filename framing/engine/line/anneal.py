"""The search: blocks of jobs go elsewhere, worse plans are taken less and less, the best one is kept.

Repeatable: the numbers that it draws follow from the seeds alone, and the count of moves from the task.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

import numpy as np

from framing.engine.line.facts import Advance, GoOn
from framing.engine.line.model import Model
from framing.engine.line.timing import Order

LONGEST_BLOCK: Final = 6
SAME_END: Final = 5
"""That many seeds that come to the same cost, and none to a lower one, are enough."""
HEATS: Final = (0.7, 0.35)
"""Turns are hot and cool by turns: lateness asks for heat, change-overs that must be weighed closely for little."""
_AT_ONCE: Final = 250  # moves between two reports
_SWAPS: Final = 0.3  # share of moves that swap two jobs

Sequences = list[list[int]]
Draw = tuple[float, float, float, float, float]
"""Heat of the move, then four numbers from 0 to 1: which job, how many, beside what, where."""


def search(model: Model, start: Sequences, go_on: GoOn, bound: int = 0) -> tuple[Sequences, bool]:
    """The best sequences found from a start by all seeds, and whether the search was stopped.

    It ends where it comes to `bound`, which no plan goes below.

    Each seed begins at the start. Few jobs take few moves, so that many seeds get a turn, until some agree; many jobs
    are better served by one long turn.
    """
    effort = model.task.effort
    moves = min(12 * len(model.free) ** 2, effort.moves)
    if len(model.free) < 2 or not moves:
        return start, False
    seeds = effort.seeds[: effort.moves // moves]
    best, ends = start, list[int]()
    for count, seed in enumerate(seeds):
        turn = Turn(model, start)
        report = _Report(go_on, count * moves, moves * len(seeds), ends)
        draws = _draws(seed, moves, hottest(model) * HEATS[count % len(HEATS)])
        stopped = not turn.run(draws, report, bound)
        if turn.best < min(ends, default=turn.best + 1):
            best = turn.best_plan
        ends.append(turn.best)
        if stopped or ends.count(min(ends)) == SAME_END or turn.best == bound:
            return best, stopped
    return best, False


def hottest(model: Model) -> float:
    """How much worse a plan may well get at first: the longest change-over, or a usual job all late."""
    jobs = [min(row[1] * row[3] for line in model.lines if (row := line.rows[job])) for job in model.free]
    change = model.task.prices.setup_per_minute * max(map(max, model.setups))
    return max(change, sum(jobs) / len(jobs), 20.0)


class _Report:
    """Tells how far all seeds are."""

    def __init__(self, go_on: GoOn, before: int, of: int, ends: Sequence[int]) -> None:
        self.go_on, self.before, self.of, self.ends = go_on, before, of, ends

    def __call__(self, done: int, cost: int) -> bool:
        return self.go_on(Advance(self.before + done, self.of, min([cost, *self.ends])))


class Turn:
    """One search from a start; `best` and `best_plan` are what it found."""

    def __init__(self, model: Model, start: Sequences) -> None:
        self.model = model
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

    def run(
        self, draws: Iterator[tuple[int, Sequence[Draw]]], report: Callable[[int, int], bool], bound: int
    ) -> bool:
        """Make all moves, or those up to the bound; False if it was told to stop."""
        for made, some in draws:
            if not report(made, self.best):
                return False
            if self.best == bound:
                return True
            for draw in some:
                self._move(draw)
        return True

    def _move(self, draw: Draw) -> None:
        heat, which, many, beside, where = draw
        free = self.model.free
        job = free[int(which * len(free))]
        order = self.order_of[job]
        place = order.seq.index(job)
        if many < _SWAPS:
            self._swap(order, place, free[int(where * len(free))], heat)
            return
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
        elif to < place:
            self._within(order, to, order.seq[place:end] + order.seq[to:place], heat)
        elif to > end:
            self._within(order, place, order.seq[end:to] + order.seq[place:end], heat)

    def _within(self, order: Order, place: int, stretch: list[int], heat: float) -> None:
        """Put a stretch in another order."""
        after = place + len(stretch)
        stand, limit = order.walk(stretch, order.before(place)), order.total + heat
        if order.least_with_rest(after, stand) > limit:
            return
        worse = order.with_rest(after, stand) - order.total
        if worse <= heat:
            order.put(order.seq[:place] + stretch + order.seq[after:], place, len(order.seq) - after)
            self._taken(worse)

    def _between(self, order: Order, place: int, end: int, goal: Order, to: int, heat: float) -> None:
        """Put a block into another line."""
        block = order.seq[place:end]
        if not all(map(goal.rows.__getitem__, block)):
            return
        here, there = order.before(place), goal.walk(block, goal.before(to))
        now = order.total + goal.total
        left = order.with_rest(end, here)
        if left + goal.least_with_rest(to, there) > now + heat:
            return
        worse = left + goal.with_rest(to, there) - now
        if worse <= heat:
            order.put(order.seq[:place] + order.seq[end:], place, len(order.seq) - end)
            goal.put(goal.seq[:to] + block + goal.seq[to:], to, len(goal.seq) - to)
            for job in block:
                self.order_of[job] = goal
            self._taken(worse)

    def _swap(self, order: Order, place: int, other: int, heat: float) -> None:
        """Swap a job with another one, on whatever line that is."""
        job, goal = order.seq[place], self.order_of[other]
        to = goal.seq.index(other)
        if goal is order:
            low, high = sorted((place, to))
            if low != high:
                self._within(order, low, [order.seq[high], *order.seq[low + 1 : high], order.seq[low]], heat)
        elif order.rows[other] and goal.rows[job]:
            here, there = order.walk((other,), order.before(place)), goal.walk((job,), goal.before(to))
            worse = (
                order.with_rest(place + 1, here) + goal.with_rest(to + 1, there) - order.total - goal.total
            )
            if worse <= heat:
                order.put(
                    [*order.seq[:place], other, *order.seq[place + 1 :]], place, len(order.seq) - place - 1
                )
                goal.put([*goal.seq[:to], job, *goal.seq[to + 1 :]], to, len(goal.seq) - to - 1)
                self.order_of[job], self.order_of[other] = goal, order
                self._taken(worse)

    def _taken(self, worse: int) -> None:
        self.cost += worse
        if self.cost < self.best:
            self.best, self.best_plan = self.cost, [order.seq for order in self.orders]


def _draws(seed: int, moves: int, heat: float) -> Iterator[tuple[int, Sequence[Draw]]]:
    """Moves made so far, and the numbers for the next ones."""
    numbers = np.random.RandomState(seed)  # the one generator whose numbers never change between releases
    for made in range(0, moves, _AT_ONCE):
        count = min(_AT_ONCE, moves - made)
        drawn = numbers.random_sample((count, 5))
        cooling = (made + np.arange(count)) / moves
        # a move that is worse by d is taken with a chance of exp(-d / heat), heat falling to a tenth
        drawn[:, 0] = -np.log1p(-drawn[:, 0]) * heat * 0.1**cooling
        yield made, [tuple(row) for row in drawn.tolist()]
