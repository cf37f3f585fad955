"""Working time to dates and back (R46): hours worked by hand, both ways for any shifts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.engine.line import (
    LineRefused,
    LineTask,
    Moment,
    RollLine,
    Shift,
    day_text,
    due_day,
    working_time,
)
from framing.engine.line.days import weekday
from tests.engine.line.checker import hours, worked
from tests.engine.line.shops import MONDAY, WEEK, lines, small_shop

SATURDAY = MONDAY + 5
CALENDAR = st.dates(min_value=date(1600, 1, 1))


@given(CALENDAR)
def test_days_read_like_the_calendar(day: date) -> None:
    assert day_text(day.toordinal()) == day.isoformat()
    assert weekday(day.toordinal()) == day.weekday()


@pytest.mark.parametrize(
    "text", ["0001-01-01", "2000-02-29", "2024-02-29", "2024-03-01", "2100-02-28", "2026-12-31"]
)
def test_days_at_the_turn_of_years_and_leap_days(text: str) -> None:
    assert day_text(date.fromisoformat(text).toordinal()) == text


def test_closed_time_is_cut_out() -> None:
    # 480 minutes a day; Tuesday is closed, so minute 480 is Wednesday's first
    clock = working_time(lines(1)[0], frozenset({MONDAY + 1}), MONDAY, MONDAY + 2, 1)
    assert clock.start_moment(0) == Moment(MONDAY, 360)
    assert clock.start_moment(479) == Moment(MONDAY, 839)
    assert clock.start_moment(480) == Moment(MONDAY + 2, 360)
    # what ends with minute 480 ends at Monday's closing, 14:00
    assert clock.end_moment(480) == Moment(MONDAY, 840)
    assert clock.end_moment(481) == Moment(MONDAY + 2, 361)
    assert clock.end_moment(0) == Moment(MONDAY, 360)
    assert clock.minutes_at(Moment(MONDAY, 0)) == 0
    assert clock.minutes_at(Moment(MONDAY, 400)) == 40
    assert clock.minutes_at(Moment(MONDAY + 1, 700)) == 480
    assert clock.minutes_at(Moment(MONDAY + 2, 370)) == 490
    assert [clock.window(MONDAY + day) for day in range(3)] == [(0, 480), (480, 480), (480, 960)]
    assert [clock.works(MONDAY + day) for day in range(3)] == [True, False, True]
    assert (clock.day_of(479), clock.day_of(480)) == (MONDAY, MONDAY + 2)


def test_a_night_belongs_to_the_day_it_begins() -> None:
    # Monday 22:00 to Tuesday 06:00; Tuesday is closed, and Monday's night is worked to its end all the same
    night = tuple(Shift(day, 22 * 60, 6 * 60, over_midnight=True) for day in range(5))
    line = RollLine("Night", 6_000, night)
    clock = working_time(line, frozenset({MONDAY + 1}), MONDAY, MONDAY + 2, 1)
    assert clock.start_moment(120) == Moment(MONDAY + 1, 0)
    assert clock.day_of(120) == MONDAY
    assert clock.end_moment(480) == Moment(MONDAY + 1, 360)
    assert clock.start_moment(480) == Moment(MONDAY + 2, 22 * 60)
    assert clock.window(MONDAY + 1) == (480, 480)


@pytest.mark.parametrize("minute", [-1, 480])
def test_a_minute_outside_is_refused(minute: int) -> None:
    clock = working_time(lines(1)[0], frozenset(), MONDAY, MONDAY, 480)
    assert clock.minutes == 960  # through Monday, and enough minutes more
    one_day = working_time(lines(1)[0], frozenset(), MONDAY - 1, MONDAY - 1, 480)
    with pytest.raises(LineRefused, match=f"Working minute {minute} of line Line 1 is outside the 480"):
        one_day.start_moment(minute)


def test_shifts_that_never_bring_the_minutes_are_refused() -> None:
    line = RollLine("North", 6_000, (Shift(0, 360, 361),))  # a minute a week: 522 in ten years
    with pytest.raises(
        LineRefused, match="Line North needs 600 minutes of work, which its shifts do not bring"
    ):
        working_time(line, frozenset(), MONDAY, MONDAY, 600)


@st.composite
def shift_weeks(draw: st.DrawFn) -> tuple[Shift, ...]:
    """Shifts one after the other, some over midnight."""
    edges = sorted(draw(st.sets(st.integers(0, 7 * 1440 - 1), min_size=2, max_size=8)))
    shifts = []
    for begin, end in zip(edges[::2], edges[1::2], strict=False):
        day, start = divmod(begin, 1440)
        length = min(end - begin, 1440)
        over = start + length > 1440
        shifts.append(Shift(day, start, start + length - (1440 if over else 0), over_midnight=over))
    return tuple(shifts)


@given(shift_weeks(), st.sets(st.integers(0, 20), max_size=9), st.data())
def test_minutes_and_moments_map_both_ways(
    week: tuple[Shift, ...], closed: set[int], data: st.DataObject
) -> None:
    line = RollLine("Any", 6_000, week)
    off = frozenset(MONDAY + day for day in closed)
    clock = working_time(line, off, MONDAY, MONDAY + 20, 50)
    stretches = hours(_task(line, off), line, MONDAY, MONDAY + 400)
    minute = data.draw(st.integers(0, clock.minutes - 1))
    start, end = clock.start_moment(minute), clock.end_moment(minute + 1)
    assert clock.minutes_at(start) == minute
    assert clock.minutes_at(end) == minute + 1
    assert worked(stretches, 0, start.day * 1440 + start.minute) == minute
    assert worked(stretches, 0, end.day * 1440 + end.minute) == minute + 1
    low, high = clock.window(clock.day_of(minute))
    assert low <= minute < high
    later = data.draw(st.integers(0, clock.minutes - 1))
    assert (clock.start_moment(later) > start) == (later > minute)


def _task(line: RollLine, closed: frozenset[int]) -> LineTask:
    return replace(small_shop(2, 1, 1), lines=(line,), closed=closed)


def test_due_is_some_working_days_before_delivery() -> None:
    shop, monday = lines(1), MONDAY + 7
    assert due_day(monday, 0, shop, frozenset()) == monday
    assert due_day(monday, 1, shop, frozenset()) == MONDAY + 4  # the Friday before
    assert due_day(monday, 3, shop, frozenset()) == MONDAY + 2
    assert due_day(monday, 3, shop, frozenset({MONDAY + 3})) == MONDAY + 1
    assert due_day(SATURDAY, 0, shop, frozenset()) == MONDAY + 4  # nobody works on Saturday
    assert due_day(SATURDAY, 1, shop, frozenset()) == MONDAY + 4
    # a line that works on Saturday makes it a working day
    two = (*shop, RollLine("Extra", 6_000, (Shift(5, 360, 600),)))
    assert due_day(monday, 1, two, frozenset()) == SATURDAY


def test_no_working_day_before_delivery_is_refused() -> None:
    with pytest.raises(LineRefused, match="No line works on 2 days in the ten years before 2026-12-07"):
        due_day(MONDAY, 2, (), frozenset())
    with pytest.raises(LineRefused, match="The lead is -1 days"):
        due_day(MONDAY, -1, lines(1), frozenset())


def test_hours_of_the_made_up_shop() -> None:
    assert date.fromordinal(MONDAY) == date(2026, 12, 7)
    assert date.fromordinal(MONDAY).weekday() == 0
    assert date.fromordinal(SATURDAY) - timedelta(days=5) == date.fromordinal(MONDAY)
    assert {shift.weekday for shift in WEEK} == {0, 1, 2, 3, 4}
