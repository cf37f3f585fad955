"""What the line plan is made from (R46): lines, shifts, profiles, change-overs, jobs, pins, prices.

Lengths are whole sixteenths, times whole minutes, days calendar numbers (`days.py`). Nothing here checks itself:
`check.py` refuses what can't be, in one go.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from framing.engine.line.days import Day, Moment


@dataclass(frozen=True, slots=True)
class Shift:
    """Working hours on one weekday (0 is Monday), in minutes of the day; the end is 1440 at most (midnight).

    `over_midnight`: the end lies on the next day, and the whole shift belongs to the day on which it begins:
    the night before a closed day is worked to its end, the night of a closed day not at all.
    """

    weekday: int
    start_minute: int
    end_minute: int
    over_midnight: bool = False


@dataclass(frozen=True, slots=True)
class RollLine:
    """A roll-forming line.

    Attributes:
        speed_ft_per_hour: feet that the running machine makes in an hour.
        capacity_ft_per_shift: feet that the practice expects of the line's longest shift, all told; a shorter shift
            gets its share. None: what the speed gives.
        profiles, depths_16: what it can roll; None is all.
        closed: days on which this line alone stands.
        loaded: the profile it is set up for before anything of the plan; None: the first job needs no change-over.
    """

    name: str
    speed_ft_per_hour: int
    shifts: tuple[Shift, ...]
    capacity_ft_per_shift: int | None = None
    profiles: frozenset[str] | None = None
    depths_16: frozenset[int] | None = None
    closed: frozenset[Day] = frozenset()
    loaded: str | None = None


@dataclass(frozen=True, slots=True)
class RolledProfile:
    """What a change-over and the coils depend on; `gauge` names the coil's thickness and steel."""

    code: str
    gauge: str
    depth_16: int
    flange_16: int
    weight_lb_per_ft: float


@dataclass(frozen=True, slots=True)
class ChangeOver:
    """Minutes to change from one profile to another: the base, and more for each thing that differs.

    `pairs` are (from, to, minutes) that the shop has timed; they go before the rule, one way only. The defaults
    are no standard's: a shop sets its own.
    """

    base_minutes: int = 10
    gauge_minutes: int = 15
    depth_minutes: int = 20
    flange_minutes: int = 5
    pairs: tuple[tuple[str, str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Pin:
    """What the planner fixed: a line, a day on which the job must begin (it may run on), or both."""

    line: str | None = None
    day: Day | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """A job that is rolling already: its line and when it began. Out of hours counts from the next opening."""

    line: str
    start: Moment


@dataclass(frozen=True, slots=True)
class Job:
    """A bundle to be rolled.

    Attributes:
        id: unique; plans go by it, not by the order in which jobs are given.
        feet_16: length of all its pieces, in sixteenths of an inch.
        due: the day at whose last shift's end it should be done (`due_day`).
        weight: price of a working minute late; 0 if nobody waits for it.
    """

    id: str
    order: str
    profile: str
    feet_16: int
    pieces: int
    due: Day
    weight: int = 1
    pin: Pin | None = None
    held: Held | None = None


@dataclass(frozen=True, slots=True)
class Placing:
    """Where a job stood in the plan before this one; `day` is the day of the shift in which it began."""

    job: str
    line: str
    start: Moment
    day: Day


@dataclass(frozen=True, slots=True)
class Prices:
    """Cost of a minute of change-over, and of a bundle that goes to another day or line than it was planned for."""

    setup_per_minute: int = 2
    moved: int = 30


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to search: moves in all, and seeds, of which those get a turn that the moves suffice for."""

    seeds: tuple[int, ...] = tuple(range(1, 17))
    moves: int = 120_000


@dataclass(frozen=True, slots=True)
class LineTask:
    """All that a plan depends on.

    Attributes:
        free_from: the first day that may be planned; what the previous plan began before it is frozen.
        closed: days on which every line stands.
        seconds_per_piece: handling of a piece at the run-out, on top of rolling.
        previous: the plan so far. Jobs of it that begin on `frozen_since` or later, before `free_from`, stay.
        frozen_since: the day the frozen stretch begins (usually today); None: nothing is frozen.
    """

    lines: tuple[RollLine, ...]
    profiles: tuple[RolledProfile, ...]
    jobs: tuple[Job, ...]
    free_from: Day
    closed: frozenset[Day] = frozenset()
    change_over: ChangeOver = ChangeOver()
    seconds_per_piece: int = 0
    previous: tuple[Placing, ...] = ()
    frozen_since: Day | None = None
    prices: Prices = Prices()
    effort: Effort = Effort()


@dataclass(frozen=True, slots=True)
class Advance:
    """How far a search is: moves tried of all, and the cost of the best plan so far."""

    done: int
    of: int
    cost: int


GoOn = Callable[[Advance], bool]
"""Told now and then how far it is; answers whether to go on."""
NEVER: Final = 1 << 60
"""A minute that never comes."""
