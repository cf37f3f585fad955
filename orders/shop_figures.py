"""Figures of the shop: what they are made of. Pure: days and numbers in, rows by week out.

A week begins on Monday and is named by that day. Feet are whole sixteenths of an inch until they are shown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

FT_16: Final = 192
WEEK: Final = timedelta(days=7)


def week_of(day: date) -> date:
    """The Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def weeks(first: date, last: date) -> Iterator[date]:
    """The Monday of each week that the days from `first` to `last` touch."""
    week = week_of(first)
    while week <= last:
        yield week
        week += WEEK


@dataclass(frozen=True, slots=True)
class Finished:
    """An order whose last bundle is finished: on which day, and by which it was due (None: no day is known)."""

    number: str
    day: date
    due: date | None

    @property
    def days_late(self) -> int:
        return 0 if self.due is None else max(0, (self.day - self.due).days)


@dataclass(frozen=True, slots=True)
class OnTime:
    """Orders of a week that were finished by their due day; those without one stand apart."""

    week: date
    on_time: int
    late: int
    undated: int

    @property
    def share(self) -> float | None:
        dated = self.on_time + self.late
        return self.on_time / dated if dated else None


def on_time(orders: Iterable[Finished], first: date, last: date) -> tuple[OnTime, ...]:
    """A row a week of the period."""
    counted: Counter[tuple[date, str]] = Counter()
    for order in orders:
        kind = "undated" if order.due is None else "late" if order.days_late else "on_time"
        counted[week_of(order.day), kind] += 1
    return tuple(
        OnTime(week, *(counted[week, kind] for kind in ("on_time", "late", "undated")))
        for week in weeks(first, last)
    )


def summed(rows: Iterable[OnTime], first: date) -> OnTime:
    """All weeks together."""
    kept = tuple(rows)
    return OnTime(
        first, *(sum(getattr(row, kind) for row in kept) for kind in ("on_time", "late", "undated"))
    )


@dataclass(frozen=True, slots=True)
class DayCapacity:
    """What the lines could roll on a day: feet, in how many shifts."""

    feet: float
    shifts: int


@dataclass(frozen=True, slots=True)
class Rolled:
    """Feet finished in a week beside what the shifts of its days in the period could do; change-over as planned."""

    week: date
    feet: float
    bundles: int
    shifts: int
    capacity_ft: float
    setup_minutes: int

    @property
    def per_shift(self) -> float | None:
        return self.feet / self.shifts if self.shifts else None

    @property
    def capacity_per_shift(self) -> float | None:
        return self.capacity_ft / self.shifts if self.shifts else None

    @property
    def share(self) -> float | None:
        return self.feet / self.capacity_ft if self.capacity_ft else None


def rolled(
    finished: Iterable[tuple[date, int]],
    capacity: Mapping[date, DayCapacity],
    setups: Mapping[date, int],
    first: date,
    last: date,
) -> tuple[Rolled, ...]:
    """A row a week; `finished` has day and length in sixteenths of each bundle, the others are by day."""
    length: Counter[date] = Counter()
    bundles: Counter[date] = Counter()
    for day, length_16 in finished:
        length[week_of(day)] += length_16
        bundles[week_of(day)] += 1
    return tuple(
        Rolled(week, length[week] / FT_16, bundles[week], *_week(week, capacity, setups, first, last))
        for week in weeks(first, last)
    )


def _week(
    week: date, capacity: Mapping[date, DayCapacity], setups: Mapping[date, int], first: date, last: date
) -> tuple[int, float, int]:
    """Shifts, their feet and change-over minutes of a week's days that lie in the period."""
    days = [day for day in (week + timedelta(days=n) for n in range(7)) if first <= day <= last]
    known = [capacity[day] for day in days if day in capacity]
    return sum(c.shifts for c in known), sum(c.feet for c in known), sum(setups.get(day, 0) for day in days)


@dataclass(frozen=True, slots=True)
class Scrap:
    """Pieces made again for one reason."""

    reason: str
    pieces: int
    length_16: int

    @property
    def feet(self) -> float:
        return self.length_16 / FT_16


@dataclass(frozen=True, slots=True)
class Waiting:
    """A bundle that is not finished: by when it is due, how long, of which order."""

    due: date | None
    length_16: int
    order: int


@dataclass(frozen=True, slots=True)
class Backlog:
    """What is to roll by the end of a week; `week` None is what has no day."""

    week: date | None
    name: str
    orders: int
    bundles: int
    feet: float


def backlog(bundles: Iterable[Waiting], today: date) -> tuple[Backlog, ...]:
    """What is overdue first, then by the week it is due in, then what has no day; only rows that hold something."""
    groups: dict[tuple[int, date], list[Waiting]] = {}
    for bundle in bundles:
        groups.setdefault(_group(bundle.due, today), []).append(bundle)
    return tuple(_backlog(kind, week, groups[kind, week]) for kind, week in sorted(groups))


_OVERDUE, _DATED, _UNDATED = 0, 1, 2


def _group(due: date | None, today: date) -> tuple[int, date]:
    if due is None:
        return _UNDATED, date.max
    return (_OVERDUE, date.min) if due < today else (_DATED, week_of(due))


def _backlog(kind: int, week: date, found: list[Waiting]) -> Backlog:
    names = {_OVERDUE: "Overdue", _DATED: f"{week:%b} {week.day}", _UNDATED: "No day"}
    orders = len({bundle.order for bundle in found})
    feet = sum(bundle.length_16 for bundle in found) / FT_16
    return Backlog(week if kind == _DATED else None, names[kind], orders, len(found), feet)
