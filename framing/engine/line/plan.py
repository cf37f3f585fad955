"""The line plan (R46): lateness and change-overs at their prices, and pins kept.

    check --> model --> due dates, due-day families, previous plan --> the cheapest of them, annealed --> report

The best order of a few jobs is decided (`exact`). That of many is out of reach, so the search promises no optimum; it
is never worse than what it starts from.
"""

from __future__ import annotations

from collections.abc import Sequence

from framing.engine.line.anneal import search
from framing.engine.line.bound import lower_bound, tour_of
from framing.engine.line.check import check
from framing.engine.line.exact import best_sequences, decidable
from framing.engine.line.facts import Advance, GoOn, LineTask
from framing.engine.line.first_plans import by_due_date, by_due_day_families, by_previous, by_tour
from framing.engine.line.model import Model, build
from framing.engine.line.report import report
from framing.engine.line.result import PlanOutcome
from framing.engine.line.timing import Order


def _always(_: Advance) -> bool:
    return True


def plan_lines(task: LineTask, go_on: GoOn = _always) -> PlanOutcome:
    """The best plan that the effort of the task finds. Equal tasks, in any order of jobs and lines, equal plans.

    `go_on` is told every few hundred moves how far it is, and answers whether to go on; told to stop, the best plan
    so far is the answer. Few jobs are decided at one go, so that it is told only before.

    Errors: LineRefused for lines, shifts, jobs or pins that can't be (`check`), and for pins that leave each other no
    time on their day.
    """
    check(task)
    model = build(task)
    due_date, families = by_due_date(model), by_due_day_families(model)
    previous = by_previous(model) if task.previous else None
    starts = [families, due_date] if previous is None else [previous, families, due_date]
    bound = lower_bound(model)
    best, stopped = _searched(model, min(starts, key=_cost), bound, go_on)
    return PlanOutcome(
        report(model, best),
        report(model, due_date),
        report(model, families).cost.total,
        None if previous is None else report(model, previous).cost.total,
        bound,
        stopped,
    )


def _searched(model: Model, start: Sequence[Order], bound: int, go_on: GoOn) -> tuple[list[Order], bool]:
    decided = _decided(model, start, go_on) or _least(model, start, bound, go_on)
    plan, stopped = decided or search(model, [order.seq for order in start], go_on, bound)
    prices = model.task.prices
    return [
        Order(line, model.setups, prices, seq) for line, seq in zip(model.lines, plan, strict=True)
    ], stopped


def _decided(model: Model, start: Sequence[Order], go_on: GoOn) -> tuple[list[list[int]], bool] | None:
    """The plan that costs least, or the start where it was told to stop; None for what is left to the search."""
    if not model.task.effort.moves or not decidable(model):
        return None
    if not go_on(Advance(0, 1, _cost(start))):
        return [order.seq for order in start], True
    plan = best_sequences(model)
    return None if plan is None else (plan, False)


def _least(
    model: Model, start: Sequence[Order], bound: int, go_on: GoOn
) -> tuple[list[list[int]], bool] | None:
    """A first plan that costs as little as any can, where nothing is late if each profile is rolled in one go."""
    tour = tour_of(model) if model.task.effort.moves else None
    in_one_go = by_tour(model, tour) if tour else None
    for plan in (start, in_one_go):
        if plan is not None and _cost(plan) == bound:
            stopped = not go_on(Advance(0, 1, bound))
            return [order.seq for order in plan], stopped
    return None


def _cost(orders: Sequence[Order]) -> int:
    return sum(order.total for order in orders)
