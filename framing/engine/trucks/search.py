"""Orders in which things are loaded: fixed ones first, then changed ones on fewer trucks (R47).

Repeatable: the numbers that are drawn follow from fixed seeds, how many from the number of things.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

import numpy as np

from framing.engine.trucks.model import Frame, Model
from framing.engine.trucks.packing import Load, Packing, new_load, pack, put
from framing.engine.trucks.stacking import by_stacks

SEEDS: Final = (1, 2, 3, 4)
_AT_ONCE: Final = 50  # orders between two reports
_WORK: Final = 60_000  # things laid in all: large loads take longer by the order, and gain less
_FAR: Final = 4  # times as many orders, and its cube as many things laid
_WORSE: Final = 0.1  # now and then an order that leaves so much more behind is gone on from
_SELDOM: Final = 0.05
_Draw = tuple[float, float, float, float]


def five_orders(model: Model) -> tuple[list[int], ...]:
    """Last stop and longest first; longest first; heaviest; largest by the stop; highest by the stop."""
    each = range(len(model.things))
    lengths, stops, weights, heights = model.lengths, model.stops, model.weights, model.heights
    keys: tuple[Callable[[int], tuple[int, ...]], ...] = (
        lambda i: (-stops[i], -lengths[i], -weights[i], i),
        lambda i: (-lengths[i], -stops[i], -weights[i], i),
        lambda i: (-weights[i], -lengths[i], i),
        lambda i: (-stops[i], -lengths[i] * heights[i], i),
        lambda i: (-stops[i], -heights[i], -lengths[i], i),
    )
    return tuple(sorted(each, key=key) for key in keys)


def best_of_fixed(model: Model, enough: int) -> Packing:
    """The packing with the fewest trucks by the five orders and by stacks, the first of equals.

    Stops at `enough` trucks.
    """
    best: Packing | None = None
    for packing in _fixed(model):
        best = packing if best is None else min(best, packing, key=lambda p: p.score)
        if best.score <= (0, enough):
            return best
    return best or Packing()


def _fixed(model: Model) -> Iterator[Packing]:
    """Packings that nothing is drawn for, one after another as they are asked for."""
    yield from (pack(model, order) for order in five_orders(model))
    yield from by_stacks(model)


def onto(
    model: Model, frames: Sequence[Frame], tries: int, go_on: Callable[[int, int], bool], *, far: bool = False
) -> list[Load] | None:
    """All things on these trucks by changed orders; None if no order does it, or `go_on` says stop.

    Each seed begins at one of the five orders and changes it: a thing that was left behind goes earlier, one goes
    elsewhere, two change places. An order that leaves no more behind is gone on from. `far` tries more: for a plan that
    is more than a truck above its bound.
    """
    orders = five_orders(model)
    most, work = (tries * _FAR, _WORK * _FAR**3) if far else (tries, _WORK)
    steps = max(1, min(most, work // len(model.things)) // len(SEEDS))
    for turn, seed in enumerate(SEEDS):
        attempt = _Attempt(model, frames, orders[seed % len(orders)])
        for made, draws in _draws(seed, steps):
            if not attempt.left:
                return attempt.loads
            if not go_on(turn * steps + made, steps * len(SEEDS)):
                return None
            for draw in draws:
                attempt.change(draw)
        if not attempt.left:
            return attempt.loads
    return None


class _Attempt:
    """An order, and what it leaves behind on the given trucks."""

    def __init__(self, model: Model, frames: Sequence[Frame], order: list[int]) -> None:
        self.model, self.frames, self.order = model, frames, order
        self.rest, self.left, self.loads = self._loaded(order, float("inf"))

    def change(self, draw: _Draw) -> None:
        """Try one changed order, unless all things have found their place."""
        if not self.left:
            return
        order, count = list(self.order), len(self.order)
        what, which, where, luck = draw
        if what < 0.5:
            index = self.left[int(which * len(self.left))]
            place = order.index(index)
            del order[place]
            order.insert(int(where * place), index)
        elif what < 0.75:
            order.insert(int(where * count), order.pop(int(which * count)))
        else:
            low, high = int(which * count), int(where * count)
            order[low], order[high] = order[high], order[low]
        limit = self.rest * (1 + _WORSE if luck < _SELDOM else 1)
        rest, left, loads = self._loaded(order, limit)
        if rest <= limit:
            self.order, self.rest, self.left, self.loads = order, rest, left, loads

    def _loaded(self, order: Sequence[int], limit: float) -> tuple[float, list[int], list[Load]]:
        """What is left behind (length times height), which things that is, and the loads; gives up over the limit."""
        model, rest = self.model, 0.0
        loads, left = [new_load(frame) for frame in self.frames], list[int]()
        for index in order:
            if not any(put(model, load, index) for load in loads):
                left.append(index)
                rest += model.lengths[index] * model.heights[index]
                if rest > limit:
                    break
        return rest, left, loads


def _draws(seed: int, steps: int) -> Iterator[tuple[int, list[_Draw]]]:
    """Orders tried so far, and the numbers for the next ones."""
    numbers = np.random.RandomState(seed)  # the one generator whose numbers never change between releases
    for made in range(0, steps, _AT_ONCE):
        drawn = numbers.random_sample((min(_AT_ONCE, steps - made), 4))
        yield made, [(a, b, c, d) for a, b, c, d in drawn.tolist()]
