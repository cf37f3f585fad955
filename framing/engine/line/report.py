"""From orders of jobs to a plan with dates, loads and coils."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from framing.engine.line.days import Day
from framing.engine.line.facts import RollLine
from framing.engine.line.model import LineModel, Model
from framing.engine.line.result import CoilNeed, LateOrder, LineDay, LinePlan, PlanCost, Run
from framing.engine.line.timing import Order
from framing.engine.line.working_time import length_minutes
from framing.engine.units import SIXTEENTHS_PER_FOOT

_Span = tuple[int, int, int, int]
"""A job, its minutes of change-over, and its first working minute and the one after its last."""


def report(model: Model, orders: Sequence[Order]) -> LinePlan:
    """The plan that the orders of all lines make, held runs first on each."""
    spans, free = [_spans(order) for order in orders], frozenset(model.free)
    runs = [
        _run(model, order, span, held=span[0] not in free)
        for order, line in zip(orders, spans, strict=True)
        for span in line
    ]
    cost = PlanCost(
        sum(run.late_minutes * weight for run, weight in zip(runs, _weights(model, spans), strict=True)),
        model.task.prices.setup_per_minute * sum(run.setup_minutes for run in runs),
        model.task.prices.moved * sum(run.moved for run in runs),
    )
    last = max((run.end_day for run in runs), default=model.task.free_from)
    first = min(model.task.free_from, min((run.day for run in runs), default=last))
    shares = [_shares(model, order.model, line) for order, line in zip(orders, spans, strict=True)]
    days = [
        day
        for order, line, share in zip(orders, spans, shares, strict=True)
        for day in _line_days(order.model, line, share, range(first, last + 1))
    ]
    return LinePlan(tuple(runs), tuple(days), _coils(model, shares), _late_orders(runs), cost)


def _spans(order: Order) -> list[_Span]:
    """Runs of a line in working minutes; the first held one came before the plan, with its change-over."""
    spans: list[_Span] = []
    loaded = None
    for run in order.model.held:
        change = 0 if loaded is None else order.setups[loaded][order.rows[run.job][0]]
        loaded = order.rows[run.job][0]
        spans.append((run.job, change, run.start, run.end))
    for job, change, end in zip(order.seq, order.changes, order.ends, strict=True):
        spans.append((job, change, end - order.rows[job][1], end))
    return spans


def _weights(model: Model, spans: Sequence[list[_Span]]) -> list[int]:
    return [model.jobs[job].weight for line in spans for job, *_ in line]


def _run(model: Model, order: Order, span: _Span, *, held: bool) -> Run:
    job, change, start, end = span
    facts, row = model.jobs[job], order.rows[job]
    clock = order.model.clock
    return Run(
        job=facts.id,
        order=facts.order,
        line=order.model.line.name,
        profile=facts.profile,
        start=clock.start_moment(start),
        end=clock.end_moment(end),
        day=clock.day_of(start),
        end_day=clock.day_of(end - 1),
        setup_minutes=change,
        minutes=end - start,
        due=facts.due,
        late_minutes=max(0, end - row[2]),
        held=held,
        moved=not held and not row[6] <= start < row[7],
    )


def _shares(model: Model, line: LineModel, spans: Sequence[_Span]) -> dict[tuple[Day, int], int]:
    """Sixteenths of each job by day; what a day gets of a run over several is rounded so that the sum is exact."""
    shares: dict[tuple[Day, int], int] = {}
    for job, _, start, end in spans:
        feet_16 = model.jobs[job].feet_16
        done = 0
        for day, _, until in _stretches(line, start, end):
            through = feet_16 * (until - start) // (end - start)
            shares[day, job] = through - done
            done = through
    return shares


def _stretches(line: LineModel, start: int, end: int) -> Iterator[tuple[Day, int, int]]:
    """Some working minutes day by day: the day, the first minute, and the one after the last."""
    while start < end:
        day = line.clock.day_of(start)
        until = min(end, line.clock.window(day)[1])
        yield day, start, until
        start = until


def _line_days(
    line: LineModel, spans: Sequence[_Span], shares: dict[tuple[Day, int], int], days: Sequence[Day]
) -> Iterator[LineDay]:
    """The load of each of the days on which the line works."""
    feet_16, running, changing = Counter[Day](), Counter[Day](), Counter[Day]()
    for (day, _), share in shares.items():
        feet_16[day] += share
    for _, change, start, end in spans:
        running.update({day: until - at for day, at, until in _stretches(line, start, end)})
        changing.update({day: until - at for day, at, until in _stretches(line, start - change, start)})
    pace = pace_16(line.line)
    for day in days:
        low, high = line.clock.window(day)
        if low < high:
            capacity_16 = int(pace * (high - low))
            yield LineDay(
                line.line.name, day, feet_16[day], capacity_16, running[day], changing[day], high - low
            )


def pace_16(line: RollLine) -> Fraction:
    """Sixteenths of an inch in a working minute: by speed, or by the capacity of a shift if that is less."""
    pace = Fraction(line.speed_ft_per_hour * SIXTEENTHS_PER_FOOT, 60)
    if line.capacity_ft_per_shift is None:
        return pace
    longest = max(length_minutes(shift) for shift in line.shifts)
    return min(pace, Fraction(line.capacity_ft_per_shift * SIXTEENTHS_PER_FOOT, longest))


def _coils(model: Model, shares: Sequence[dict[tuple[Day, int], int]]) -> tuple[CoilNeed, ...]:
    feet_16: dict[tuple[Day, str, int], int] = defaultdict(int)
    for line in shares:
        for (day, job), share in line.items():
            profile = model.profile_of[job]
            feet_16[day, model.profiles[profile].gauge, profile] += share
    return tuple(
        CoilNeed(day, gauge, sum(feet_16[key] / SIXTEENTHS_PER_FOOT * _weight(model, key[2]) for key in keys))
        for (day, gauge), keys in groupby(sorted(feet_16), key=lambda key: key[:2])
    )


def _weight(model: Model, profile: int) -> float:
    return model.profiles[profile].weight_lb_per_ft


def _late_orders(runs: Sequence[Run]) -> tuple[LateOrder, ...]:
    late = sorted((run for run in runs if run.late_minutes), key=lambda run: run.order)
    found = []
    for order, group in groupby(late, key=lambda run: run.order):
        of_order = list(group)
        worst = max(run.late_minutes for run in of_order)
        found.append(LateOrder(order, len(of_order), worst, max(run.end_day for run in of_order)))
    return tuple(found)
