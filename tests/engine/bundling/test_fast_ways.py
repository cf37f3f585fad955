"""The array forms of the cut and of the exchange against the plain ones."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.bundling import batch
from framing.engine.bundling.batch import cheapest
from framing.engine.bundling.costs import Bundle, Limits, Unit, score
from framing.engine.bundling.cut import cut_sizes
from framing.engine.bundling.exchange import best_change
from framing.engine.bundling.orders import orders

UNITS = st.lists(
    st.tuples(st.sampled_from([900, 1500, 1501, 3000, 3768]), st.integers(1_000, 60_000), st.integers(1, 3)),
    min_size=2,
    max_size=30,
).map(lambda rows: [Unit(3 * i + step, length, weight) for i, (length, weight, step) in enumerate(rows)])
LIMITS = st.builds(
    Limits,
    least=st.integers(2, 8),
    most=st.integers(9, 15),
    weight_100=st.sampled_from([60_000, 200_000]),
    spread_16=st.just(768),
)


def _plainly(units: list[Unit], limits: Limits) -> tuple[tuple[int, int], int, list[int]]:
    tried = orders([unit.length_16 for unit in units], limits)
    cuts = [cut_sizes([units[i] for i in order], limits) for order in tried]
    scores = [score for score, _ in cuts]
    index = scores.index(min(scores))
    return scores[index], index, cuts[index][1]


@settings(max_examples=60, deadline=None)
@given(UNITS, LIMITS)
def test_cuts_in_arrays_are_the_plain_cuts(units: list[Unit], limits: Limits) -> None:
    tried = orders([unit.length_16 for unit in units], limits)
    assert cheapest(tried, units, limits) == _plainly(units, limits)


@pytest.mark.parametrize("room", [1 << 38, 1 << 20])
def test_many_pieces_keep_squares_apart_and_too_many_are_left_alone(
    monkeypatch: pytest.MonkeyPatch, room: int
) -> None:
    limits = Limits(8, 13, 200_000, 768)
    units = [Unit(2 * i, 1500 + 700 * (i % 3), 6_000) for i in range(30)]
    tried = orders([unit.length_16 for unit in units], limits)
    monkeypatch.setattr(batch, "_KEY_MOST", room)
    expected = _plainly(units, limits) if room > 1 << 35 else None
    assert cheapest(tried, units, limits) == expected


@settings(max_examples=60, deadline=None)
@given(UNITS, st.integers(1, 12), LIMITS)
def test_best_change_is_the_best_of_all_moves_and_swaps(units: list[Unit], at: int, limits: Limits) -> None:
    at = min(at, len(units) - 1)
    pair = _first_bundle(units[:at], limits), _first_bundle(units[at:], limits)
    best = min([pair, *_every_change(*pair, limits)], key=lambda tried: score(tried, limits))
    assert best_change(*pair, limits) == (None if best == pair else best)


def _first_bundle(units: list[Unit], limits: Limits) -> Bundle:
    """As many of the first pieces as one bundle may hold."""
    sizes = range(min(len(units), limits.most), 0, -1)
    return next(tuple(units[:size]) for size in sizes if _allowed(tuple(units[:size]), limits))


def _every_change(first: Bundle, second: Bundle, limits: Limits) -> list[tuple[Bundle, Bundle]]:
    found: list[tuple[Bundle, Bundle]] = []
    for i, unit in enumerate(first):
        rest = first[:i] + first[i + 1 :]
        found.append((rest, (*second, unit)))
        found += [((*rest, other), (*second[:j], *second[j + 1 :], unit)) for j, other in enumerate(second)]
    found += [((*first, unit), second[:j] + second[j + 1 :]) for j, unit in enumerate(second)]
    return [pair for pair in found if all(bundle and _allowed(bundle, limits) for bundle in pair)]


def _allowed(bundle: Bundle, limits: Limits) -> bool:
    weight = sum(unit.weight_100 for unit in bundle)
    return len(bundle) <= limits.most and (len(bundle) == 1 or weight <= limits.weight_100)
