"""Line plans worked by hand (R46). A day is 480 minutes from 06:00; a change-over between gauges takes 25."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.line import (
    Advance,
    Effort,
    Held,
    LateChange,
    LateOrder,
    LinePlan,
    LineRefused,
    LineTask,
    Moment,
    Pin,
    Placing,
    PlanOutcome,
    RolledProfile,
    RollLine,
    late_changes,
    plan_lines,
)
from framing.engine.line.tours import PROFILES_MOST
from tests.engine.line.checker import check_plan
from tests.engine.line.shops import DEEP, MONDAY, THICK, THIN, WEEK, big_shop, job, lines, small_shop, task_of

TUESDAY, WEDNESDAY = MONDAY + 1, MONDAY + 2


def planned(task: LineTask) -> PlanOutcome:
    """The outcome, after every plan in it has passed the checker."""
    outcome = plan_lines(task)
    check_plan(task, outcome.plan)
    check_plan(task, outcome.by_due_date)
    assert outcome.lower_bound <= outcome.plan.cost.total <= outcome.families_cost
    assert outcome.plan.cost.total <= outcome.by_due_date.cost.total
    return outcome


def starts(plan: LinePlan) -> dict[str, tuple[int, int, int]]:
    """Day from Monday, minute of the day, minutes of change-over by job."""
    return {run.job: (run.start.day - MONDAY, run.start.minute, run.setup_minutes) for run in plan.runs}


def test_one_change_over_instead_of_two() -> None:
    # by due date A, B, C with two change-overs: 2 x 2 x 25 = 100; A, C, B needs one: 50
    outcome = planned(task_of(job("A", THIN, 60, 0), job("B", THICK, 60, 0), job("C", THIN, 60, 0)))
    assert starts(outcome.by_due_date) == {"A": (0, 360, 0), "B": (0, 445, 25), "C": (0, 530, 25)}
    assert outcome.by_due_date.cost.total == 100
    assert outcome.families_cost == outcome.plan.cost.total == 50
    assert starts(outcome.plan) == {"A": (0, 360, 0), "C": (0, 420, 0), "B": (0, 505, 25)}
    assert outcome.lower_bound == 50  # the second profile must be entered
    assert outcome.previous_cost is None
    assert not outcome.stopped


def easy_shop(jobs: int, line_count: int, seed: int) -> LineTask:
    """Many jobs of eight profiles that are due four weeks later than they could well be."""
    task = big_shop(jobs, line_count, seed)
    return replace(task, jobs=tuple(replace(job, due=job.due + 28) for job in task.jobs))


def test_nothing_late_and_change_overs_at_their_least_is_no_work() -> None:
    told: list[Advance] = []

    def go_on(advance: Advance) -> bool:
        told.append(advance)
        return True

    outcome = plan_lines(easy_shop(404, 3, 1), go_on)
    check_plan(easy_shop(404, 3, 1), outcome.plan)
    # the least tour of eight profiles by three lines with nothing loaded, and each profile in one go is in time
    assert (outcome.plan.cost.late, outcome.plan.cost.total) == (0, outcome.lower_bound)
    assert told == [Advance(0, 1, outcome.lower_bound)]
    stopped = plan_lines(easy_shop(404, 3, 1), lambda _: False)
    assert stopped.stopped
    assert stopped.plan == outcome.plan


def test_a_first_plan_at_the_bound_is_the_plan() -> None:
    # more jobs than are decided at one go, one profile, one line: taking them by date is as good as can be
    jobs = [job(f"J{number:02}", THIN, 30, 30) for number in range(30)]
    outcome = planned(task_of(*jobs))
    assert outcome.plan.cost.total == outcome.lower_bound == 0


def test_a_line_that_cannot_take_its_part_of_the_least_tour_leaves_it_to_the_search() -> None:
    # each line takes other webs; of two profiles with nothing loaded the tour asks for no change-over at all
    jobs = [job(f"J{n:02}", (THIN, DEEP, THICK)[n % 3], 30, 30 + n % 5) for n in range(30)]
    two = lines(2)
    ways = [(frozenset({160}), frozenset({192})), (frozenset({192}), frozenset({160}))]
    for depths in ways:
        pair = tuple(replace(line, depths_16=some) for line, some in zip(two, depths, strict=True))
        outcome = planned(task_of(*jobs, lines=pair))
        assert outcome.plan.cost.late == 0
        assert outcome.plan.cost.total == 50, "thin to thick once on the line of both"


def test_a_pinned_day_leaves_it_to_the_search() -> None:
    jobs = [job(f"J{n:02}", (THIN, DEEP, THICK)[n % 3], 30, 30) for n in range(30)]
    jobs[5] = replace(jobs[5], pin=Pin(day=MONDAY + 1))
    outcome = planned(task_of(*jobs))
    assert outcome.plan.cost.late == 0


def test_many_profiles_have_a_weaker_bound() -> None:
    # twelve gauges of one web, each entered with 25 minutes at 2 a minute; one line of the two begins with one each
    profiles = tuple(
        RolledProfile(f"1000S162-{n}", f"{n} mil", 160, 26, 2.5) for n in range(PROFILES_MOST + 2)
    )
    jobs = tuple(replace(job(f"J{n}", THIN, 30, 30), profile=p.code) for n, p in enumerate(profiles))
    task = LineTask(lines(2), profiles, jobs, MONDAY)
    outcome = planned(task)
    assert outcome.lower_bound == outcome.plan.cost.total == 10 * 50


def test_in_time_and_one_change_over() -> None:
    # A 240 and B 200 are due Monday (480), C 300 on Tuesday. A, B, C: two change-overs. A, C, B: B ends with minute
    # 765, 285 late. B, A, C: B to 200, A from 225 to 465, C to 765 on Tuesday: nothing late, one change-over.
    jobs = job("A", THIN, 240, 0), job("B", THICK, 200, 0), job("C", THIN, 300, 1)
    outcome = planned(task_of(*jobs))
    assert outcome.by_due_date.cost.total == 100
    assert starts(outcome.plan) == {"B": (0, 360, 0), "A": (0, 585, 25), "C": (0, 825, 0)}
    assert (outcome.plan.cost.late, outcome.plan.cost.setup) == (0, 50)
    # C has its last 15 minutes of Monday, and 285 on Tuesday; 480 - 200 - 25 - 240 - 15 = 0 are left
    run = outcome.plan.runs[-1]
    assert (run.end, run.day, run.end_day) == (Moment(TUESDAY, 360 + 285), MONDAY, TUESDAY)
    monday, tuesday = outcome.plan.days
    assert (monday.run_minutes, monday.setup_minutes, monday.open_minutes) == (455, 25, 480)
    assert (monday.feet_16, monday.capacity_16) == (45_500 * 192, 48_000 * 192)
    assert (tuesday.run_minutes, tuesday.feet_16) == (285, 28_500 * 192)
    # Monday 24,000 + 1,500 ft of 54 mil at 2.5 lb, 20,000 ft of 68 mil at 3; Tuesday 28,500 ft of 54 mil
    weights = [(coil.day, coil.gauge, coil.weight_lb) for coil in outcome.plan.coils]
    assert weights == [(MONDAY, "54 mil", 63_750), (MONDAY, "68 mil", 60_000), (TUESDAY, "54 mil", 71_250)]


def test_a_pin_is_kept_and_what_it_makes_late_is_told() -> None:
    # B must wait for Tuesday. A, C, B: C to 540, B from 565 to 765, 285 after Monday's 480, and a change-over of 50.
    # A, B, C: B from 480 to 680, 200 late, C from 705 to 1,005, 45 late, two change-overs: 345.
    jobs = job("A", THIN, 240, 0), job("B", THICK, 200, 0, pin=Pin(day=TUESDAY)), job("C", THIN, 300, 1)
    outcome = planned(task_of(*jobs))
    assert starts(outcome.plan) == {"A": (0, 360, 0), "C": (0, 600, 0), "B": (1, 445, 25)}
    assert outcome.plan.cost.total == 335
    assert outcome.plan.late_orders == (LateOrder("Order B", 1, 285, TUESDAY),)
    free = planned(task_of(*(replace(each, pin=None) for each in jobs)))
    assert late_changes(free.plan, outcome.plan) == (
        LateChange("Order B", None, outcome.plan.late_orders[0]),
    )
    # and alone: A and B fit into Monday, but B waits for Tuesday's opening; set up at Monday's end
    two = planned(task_of(*jobs[:2]))
    assert starts(two.plan) == {"A": (0, 360, 0), "B": (1, 360, 25)}
    assert [day.setup_minutes for day in two.plan.days] == [25, 0]


def test_jobs_before_a_pinned_one_leave_it_its_day() -> None:
    # F is pinned to Monday and begins there in any case: by due dates D and E (400 each) come first and would push it
    # to minute 800, so the rule puts only D before it
    jobs = job("D", THIN, 400, 0), job("E", THIN, 400, 0), job("F", THIN, 60, 3, pin=Pin(day=MONDAY))
    outcome = planned(task_of(*jobs))
    assert starts(outcome.by_due_date) == {"D": (0, 360, 0), "F": (0, 760, 0), "E": (0, 820, 0)}
    # E ends with minute 860, 380 late; D, E, F would break the pin; F, D, E is as late
    assert outcome.plan.cost.total == 380


def test_pins_to_lines_and_lines_that_cannot() -> None:
    two = (RollLine("Line 1", 6_000, WEEK, depths_16=frozenset({160})), RollLine("Line 2", 6_000, WEEK))
    jobs = (
        job("A", THIN, 60, 0, pin=Pin(line="Line 2")),
        job("B", DEEP, 60, 0),
        job("C", THIN, 60, 0, pin=Pin(line="Line 2", day=TUESDAY)),
        job("D", THICK, 60, 0),
    )
    plan = planned(task_of(*jobs, lines=two)).plan
    assert {run.job: run.line for run in plan.runs} == {
        "A": "Line 2",
        "B": "Line 2",
        "C": "Line 2",
        "D": "Line 1",
    }
    # on line 2 the deep one goes first, so that A and C need one change-over between them
    assert starts(plan) == {"B": (0, 360, 0), "A": (0, 450, 30), "C": (1, 360, 0), "D": (0, 360, 0)}
    only = (two[1], replace(two[0], profiles=frozenset({THICK.code}), depths_16=None))
    assert {run.job: run.line for run in planned(task_of(*jobs, lines=only)).plan.runs}["D"] == "Line 1"


def test_a_pin_to_a_day_goes_to_a_line_that_works_then() -> None:
    two = (replace(lines(2)[0], closed=frozenset({TUESDAY})), lines(2)[1])
    outcome = planned(task_of(job("A", THIN, 60, 1, pin=Pin(day=TUESDAY)), job("B", THIN, 60, 1), lines=two))
    assert [(run.line, run.day) for run in outcome.plan.runs if run.job == "A"] == [("Line 2", TUESDAY)]


def test_what_rolls_and_what_is_frozen_stays() -> None:
    # R rolls since Monday 13:00: 60 minutes on Monday, 60 on Tuesday. X was planned for Monday too: frozen, it follows
    # as soon as it can, at 07:25 on Tuesday after a change-over, to 08:25. Y is free, from 08:50 on.
    rolling = job("R", THIN, 120, 0, held=Held("Line 1", Moment(MONDAY, 780)))
    jobs = rolling, job("X", THICK, 60, 0, pin=Pin(day=WEDNESDAY)), job("Y", THIN, 60, 0)
    was = (
        Placing("X", "Line 1", Moment(MONDAY, 800), MONDAY),
        Placing("Gone", "Line 1", Moment(MONDAY, 1), MONDAY),
    )
    task = task_of(*jobs, free_from=TUESDAY, frozen_since=MONDAY, previous=was)
    outcome = planned(task)
    assert starts(outcome.plan) == {"R": (0, 780, 0), "X": (1, 445, 25), "Y": (1, 530, 25)}
    assert [run.held for run in outcome.plan.runs] == [True, True, False]
    # late by 60, 145 and 230 minutes of Tuesday; two change-overs
    assert outcome.plan.cost.total == 60 + 145 + 230 + 100
    assert outcome.plan.days[0].feet_16 == outcome.plan.days[1].feet_16 - 12_000 * 192 == 6_000 * 192
    # nothing is frozen unless told: X then keeps its pin
    thawed = planned(replace(task, frozen_since=None))
    assert starts(thawed.plan)["X"] == (2, 360, 25)


def test_what_the_line_is_set_up_for_comes_first_or_is_changed() -> None:
    loaded = (replace(lines(1)[0], loaded=THICK.code),)
    outcome = planned(task_of(job("A", THIN, 60, 0), job("B", THICK, 60, 0), lines=loaded))
    assert starts(outcome.plan) == {"B": (0, 360, 0), "A": (0, 445, 25)}
    alone = planned(task_of(job("A", THIN, 60, 0), lines=loaded))
    assert starts(alone.plan) == {"A": (0, 385, 25)}


def test_a_frozen_place_on_a_line_that_is_gone_or_cannot_is_free() -> None:
    two = (RollLine("Line 1", 6_000, WEEK, profiles=frozenset({THIN.code})), RollLine("Line 2", 6_000, WEEK))
    was = tuple(
        Placing(name, line, Moment(MONDAY, 360), MONDAY) for name, line in [("A", "Old"), ("B", "Line 1")]
    )
    task = task_of(
        job("A", THIN, 60, 1),
        job("B", THICK, 60, 1),
        lines=two,
        previous=was,
        free_from=TUESDAY,
        frozen_since=MONDAY,
    )
    outcome = planned(task)
    assert not any(run.held for run in outcome.plan.runs)
    # A's old line is no more, so it has not moved; B has
    assert {run.job: run.moved for run in outcome.plan.runs} == {"A": False, "B": True}


def test_moves_against_the_previous_plan_have_a_price() -> None:
    # three jobs of a day each, all due Wednesday: the plan stays as it was
    jobs = job("A", THIN, 480, 2), job("B", THIN, 480, 2), job("C", THIN, 480, 2)
    was = tuple(
        Placing(name, "Line 1", Moment(MONDAY + day, 360), MONDAY + day)
        for name, day in [("C", 0), ("A", 1), ("B", 2)]
    )
    kept = planned(task_of(*jobs, previous=was))
    assert starts(kept.plan) == {"C": (0, 360, 0), "A": (1, 360, 0), "B": (2, 360, 0)}
    assert kept.plan.placings() == tuple(sorted(was, key=lambda placing: placing.day))
    assert (kept.plan.cost.total, kept.previous_cost) == (0, 0)
    # B is now due Monday: on Wednesday it is 960 late. B changes with C, A stays: two moves at 30
    rushed = planned(task_of(jobs[0], replace(jobs[1], due=MONDAY), jobs[2], previous=was))
    assert starts(rushed.plan) == {"B": (0, 360, 0), "A": (1, 360, 0), "C": (2, 360, 0)}
    assert (rushed.plan.cost.moved, rushed.plan.cost.total, rushed.previous_cost) == (60, 60, 960)
    assert [run.moved for run in rushed.plan.runs] == [True, False, True]


def test_new_jobs_join_the_previous_plan_where_they_cost_least() -> None:
    jobs = job("A", THIN, 100, 0), job("B", THICK, 100, 0), job("N", THIN, 100, 0)
    was = (
        Placing("A", "Line 1", Moment(MONDAY, 360), MONDAY),
        Placing("B", "Line 1", Moment(MONDAY, 485), MONDAY),
    )
    assert planned(task_of(*jobs, previous=was)).previous_cost == 50  # N next to A: no change-over more


def test_capacity_of_a_shift_slows_a_line() -> None:
    # 24,000 ft in 480 minutes: 12,000 ft take 240, though the machine would need 120; Saturday's 60 minutes get 3,000
    shifts = (*WEEK, replace(WEEK[0], weekday=5, start_minute=360, end_minute=420))
    slow = (RollLine("Line 1", 6_000, shifts, capacity_ft_per_shift=24_000),)
    plan = planned(
        task_of(job("A", THIN, 120, 0), job("S", THIN, 5, 0, pin=Pin(day=MONDAY + 5)), lines=slow)
    ).plan
    assert plan.runs[0].minutes == 240
    assert [day.capacity_16 // 192 for day in plan.days] == [24_000] * 5 + [3_000]


def test_pins_without_room_are_refused() -> None:
    pin = Pin(day=MONDAY)
    jobs = job("A", THIN, 480, 0, pin=pin), job("B", THIN, 480, 0, pin=pin)
    with pytest.raises(
        LineRefused, match="Bundle B is pinned to 2026-12-07, but the other pins leave no time"
    ) as told:
        plan_lines(task_of(*jobs))
    assert "on any line that can roll it that day. Unpin one" in told.value.message
    assert [problem.place for problem in told.value.problems] == ["jobs.B.pin"]
    named = replace(jobs[1], pin=Pin("Line 1", MONDAY))
    with pytest.raises(LineRefused, match="leave no time to begin it on line Line 1 that day"):
        plan_lines(task_of(jobs[0], named))


def test_no_jobs_make_an_empty_plan() -> None:
    outcome = planned(task_of())
    assert (outcome.plan.runs, outcome.plan.coils, outcome.plan.cost.total) == ((), (), 0)
    assert [(day.day, day.feet_16) for day in outcome.plan.days] == [(MONDAY, 0)]
    closed = planned(task_of(closed=frozenset({MONDAY})))
    assert closed.plan.days == ()


def test_no_moves_leave_the_best_of_the_rules() -> None:
    task = replace(small_shop(8, 1, 3), effort=Effort(moves=0))
    outcome = planned(task)
    assert outcome.plan.cost.total == min(outcome.families_cost, outcome.by_due_date.cost.total)


def test_the_search_tells_how_far_it_is_and_can_be_stopped() -> None:
    task = replace(small_shop(13, 1, 300), effort=Effort(seeds=(1, 2, 3)))
    told: list[Advance] = []
    outcome = plan_lines(task, lambda advance: told.append(advance) or True)  # type: ignore[func-returns-value]
    # 13 jobs are too many to be decided; 12 moves for each pair of them, 2,028 a seed, told every 250
    assert [advance.done for advance in told] == [s * 2_028 + k * 250 for s in range(3) for k in range(9)]
    assert {advance.of for advance in told} == {6_084}
    costs = [advance.cost for advance in told]
    assert costs == sorted(costs, reverse=True)
    assert outcome.plan.cost.total <= costs[-1] < outcome.families_cost
    halted = plan_lines(task, lambda advance: advance.done < 1_000)
    check_plan(task, halted.plan)
    assert halted.stopped
    assert outcome.plan.cost.total <= halted.plan.cost.total <= costs[3]
    at_once = plan_lines(task, lambda _: False)
    assert at_once.plan.cost.total == min(at_once.families_cost, at_once.by_due_date.cost.total)


def test_many_jobs_take_one_long_turn() -> None:
    task = replace(big_shop(60, 3, 1), effort=Effort(moves=6_000))
    told: list[Advance] = []
    outcome = plan_lines(task, lambda advance: told.append(advance) or True)  # type: ignore[func-returns-value]
    check_plan(task, outcome.plan)
    assert told[-1].of == 6_000
    assert told[-1].done == 5_750
    assert outcome.plan.cost.total < outcome.families_cost < outcome.by_due_date.cost.total


def test_a_weight_of_nought_is_never_late() -> None:
    outcome = planned(task_of(job("A", THIN, 600, 0, weight=0), job("B", THIN, 400, 0)))
    assert starts(outcome.plan)["B"] == (0, 360, 0)
    assert outcome.plan.cost.total == 0
    # A ends with minute 1,000, 520 after Monday's end: told as late, though it costs nothing
    assert outcome.plan.late_orders == (LateOrder("Order A", 1, 520, WEDNESDAY),)
