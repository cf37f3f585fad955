"""Bundle plans of any pieces: a checker, an optimum by enumeration for small cases, repeatability."""

from __future__ import annotations

from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.bundling.plan import Limits, Unit, cost, cut, least_bundles, plan_bundles

PIECES = st.lists(
    st.tuples(
        st.sampled_from([900, 1500, 1501, 3000, 3768, 6000]), st.integers(1_000, 60_000), st.integers(1, 3)
    ),
    min_size=1,
    max_size=40,
)
LIMITS = st.builds(
    Limits,
    least=st.integers(2, 8),
    most=st.integers(9, 15),
    weight_100=st.sampled_from([60_000, 200_000]),
    spread_16=st.just(768),
)


def to_units(rows: list[tuple[int, int, int]]) -> list[Unit]:
    place = 0
    units = []
    for length, weight, step in rows:
        place += step
        units.append(Unit(place, length, weight))
    return units


@given(PIECES, LIMITS)
@settings(max_examples=40, deadline=None)
def test_every_piece_once_and_every_hard_limit_kept(rows: list[tuple[int, int, int]], limits: Limits) -> None:
    units = to_units(rows)
    plan = plan_bundles(units, limits)
    assert sorted(unit for bundle in plan for unit in bundle) == units
    assert len(plan) >= least_bundles(units, limits)
    for bundle in plan:
        assert 1 <= len(bundle) <= limits.most
        assert len(bundle) == 1 or sum(unit.weight_100 for unit in bundle) <= limits.weight_100
        assert list(bundle) == sorted(bundle)
    assert [bundle[0] for bundle in plan] == sorted(bundle[0] for bundle in plan)


@given(PIECES, LIMITS)
@settings(max_examples=30, deadline=None)
def test_never_worse_than_the_plain_cut_and_the_same_for_any_input_order(
    rows: list[tuple[int, int, int]], limits: Limits
) -> None:
    units = to_units(rows)
    plan = plan_bundles(units, limits)
    assert _total(plan, limits) <= _total(cut(units, limits), limits)
    assert plan_bundles(list(reversed(units)), limits) == plan


@given(PIECES.map(lambda rows: rows[:9]), st.integers(2, 4), st.integers(2, 3))
def test_cut_of_an_order_is_the_best_of_all_its_cuts(
    rows: list[tuple[int, int, int]], most: int, least: int
) -> None:
    limits = Limits(min(least, most), most, 100_000, 768)
    units = to_units(rows)
    best = min(_total(plan, limits) for plan in _all_cuts(units, limits))
    assert _total(cut(units, limits), limits) == best


def _total(plan: object, limits: Limits) -> int:
    assert isinstance(plan, list | tuple)
    return sum(cost(bundle, limits) for bundle in plan)


def _all_cuts(units: list[Unit], limits: Limits) -> Iterator[list[list[Unit]]]:
    if not units:
        yield []
    for size in range(1, min(limits.most, len(units)) + 1):
        head = units[:size]
        if size == 1 or sum(unit.weight_100 for unit in head) <= limits.weight_100:
            yield from ([head, *rest] for rest in _all_cuts(units[size:], limits))
