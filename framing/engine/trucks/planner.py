"""Truck plans: fixed orders, then changed orders on a truck fewer, then the exact model for it (R47)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from framing.engine.trucks.bound import bound_of
from framing.engine.trucks.exact import Answer, solve
from framing.engine.trucks.facts import Advance, GoOn, LoadTask, always
from framing.engine.trucks.layout import truck_of
from framing.engine.trucks.model import Frame, Model
from framing.engine.trucks.packing import Load, new_load, put
from framing.engine.trucks.plan import Bound, Outcome, TrucksPlan
from framing.engine.trucks.search import best_of_fixed, five_orders, onto

TRUCKS_MOST: Final = 8
"""The exact model is not asked for more trucks: it would not decide."""
FEWER: Final = 4
"""Where some things take several lanes so much fewer orders are tried: more of them found nothing more."""


def plan_trucks(task: LoadTask, go_on: GoOn = always) -> Outcome:
    """The fewest trucks that the search finds; what no truck has room for is told in `plan.left`.

    Equal input gives an equal plan, in whatever order the things come in. `go_on` is told how far it is and may stop
    the search, but not within the exact model's few seconds: the best plan so far is the answer.

    Raises:
        TrucksRefused: facts that no plan can be made from, such as a thing that no kind of truck can carry.
    """
    model = Model(task)
    bound = bound_of(model)
    if not model.things:
        return Outcome(TrucksPlan(), bound, fewest=True, words="Nothing to load.")
    search = _Search(model, bound, go_on)
    search.run()
    loads = _on_smaller(model, search.loads)
    trucks = tuple(truck_of(model, load, number) for number, load in enumerate(loads, start=1))
    plan = TrucksPlan(trucks, tuple(sorted(model.things[i].id for i in search.left)))
    words = _words(model, bound, search)
    return Outcome(plan, bound, search.fewest, words, search.stopped)


class _Search:
    """The best loads so far, and what is known of fewer trucks."""

    def __init__(self, model: Model, bound: Bound, go_on: GoOn) -> None:
        self.model, self.bound, self.go_on = model, bound, go_on
        packing = best_of_fixed(model, bound.trucks)
        self.loads, self.left = packing.loads, packing.left
        self.stopped = not go_on(Advance("orders", 1, 1, len(self.loads)))
        self.proved = False

    @property
    def goal(self) -> int:
        """How many trucks to try: all that there are where things were left behind, else one fewer."""
        return self.model.available if self.left else len(self.loads) - 1

    @property
    def fewest(self) -> bool:
        """Whether fewer trucks are out of the question.

        An exact no holds for the largest trucks: so for one kind of truck.
        """
        if self.left:
            return False
        return len(self.loads) <= self.bound.trucks or self.proved

    def run(self) -> None:
        """Go on as long as a try succeeds and the bound leaves room."""
        while not self.stopped and (self.left or len(self.loads) > self.bound.trucks):
            found = self._tried(self.model.largest(self.goal))
            if found is None:
                return
            self.loads, self.left = [load for load in found if load.piles], []

    def _tried(self, frames: Sequence[Frame]) -> list[Load] | None:
        effort = self.model.task.effort
        found = None
        if effort.tries:
            far = len(frames) > self.bound.trucks
            wide = any(max(frame.needs) > 1 for frame in frames)
            tries = effort.tries if far or not wide else -(-effort.tries // FEWER)
            found = onto(self.model, frames, tries, self._report, far=far)
        if found is not None or self.stopped or not self._may_ask(frames):
            return found
        self.stopped = not self.go_on(Advance("exact", 0, 1, len(self.loads)))
        if self.stopped:
            return None
        answer, loads = solve(self.model, frames, effort.exact)
        self.proved = answer is Answer.IMPOSSIBLE and len(self.model.frames) == 1
        return loads if answer is Answer.FOUND else None

    def _may_ask(self, frames: Sequence[Frame]) -> bool:
        """Whether the exact model is worth asking."""
        effort = self.model.task.effort
        few = len(self.model.things) <= effort.exact_most and len(frames) <= TRUCKS_MOST
        return effort.exact > 0 and few

    def _report(self, done: int, of: int) -> bool:
        self.stopped = not self.go_on(Advance("tries", done, of, len(self.loads)))
        return not self.stopped


def _on_smaller(model: Model, loads: Sequence[Load]) -> list[Load]:
    """Each load on the smallest truck that still carries it, the last load first."""
    result = list(loads)
    for place in range(len(result) - 1, -1, -1):
        for frame in reversed(model.frames[model.frames.index(result[place].frame) + 1 :]):
            if sum(load.frame is frame for load in result) < frame.count:
                again = _all_on(model, result[place], frame)
                if again is not None:
                    result[place] = again
                    break
    return result


def _all_on(model: Model, load: Load, frame: Frame) -> Load | None:
    """A load's things on one truck of another kind, if one of the five orders does it."""
    mine = {index for pile in load.piles for index in pile.things}
    for order in five_orders(model):
        smaller = new_load(frame)
        if all(put(model, smaller, index) for index in order if index in mine):
            return smaller
    return None


def _words(model: Model, bound: Bound, search: _Search) -> str:
    count = len(search.loads)
    term = next(term for term in bound.terms if term.name == bound.binding)
    words = f"{_trucks(count)}; no plan takes fewer than {bound.trucks} ({term.name}: {term.words})."
    if search.left:
        names = [model.things[index].name for index in sorted(search.left)]
        rest = f" and {len(names) - 6} more" if len(names) > 6 else ""
        first = ", ".join(names[:6])
        return (
            f"{words} No truck has room for {first}{rest}: add a truck, or leave them for another delivery."
        )
    if count > bound.trucks:
        fewer = _trucks(count - 1)
        known = (
            f"{fewer} can't carry it: that is proved"
            if search.fewest
            else f"whether {fewer} can is not settled"
        )
        words += f" {known[0].upper()}{known[1:]}."
    return words


def _trucks(count: int) -> str:
    return "1 truck" if count == 1 else f"{count} trucks"
