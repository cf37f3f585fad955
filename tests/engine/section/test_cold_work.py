"""Strength gained where the steel is bent (A3.3.2): worked by hand, and where the clause gives nothing."""

from __future__ import annotations

import pytest

from framing.engine.section.cold_work import cold_work_yield_ksi
from framing.engine.section.effective import effective
from framing.engine.section.shape import Steel, shape, shape_of, steel_of


def test_raised_yield_by_hand() -> None:
    """550S162-68 of 33 ksi: Fu/Fy 1.3636, Bc = 5.0318 - 1.5230 - 1.79 = 1.7188, m = 0.1938, R/t 1.5.

    Fyc = 1.7188 x 33/1.5^0.1938 = 52.43; bends pi (0.10695 + 0.03565) = 0.44799, flat 1.2685: C = 0.26100.
    Fya = 0.261 x 52.43 + 0.739 x 33 = 38.07 ksi.
    """
    assert cold_work_yield_ksi(shape_of("550S162-68"), steel_of(33.0)) == pytest.approx(38.07, abs=0.01)


def test_never_more_than_the_tensile_strength() -> None:
    """Narrow flange, wide bends, little grade: the flange's mean would pass 1.2 Fy."""
    narrow = shape(6.0, 0.75, 0.4, 0.1, 0.15)
    assert cold_work_yield_ksi(narrow, Steel(33.0, 39.6)) == 39.6


def test_nothing_for_a_steel_with_little_reserve() -> None:
    assert cold_work_yield_ksi(shape_of("550S162-68"), Steel(50.0, 59.9)) is None


def test_nothing_for_gentle_bends() -> None:
    assert cold_work_yield_ksi(shape(6.0, 2.0, 0.9, 0.05, 0.351), steel_of(33.0)) is None


def test_nothing_for_a_slender_web_or_flange() -> None:
    for designator in ("1200S162-54", "600S250-54"):
        assert not effective(shape_of(designator), 38.0).flange_and_web_fully
        assert cold_work_yield_ksi(shape_of(designator), steel_of(33.0)) is None


def test_a_lip_reduced_alone_does_not_stop_it() -> None:
    section = shape_of("800S250-68")
    raised = cold_work_yield_ksi(section, steel_of(33.0))
    assert raised is not None
    assert raised > 33.0
    assert effective(section, raised).stiffener_ratio < 1
