"""Ways through and set-backs at supports askew to the joist, worked by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from framing.engine.lean import SQUARE, Lean, cut_16, half_up, whole


def test_a_square_wall_is_as_thick_as_it_is() -> None:
    assert SQUARE.through_16(88) == 88
    assert SQUARE.set_back_16(18, 6, 26) == 24


def test_a_wall_at_45_degrees_is_root_two_as_thick() -> None:
    # 88 x 1.41421 = 124.45 sixteenths, the nearest 124. Slope 3 in 4: 88 x 5/4 = 110.
    assert Lean(1, 1).through_16(88) == 124
    assert Lean(4, 3).through_16(88) == 110


def test_a_set_back_keeps_the_flanges_corner_out_of_the_rim() -> None:
    # Slope 3 in 4, a joist 1 5/8 (26) wide: 18 x 5/4 + 13 x 3/4 = 22.5 + 9.75 = 32.25 sixteenths, over R4's 24.
    # Slope 1 in 4: 18 x 1.0308 + 13 / 4 = 21.8: R4's 24 rules. Two plies (52): 18.554 + 6.5 = 25.05.
    assert Lean(4, 3).set_back_16(18, 6, 26) == Fraction(129, 4)
    assert Lean(4, 1).set_back_16(18, 6, 26) == 24
    assert float(Lean(4, 1).set_back_16(18, 6, 52)) == pytest.approx(18 * 17**0.5 / 4 + 6.5, abs=1e-9)


def test_a_piece_between_two_places_is_rounded_down_once() -> None:
    half = Fraction(1, 2)
    assert cut_16(24, 2000) == (24, 2000)
    assert cut_16(24, 2000 + half) == (24, 2000)
    assert cut_16(24 + half, 2000) == (25, 2000)
    # Both ends on fractions: 24 1/2 to 2000 1/2 is 1976 long, not 1975.
    assert cut_16(24 + half, 2000 + half) == (25, 2001)


def test_fractions_that_are_whole_become_ints() -> None:
    assert isinstance(whole(Fraction(4, 2)), int)
    assert whole(Fraction(1, 2)) == Fraction(1, 2)
    assert (half_up(3), half_up(Fraction(5, 2)), half_up(Fraction(-5, 2))) == (3, 3, -2)
