"""A line's order: what a change costs is the same told quickly and timed anew."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from framing.engine.line import Pin, Placing, RollLine
from framing.engine.line.model import Model, build, minutes_for
from framing.engine.line.timing import BLOCKED, Order
from tests.engine.line.checker import needed
from tests.engine.line.shops import MONDAY, WEEK, lines, small_shop


def order_of(model: Model, seq: list[int]) -> Order:
    return Order(model.lines[0], model.setups, model.task.prices, seq)


def shop(seed: int, *, pinned: bool, planned: bool) -> Model:
    task = small_shop(9, 1, seed)
    if pinned:
        jobs = tuple(
            replace(job, pin=Pin(day=MONDAY + 1)) if i == 4 else job for i, job in enumerate(task.jobs)
        )
        task = replace(task, jobs=jobs)
    if planned:
        start = build(task).lines[0].clock.start_moment(1)
        was = tuple(Placing(job.id, "Line 1", start, MONDAY + i // 3) for i, job in enumerate(task.jobs[:7]))
        task = replace(task, previous=was)
    return build(task)


@given(
    st.integers(0, 40),
    st.booleans(),
    st.booleans(),
    st.permutations(range(9)),
    st.integers(0, 9),
    st.integers(0, 9),
)
def test_rest_is_told_as_if_timed_anew(
    seed: int, pinned: bool, planned: bool, jobs: list[int], one: int, two: int
) -> None:
    model = shop(seed, pinned=pinned, planned=planned)
    order = order_of(model, list(jobs))
    low, high = sorted((one, two))
    stretch = order.seq[low:high][::-1]
    stand = order.walk(stretch, order.before(low))
    anew = order_of(model, [*order.seq[:low], *stretch, *order.seq[high:]]).total
    if order.total < BLOCKED and anew < BLOCKED:
        assert order.with_rest(high, stand) == anew
        assert order.least_with_rest(high, stand) <= anew
        changed = order_of(model, order.seq)
        changed.put([*order.seq[:low], *stretch, *order.seq[high:]], low)
        assert (changed.total, changed.ends) == (anew, order_of(model, changed.seq).ends)
    elif order.total < BLOCKED:
        assert order.with_rest(high, stand) >= BLOCKED


STANDS = (
    "seq",
    "ends",
    "changes",
    "over",
    "tardy",
    "tardies",
    "was",
    "cost",
    "fixed",
    "late",
    "worst",
    "loose",
)


def check_anew(order: Order, model: Model) -> None:
    """All that an order knows is what it would know if it were timed from the beginning."""
    anew = order_of(model, order.seq)
    for name in STANDS:
        assert getattr(order, name) == getattr(anew, name), name


@given(
    st.integers(0, 40),
    st.booleans(),
    st.booleans(),
    st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(0, 9)), max_size=6),
)
def test_whatever_is_put_in_the_order_knows_all_as_if_timed_anew(
    seed: int, pinned: bool, planned: bool, moves: list[tuple[int, int, int]]
) -> None:
    model = shop(seed, pinned=pinned, planned=planned)
    order = order_of(model, list(range(9)))
    for places in moves:
        low, middle, high = sorted(places)
        seq = order.seq[:low] + order.seq[middle:high] + order.seq[low:middle] + order.seq[high:]
        order.put(seq, low, len(seq) - high)
        check_anew(order, model)
    away = order.seq[:2] + order.seq[4:]
    order.put(away, 2, len(away) - 2)
    check_anew(order, model)
    order.put([*away[:3], away[-1]], 3, 1)
    check_anew(order, model)


@pytest.mark.parametrize(("pinned", "planned"), [(False, False), (False, True), (True, False)])
def test_jobs_behind_a_change_follow_as_they_stood(pinned: bool, planned: bool) -> None:
    for seed in range(4):
        model = shop(seed, pinned=pinned, planned=planned)
        order = order_of(model, list(range(9)))
        for low, middle, high in ((0, 1, 2), (2, 3, 5), (0, 4, 9), (3, 3, 6), (1, 2, 3)):
            seq = order.seq[:low] + order.seq[middle:high] + order.seq[low:middle] + order.seq[high:]
            order.put(seq, low, len(seq) - high)
            check_anew(order, model)
            order.put(order.seq[1:], 0, len(order.seq) - 1)
            check_anew(order, model)
            order.put([*range(9)], 0)


def test_a_broken_pin_is_known_behind_a_change_too() -> None:
    # job 4 is pinned to Tuesday: last of nine long jobs it comes too late, and all behind it is out of the question
    model = shop(1, pinned=True, planned=False)
    early = order_of(model, [4, 0, 1, 2, 3, 5, 6, 7, 8])
    assert early.total < BLOCKED
    early.put([0, 1, 2, 3, 5, 6, 4, 7, 8], 0, 2)
    assert early.total >= BLOCKED
    check_anew(early, model)
    early.put([0, 1, 2, 3, 5, 4, 6, 7, 8], 5, 2)
    check_anew(early, model)
    early.put([4, 0, 1, 2, 3, 5, 6, 7, 8], 0, 3)
    assert early.total < BLOCKED
    check_anew(early, model)


# 1,000 ft at 100 ft a minute are 10 minutes; 7 ft more, 4.2 s, make an eleventh begun
@pytest.mark.parametrize(
    ("feet", "pieces", "seconds", "capacity", "minutes"),
    [
        (1_000, 12, 0, None, 10),
        (1_007, 12, 0, None, 11),
        (1_000, 12, 5, None, 11),  # 12 pieces at 5 s: a minute more
        (1_000, 13, 5, None, 12),  # 65 s
        (1_000, 12, 5, 24_000, 20),  # 24,000 ft in 480 minutes: 50 ft a minute, handling in it
        (1_000, 240, 5, 24_000, 30),  # 240 pieces at 5 s: 20 minutes on top of 10, more than its share of 20
    ],
)
def test_minutes_of_a_job(feet: int, pieces: int, seconds: int, capacity: int | None, minutes: int) -> None:
    task = replace(small_shop(1, 1, 1), seconds_per_piece=seconds)
    job = replace(task.jobs[0], feet_16=feet * 192, pieces=pieces)
    line = RollLine("Line 1", 6_000, WEEK, capacity_ft_per_shift=capacity)
    assert minutes_for(line, job, seconds) == minutes
    assert needed(task, line, job) == minutes


def test_lines_and_jobs_go_by_name() -> None:
    task = replace(small_shop(4, 2, 1), lines=lines(2)[::-1])
    model = build(replace(task, jobs=task.jobs[::-1]))
    assert [line.line.name for line in model.lines] == ["Line 1", "Line 2"]
    assert [job.id for job in model.jobs] == ["B-00", "B-01", "B-02", "B-03"]
