"""Few jobs are decided: against all orders timed one by one, and what is handed to the search (R46)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations, product

import pytest

from framing.engine.line import Advance, ChangeOver, LineTask, Moment, Pin, Placing, plan_lines
from framing.engine.line import exact as decided
from framing.engine.line.exact import best_sequences, decidable
from framing.engine.line.lattice import FAR, Lattice
from framing.engine.line.model import Model, build
from framing.engine.line.timing import BLOCKED, Order
from tests.engine.line.checker import check_plan
from tests.engine.line.shops import DEEP, MONDAY, PROFILES, THICK, THIN, job, lines, small_shop, task_of

TUESDAY = MONDAY + 1


def unlike(seed: int) -> LineTask:
    """Five jobs on a slow line that is set up and can't roll the deepest, and a fast one; two pins, a timed pair."""
    task = small_shop(5, 2, seed)
    slow, fast = task.lines
    slow = replace(slow, speed_ft_per_hour=4_500, depths_16=frozenset({128, 160}), loaded=PROFILES[0].code)
    pins = (Pin(day=TUESDAY), None, Pin(line="Line 2"), None, None)
    jobs = tuple(replace(each, pin=pin) for each, pin in zip(task.jobs, pins, strict=True))
    pair = (jobs[1].profile, jobs[3].profile, 1)
    return replace(task, lines=(slow, fast), jobs=jobs, change_over=ChangeOver(pairs=(pair,)))


def plans(model: Model) -> Iterator[list[Order]]:
    """Every way to share the jobs of a model and to order the shares, of those that its lines can take."""
    for lines_of in product(model.lines, repeat=len(model.free)):
        if all(line.rows[job] for line, job in zip(lines_of, model.free, strict=True)):
            shares = [
                [job for job, its in zip(model.free, lines_of, strict=True) if its is line]
                for line in model.lines
            ]
            for orders in product(*(permutations(share) for share in shares)):
                yield [
                    Order(line, model.setups, model.task.prices, order)
                    for line, order in zip(model.lines, orders, strict=True)
                ]


def least(model: Model) -> int:
    return min(sum(order.total for order in orders) for orders in plans(model))


def cost_of(model: Model, plan: list[list[int]] | None) -> int:
    assert plan is not None
    assert sorted(job for seq in plan for job in seq) == list(model.free)
    pairs = zip(model.lines, plan, strict=True)
    return sum(Order(line, model.setups, model.task.prices, seq).total for line, seq in pairs)


@pytest.mark.parametrize("seed", [0, 1, 2, 3, 35, 224])
def test_no_plan_of_unlike_lines_costs_less(seed: int) -> None:
    """In the last two a share that promises less costs more than a plan found before."""
    task = unlike(seed)
    model = build(task)
    best = least(model)
    assert cost_of(model, best_sequences(model)) == best < BLOCKED
    plan = plan_lines(task).plan
    check_plan(task, plan)
    assert plan.cost.total == best


@pytest.mark.parametrize("seed", range(4))
def test_no_plan_of_two_lines_alike_costs_less(seed: int) -> None:
    model = build(small_shop(5, 2, seed))
    assert cost_of(model, best_sequences(model)) == least(model)


@pytest.mark.parametrize("seed", range(4))
def test_no_order_of_one_line_costs_less_where_a_day_is_kept(seed: int) -> None:
    task = small_shop(6, 1, seed)
    model = build(
        replace(task, jobs=(replace(task.jobs[2], pin=Pin(day=TUESDAY)), *task.jobs[:2], *task.jobs[3:]))
    )
    assert cost_of(model, best_sequences(model)) == least(model) < BLOCKED


@pytest.mark.parametrize("seed", [37, 69])
def test_a_beginning_is_given_up_for_an_earlier_and_cheaper_one(seed: int) -> None:
    """Both hold one that was still to be taken up when a better one with the same jobs and the same last came by."""
    model = build(small_shop(6, 1, seed))
    assert cost_of(model, best_sequences(model)) == least(model)


@pytest.mark.parametrize("seed", range(6))
def test_bounds_are_below_every_order(seed: int) -> None:
    model = build(unlike(seed))
    line = model.lines[1]
    lattice = Lattice(model, line, model.free)
    so_far, to_come = lattice.so_far(), lattice.to_come()
    for order in permutations(range(5)):
        cost = Order(line, model.setups, model.task.prices, [model.free[bit] for bit in order]).cost
        done = 0
        for place, bit in enumerate(order, start=1):
            done |= 1 << bit
            if cost[place] < BLOCKED:
                assert so_far[done] <= cost[place]
                assert cost[place] + to_come[done, lattice.kinds[bit]] <= cost[-1]


def test_a_job_that_the_line_cannot_roll_has_no_bound() -> None:
    two = (replace(lines(1)[0], depths_16=frozenset({160})), lines(2)[1])
    model = build(task_of(job("A", THIN, 60, 0), job("B", DEEP, 60, 0), lines=two))
    so_far = Lattice(model, model.lines[0], model.free).so_far()
    assert so_far[1] == 0
    assert min(so_far[2], so_far[3]) >= FAR
    assert best_sequences(model) == [[0], [1]]


def test_a_short_way_round_by_a_third_profile_is_in_the_bound() -> None:
    # from thin to deep takes 90 minutes, by thick 5 and 5; a plan with all three pays 10, twice
    rule = ChangeOver(
        pairs=((THIN.code, DEEP.code, 90), (THIN.code, THICK.code, 5), (THICK.code, DEEP.code, 5))
    )
    thin = (replace(lines(1)[0], loaded=THIN.code),)
    jobs = job("A", THIN, 60, 0), job("B", DEEP, 60, 0), job("C", THICK, 60, 0)
    model = build(task_of(*jobs, lines=thin, change_over=rule))
    assert best_sequences(model) == [[0, 2, 1]]
    assert cost_of(model, [[0, 2, 1]]) == Lattice(model, model.lines[0], model.free).so_far()[-1] == 20


def test_pins_that_leave_each_other_no_time_have_no_order() -> None:
    pin = Pin(day=MONDAY)
    jobs = job("A", THIN, 480, 0, pin=pin), job("B", THIN, 480, 0, pin=pin), job("C", THIN, 480, 0, pin=pin)
    assert best_sequences(build(task_of(*jobs[:2]))) is None
    assert best_sequences(build(task_of(*jobs, lines=lines(2)))) is None
    with_room = build(task_of(*jobs[:2], lines=lines(2)))
    assert cost_of(with_room, best_sequences(with_room)) == 0


def test_a_beginning_that_would_miss_a_pinned_day_is_dropped() -> None:
    # due the day before: a minute of A costs 3, of B 5. A, B, P: A ends with minute 200, B with 425, P begins with 470:
    # 600 + 2,125, and 2 x (25 + 45) for changing over. From thick to thin takes 100, so B, A promises less (1,000 +
    # 1,500 + 200), but then P can't begin before 530 and misses Monday's 480. B, P, A: 1,000 + 3 x 595 + 150 = 2,935.
    jobs = (
        job("A", THIN, 200, -1, weight=3),
        job("B", THICK, 200, -1, weight=5),
        job("P", DEEP, 120, 5, pin=Pin(day=MONDAY)),
    )
    model = build(task_of(*jobs, change_over=ChangeOver(pairs=((THICK.code, THIN.code, 100),))))
    assert best_sequences(model) == [[0, 1, 2]]
    assert cost_of(model, [[0, 1, 2]]) == 2_865
    assert cost_of(model, [[1, 2, 0]]) == 2_935
    assert cost_of(model, [[1, 0, 2]]) >= BLOCKED


def test_one_job_goes_to_either_of_two_lines() -> None:
    assert best_sequences(build(task_of(job("A", THIN, 500, 0), lines=lines(2)))) == [[0], []]


@pytest.mark.parametrize("count", [1, 2])
def test_too_many_steps_hand_over_to_the_search(count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    task = small_shop(8, count, 3)
    best = plan_lines(task).plan.cost.total
    monkeypatch.setattr(decided, "STEPS_MOST", 5)
    assert best_sequences(build(task)) is None
    told: list[Advance] = []
    plan = plan_lines(task, lambda advance: told.append(advance) or True).plan  # type: ignore[func-returns-value]
    check_plan(task, plan)
    assert plan.cost.total >= best
    assert told[1].of > 1


def test_what_is_decided_and_what_is_not() -> None:
    assert decidable(build(small_shop(12, 2, 1)))
    assert not decidable(build(small_shop(13, 1, 1)))
    assert not decidable(build(small_shop(8, 3, 1)))
    assert not decidable(build(task_of()))
    jobs = job("A", THIN, 60, 0), job("B", THICK, 60, 0)
    assert decidable(build(task_of(*jobs)))
    # as it was planned for Tuesday, to come first on Monday may cost more
    was = (Placing("A", "Line 1", Moment(TUESDAY, 360), TUESDAY),)
    assert not decidable(build(task_of(*jobs, previous=was)))
    # a price that no longer fits beside the others
    assert not decidable(build(task_of(*jobs, job("C", THIN, 60, 0, weight=1 << 40))))


def test_few_jobs_can_be_stopped_only_before() -> None:
    task = small_shop(9, 2, 3)
    told: list[Advance] = []
    outcome = plan_lines(task, lambda advance: told.append(advance) or True)  # type: ignore[func-returns-value]
    start = min(outcome.families_cost, outcome.by_due_date.cost.total)
    assert told == [Advance(0, 1, start)]
    assert not outcome.stopped
    assert outcome.plan.cost.total < start
    halted = plan_lines(task, lambda _: False)
    check_plan(task, halted.plan)
    assert halted.stopped
    assert halted.plan.cost.total == start
