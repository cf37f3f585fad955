"""What can't be planned is refused with the thing, its value and what to do (R46, R51)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.line import (
    ChangeOver,
    Effort,
    Held,
    LineRefused,
    LineTask,
    Moment,
    Pin,
    Placing,
    Prices,
    RollLine,
    Shift,
    check,
    plan_lines,
)
from tests.engine.line.shops import DEEP, MONDAY, THIN, WEEK, job, lines, task_of

GOOD = job("A", THIN, 60, 0)
SHALLOW = RollLine("Line 2", 6_000, WEEK, depths_16=frozenset({160}))
LATER = replace(GOOD, id="B")


def line(**changes: object) -> LineTask:
    return task_of(GOOD, lines=(replace(lines(1)[0], **changes),))  # type: ignore[arg-type]


def shifts(*of_line: Shift) -> LineTask:
    return line(shifts=of_line)


def other(**changes: object) -> LineTask:
    return task_of(LATER, replace(GOOD, **changes), lines=(*lines(1), SHALLOW))  # type: ignore[arg-type]


def pinned(day: int | None = None, name: str | None = None, **more: object) -> LineTask:
    return task_of(replace(GOOD, pin=Pin(name, day)), **more)


REFUSALS = [
    (task_of(GOOD, lines=()), "lines", "There is no line to plan for: enter one."),
    (task_of(GOOD, lines=lines(1) * 2), "lines.Line 1", "Line Line 1 is given 2 times: give it once."),
    (
        replace(task_of(GOOD), profiles=(THIN, THIN)),
        "profiles.1000S162-54",
        "Profile 1000S162-54 is given 2 times: give it once.",
    ),
    (
        line(speed_ft_per_hour=0),
        "lines.Line 1.speed_ft_per_hour",
        "Line Line 1 has a speed of 0 ft an hour: give more than 0 or take it out.",
    ),
    (
        line(capacity_ft_per_shift=0),
        "lines.Line 1.capacity_ft_per_shift",
        "Line Line 1 has a capacity of 0 ft a shift: give more than 0, or leave it out.",
    ),
    (
        line(loaded="800S162-97"),
        "lines.Line 1.loaded",
        "Line Line 1 is set up for 800S162-97, which is none of the profiles: choose one of them or none.",
    ),
    (shifts(), "lines.Line 1.shifts", "Line Line 1 has no shift: add one, or take the line out."),
    (
        shifts(Shift(7, 360, 840)),
        "lines.Line 1.shifts",
        "Line Line 1 has a shift on weekday 7: give 0 (Monday) to 6 (Sunday).",
    ),
    (
        shifts(Shift(0, 360, 1441)),
        "lines.Line 1.shifts",
        "The shift Monday 06:00 to 24:01 of line Line 1 leaves the day: give times from 00:00 to 24:00.",
    ),
    (
        shifts(Shift(4, 840, 360)),
        "lines.Line 1.shifts",
        (
            "The shift Friday 14:00 to 06:00 of line Line 1 ends before it begins: change a time, or say that it "
            "goes over midnight."
        ),
    ),
    (
        shifts(Shift(6, 360, 840, over_midnight=True)),
        "lines.Line 1.shifts",
        (
            "The shift Sunday 06:00 to 14:00 of the next day of line Line 1 is longer than a day: it does not go over "
            "midnight, or its end is wrong."
        ),
    ),
    (
        shifts(Shift(0, 360, 840), Shift(0, 839, 1_000)),
        "lines.Line 1.shifts",
        (
            "On line Line 1 the shift Monday 06:00 to 14:00 runs into the shift Monday 13:59 to 16:40: end one "
            "where the other begins."
        ),
    ),
    (
        shifts(Shift(0, 360, 840), Shift(6, 1_320, 361, over_midnight=True)),
        "lines.Line 1.shifts",
        (
            "On line Line 1 the shift Sunday 22:00 to 06:01 of the next day runs into the shift Monday 06:00 to 14:00: "
            "end one where the other begins."
        ),
    ),
    (
        task_of(GOOD, change_over=ChangeOver(base_minutes=-1)),
        "change_over.base_minutes",
        "Base minutes is -1: give 0 or more.",
    ),
    (
        task_of(GOOD, change_over=ChangeOver(pairs=((THIN.code, DEEP.code, -5),))),
        "change_over.pairs",
        "The change-over from 1000S162-54 to 1200S162-54 takes -5 minutes: give 0 or more.",
    ),
    (task_of(GOOD, prices=Prices(moved=-1)), "prices.moved", "Moved is -1: give 0 or more."),
    (task_of(GOOD, effort=Effort(moves=-1)), "effort.moves", "Moves is -1: give 0 or more."),
    (task_of(GOOD, seconds_per_piece=-1), "seconds_per_piece", "Seconds per piece is -1: give 0 or more."),
    (task_of(GOOD, GOOD), "jobs.A", "Bundle A is given 2 times: give it once."),
    (
        task_of(GOOD, previous=(Placing("A", "Line 1", Moment(MONDAY, 360), MONDAY),) * 2),
        "previous.A",
        "The previous plan has bundle A 2 times: give it once.",
    ),
    (
        other(profile="600S162-43"),
        "jobs.A.profile",
        "Bundle A is of 600S162-43, which is none of the profiles: add it.",
    ),
    (other(feet_16=0), "jobs.A.feet_16", "Bundle A has no length to roll (0/16 in): take it out."),
    (other(pieces=-1), "jobs.A.pieces", "Bundle A has -1 pieces: give 0 or more."),
    (other(weight=-1), "jobs.A.weight", "Bundle A has a weight of -1: give 0 or more."),
    (
        other(due=MONDAY - 4_000),
        "jobs.A",
        "Bundle A is due on 2015-12-25, over ten years from 2026-12-07: correct the date.",
    ),
    (
        other(pin=Pin(day=MONDAY + 4_000)),
        "jobs.A",
        "Bundle A is pinned to 2037-11-19, over ten years from 2026-12-07: correct the date.",
    ),
    (
        other(held=Held("Line 1", Moment(MONDAY - 4_000, 0))),
        "jobs.A",
        "Bundle A began on 2015-12-25, over ten years from 2026-12-07: correct the date.",
    ),
    (
        task_of(job("D", DEEP, 60, 0), lines=(SHALLOW,)),
        "jobs.D.profile",
        "No line can roll 1200S162-54 of bundle D: allow it on a line, or take the bundle out.",
    ),
    (
        other(held=Held("Line 9", Moment(MONDAY - 1, 0))),
        "jobs.A.held",
        "Bundle A rolls on line Line 9, which is none of the lines: choose one of Line 1, Line 2.",
    ),
    (
        other(held=Held("Line 1", Moment(MONDAY, 360))),
        "jobs.A.held",
        "Bundle A is said to roll since 2026-12-07, but the plan begins on 2026-12-07: pin it to the day instead.",
    ),
    (
        other(pin=Pin("Line 9")),
        "jobs.A.pin",
        "Bundle A is pinned to line Line 9, which is none of the lines: choose one of Line 1, Line 2.",
    ),
    (
        other(profile=DEEP.code, pin=Pin("Line 2", MONDAY)),
        "jobs.A.pin",
        "Bundle A is pinned to line Line 2, which can't roll 1200S162-54: choose one of Line 1.",
    ),
    (
        pinned(MONDAY - 1),
        "jobs.A.pin",
        "Bundle A is pinned to 2026-12-06, before the plan begins: pin it to 2026-12-07 or later, or unpin it.",
    ),
    (
        pinned(MONDAY + 4, "Line 1", closed=frozenset({MONDAY + 4})),
        "jobs.A.pin",
        "Bundle A is pinned to 2026-12-11, when line Line 1 stands: pin it to 2026-12-14, open the day, or unpin it.",
    ),
    (
        pinned(MONDAY + 5),
        "jobs.A.pin",
        (
            "Bundle A is pinned to 2026-12-12, when every line that can roll it stands: pin it to 2026-12-14, open the "
            "day, or unpin it."
        ),
    ),
    (
        pinned(MONDAY, closed=frozenset(range(MONDAY, MONDAY + 4_000))),
        "jobs.A.pin",
        (
            "Bundle A is pinned to 2026-12-07, when every line that can roll it stands: pin it to another day, open "
            "the day, or unpin it."
        ),
    ),
]


@pytest.mark.parametrize(
    ("task", "place", "message"), REFUSALS, ids=[f"{i} {row[1]}" for i, row in enumerate(REFUSALS)]
)
def test_refused_with_what_to_do(task: LineTask, place: str, message: str) -> None:
    with pytest.raises(LineRefused) as told:
        plan_lines(task)
    assert [(problem.place, problem.message) for problem in told.value.problems] == [(place, message)]
    assert told.value.message == message


def test_all_problems_are_told_at_once() -> None:
    bad = task_of(replace(GOOD, weight=-1, feet_16=-5), replace(LATER, pieces=-2))
    with pytest.raises(LineRefused) as told:
        check(bad)
    assert [problem.place for problem in told.value.problems] == [
        "jobs.A.feet_16",
        "jobs.A.weight",
        "jobs.B.pieces",
    ]
    # lines first: what is wrong with jobs may follow from them
    with pytest.raises(LineRefused) as told:
        check(replace(bad, lines=(RollLine("N", -1, ()),)))
    assert [problem.place for problem in told.value.problems] == [
        "lines.N.speed_ft_per_hour",
        "lines.N.shifts",
    ]


@pytest.mark.parametrize(
    "task",
    [
        task_of(GOOD),
        task_of(GOOD, change_over=ChangeOver(pairs=((THIN.code, DEEP.code, 0), (DEEP.code, THIN.code, 5)))),
        pinned(None, "Line 1"),
        pinned(),
        pinned(MONDAY),
        shifts(Shift(0, 0, 1_440), Shift(1, 0, 1), Shift(2, 1, 1, over_midnight=True)),
        task_of(replace(GOOD, pin=Pin("Line 1", MONDAY + 5), held=Held("Line 1", Moment(MONDAY - 1, 0)))),
    ],
)
def test_what_can_be_is_not_refused(task: LineTask) -> None:
    check(task)
