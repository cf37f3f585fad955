"""The least change-overs of all profiles by some lines: by hand, and against trying every way."""

from __future__ import annotations

from itertools import permutations, product

from hypothesis import given
from hypothesis import strategies as st

from framing.engine.line.tours import PROFILES_MOST, Tour, least_tour

NOTHING = -1


def told(minutes: list[list[int]]) -> list[list[int]]:
    return [*minutes, [0] * len(minutes)]


def test_one_line_goes_the_shorter_way_round() -> None:
    # A to B 10, B to C 10, back 30 each, A and C 40: A, B, C is 20, any other way 40 or more
    setups = told([[0, 10, 40], [30, 0, 10], [40, 30, 0]])
    assert least_tour(setups, [0, 1, 2], [NOTHING]) == Tour(20, ((0, 1, 2),))
    # set up for C, it must come back: C, B, A is 60; C, A, B 50
    assert least_tour(setups, [0, 1, 2], [2]) == Tour(50, ((2, 0, 1),))
    assert least_tour(setups, [1], [0]) == Tour(10, ((1,),))
    assert least_tour(setups, [], [0]) == Tour(0, ((),))


def test_two_lines_share_what_is_dear_to_change() -> None:
    # A and B 10 apart, C 100 from both: C goes to the other line
    setups = told([[0, 10, 100], [10, 0, 100], [100, 100, 0]])
    tour = least_tour(setups, [0, 1, 2], [NOTHING, NOTHING])
    assert tour is not None
    assert tour.minutes == 10
    assert sorted(map(sorted, tour.of_lines)) == [[0, 1], [2]]
    # both lines are set up for A: C costs 100 on whatever line
    assert least_tour(setups, [0, 1, 2], [0, 0]) is not None
    assert least_tour(setups, [0, 1, 2], [0, 0]).minutes == 110  # type: ignore[union-attr]


def test_by_way_of_another_profile_counts_as_a_way() -> None:
    # A to C 90, by way of B 20: no plan of A and C needs less
    setups = told([[0, 10, 90], [90, 0, 10], [90, 90, 0]])
    tour = least_tour(setups, [0, 2], [0])
    assert tour is not None
    assert tour.minutes == 20


def test_too_many_profiles_are_not_gone_through() -> None:
    many = PROFILES_MOST + 1
    assert least_tour(told([[5] * many] * many), list(range(many)), [NOTHING]) is None


@given(
    st.integers(1, 4).flatmap(
        lambda n: st.tuples(
            st.lists(st.lists(st.integers(0, 50), min_size=n, max_size=n), min_size=n, max_size=n),
            st.lists(st.integers(-1, n - 1), min_size=1, max_size=2),
        )
    )
)
def test_no_way_costs_less(case: tuple[list[list[int]], list[int]]) -> None:
    minutes, loaded = case
    count = len(minutes)
    setups = told([[0 if a == b else minutes[a][b] for b in range(count)] for a in range(count)])
    tour = least_tour(setups, list(range(count)), loaded)
    assert tour is not None
    assert sorted(one for line in tour.of_lines for one in line) == list(range(count))
    short = closed(setups)
    ways = [
        sum(cost([p for p in order if on[p] == line], start, short) for line, start in enumerate(loaded))
        for order in permutations(range(count))
        for on in product(range(len(loaded)), repeat=count)
    ]
    assert tour.minutes == min(ways)
    own = zip(tour.of_lines, loaded, strict=True)
    assert tour.minutes == sum(cost(line, start, short) for line, start in own)


def cost(line: list[int] | tuple[int, ...], start: int, short: list[list[int]]) -> int:
    """Minutes of change-over of one line."""
    return sum(short[a][b] for a, b in zip([start, *line], line, strict=False))


def closed(setups: list[list[int]]) -> list[list[int]]:
    """The shortest ways, by going through all of them until nothing gets shorter."""
    short = [row[:] for row in setups]
    count = len(setups) - 1
    for _ in range(count + 1):
        for row, via, after in product(range(count + 1), range(count), range(count)):
            short[row][after] = min(short[row][after], short[row][via] + short[via][after])
    return short
