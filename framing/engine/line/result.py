"""What a line plan comes to: runs with dates, load by day, late orders, coils, cost."""

from __future__ import annotations

from dataclasses import dataclass

from framing.engine.line.days import Day, Moment
from framing.engine.line.facts import Placing


@dataclass(frozen=True, slots=True)
class Run:
    """A job on its line.

    Attributes:
        start, end: when it begins and ends; closed time in between does not count.
        day, end_day: the days of the shifts in which it begins and ends.
        setup_minutes: change-over, in the working minutes just before it.
        minutes: working minutes of the run.
        late_minutes: working minutes of its line after the last shift of its due day; 0 if in time.
        held: it rolls already or is frozen; nothing moves it.
        moved: it was planned for another day or line.
    """

    job: str
    order: str
    line: str
    profile: str
    start: Moment
    end: Moment
    day: Day
    end_day: Day
    setup_minutes: int
    minutes: int
    due: Day
    late_minutes: int
    held: bool
    moved: bool


@dataclass(frozen=True, slots=True)
class LineDay:
    """Load of a line on a day against what it can do. Of a run over two days each gets its share of the feet.

    `capacity_16` is what the day's minutes give at the line's speed, or its capacity a shift if that is less.
    """

    line: str
    day: Day
    feet_16: int
    capacity_16: int
    run_minutes: int
    setup_minutes: int
    open_minutes: int


@dataclass(frozen=True, slots=True)
class CoilNeed:
    """Steel of one gauge that goes into the lines on a day, without scrap."""

    day: Day
    gauge: str
    weight_lb: float


@dataclass(frozen=True, slots=True)
class LateOrder:
    """An order with late bundles: how many, the worst of them in working minutes, and the day the last one ends."""

    order: str
    bundles: int
    late_minutes: int
    ends: Day


@dataclass(frozen=True, slots=True)
class PlanCost:
    """Price of lateness, of change-overs and of moves against the previous plan."""

    late: int
    setup: int
    moved: int

    @property
    def total(self) -> int:
        return self.late + self.setup + self.moved


@dataclass(frozen=True, slots=True)
class LinePlan:
    """A plan: runs by line and in running order, days by line, coils by day and gauge, orders by name."""

    runs: tuple[Run, ...]
    days: tuple[LineDay, ...]
    coils: tuple[CoilNeed, ...]
    late_orders: tuple[LateOrder, ...]
    cost: PlanCost

    def placings(self) -> tuple[Placing, ...]:
        """What the next plan is to know as its previous one."""
        return tuple(Placing(run.job, run.line, run.start, run.day) for run in self.runs)


@dataclass(frozen=True, slots=True)
class LateChange:
    """An order that is late in one of two plans, in working minutes; None: not in that plan, or in time."""

    order: str
    before: LateOrder | None
    after: LateOrder | None


@dataclass(frozen=True, slots=True)
class PlanOutcome:
    """The best plan found, and what to hold it against.

    Attributes:
        by_due_date: the plan by due dates alone.
        families_cost: cost of due-day families.
        previous_cost: cost of the previous plan with new jobs put where they cost least; None without one.
        lower_bound: no plan costs less. Weak where jobs are late; where none need be, often the best cost itself.
        stopped: the search was told to stop, and this is what it had.
    """

    plan: LinePlan
    by_due_date: LinePlan
    families_cost: int
    previous_cost: int | None
    lower_bound: int
    stopped: bool


@dataclass(frozen=True, slots=True)
class Pushed:
    """A job that a rush makes end later, by working minutes; and its lateness before and after."""

    job: str
    order: str
    line: str
    end_before: Moment
    end_after: Moment
    later_minutes: int
    late_minutes_before: int
    late_minutes_after: int


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The plan with a rush in it, the rush's own runs, what it pushes, and late orders before and after."""

    plan: LinePlan
    rush: tuple[Run, ...]
    pushed: tuple[Pushed, ...]
    late: tuple[LateChange, ...]


def late_changes(before: LinePlan, after: LinePlan) -> tuple[LateChange, ...]:
    """Orders that are late in either plan, by name."""
    was = {late.order: late for late in before.late_orders}
    now = {late.order: late for late in after.late_orders}
    return tuple(LateChange(order, was.get(order), now.get(order)) for order in sorted({*was, *now}))
