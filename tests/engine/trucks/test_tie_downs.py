"""49 CFR 393.106(d) and 393.110 against the published rows T013 to T025."""

from __future__ import annotations

import pytest

from framing.engine.trucks import credit_lb, least_wll_lb, tie_downs, tie_downs_by_weight
from framing.engine.trucks.tie_downs import WEBBING_WLL_LB

FT = 192


@pytest.mark.parametrize(
    ("length_16", "weight_lb", "blocked", "count"),
    [
        (5 * FT, 1100, False, 1),  # T016: up to 5 ft and 1,100 lb
        (1, 1, False, 1),
        (5 * FT, 1100.01, False, 2),  # T017: heavier
        (5 * FT + 1, 10, False, 2),  # T018: over 5 ft up to 10 ft, any weight
        (10 * FT, 20_000, False, 2),
        (10 * FT + 1, 10, False, 3),  # T019: one more for each further 10 ft or fraction
        (20 * FT, 10, False, 3),
        (20 * FT + 1, 10, False, 4),
        (48 * FT, 10, False, 6),  # 2 + ceil(38 / 10)
        (1, 5000, True, 1),  # T020: blocked, one for each 10 ft or fraction
        (10 * FT, 5000, True, 1),
        (10 * FT + 1, 5000, True, 2),
        (48 * FT, 10, True, 5),
        (24 * FT, 10_000, False, 4),  # T024
        (18 * FT, 3_000, True, 2),  # T025
    ],
)
def test_by_length(length_16: int, weight_lb: float, blocked: bool, count: int) -> None:
    assert tie_downs(length_16, weight_lb, blocked=blocked) == count


def test_half_the_weight_and_what_counts_of_a_limit() -> None:
    assert least_wll_lb(10_000) == 5000  # T013, T024
    assert credit_lb(4000, to_cargo=True) == 2000  # T014
    assert credit_lb(4000, to_cargo=False) == 4000  # T015


@pytest.mark.parametrize(
    ("weight_lb", "to_cargo", "count"),
    [
        (10_000, False, 2),
        (8000, False, 1),
        (8000.02, False, 2),
        (48_000, False, 6),
        (48_000, True, 12),
        (0, False, 0),
    ],
)
def test_by_weight_with_4_in_webbing(weight_lb: float, to_cargo: bool, count: int) -> None:
    """10,000 lb ask for 5,000 lb of limits: two straps of 4,000 lb; from deck to load each counts half."""
    assert tie_downs_by_weight(weight_lb, 4000, to_cargo=to_cargo) == count


def test_webbing_without_a_mark() -> None:
    assert [wll for _, wll in WEBBING_WLL_LB] == [1750, 2000, 3000, 4000]  # T021
    assert [width / 16 for width, _ in WEBBING_WLL_LB] == [1.75, 2, 3, 4]
