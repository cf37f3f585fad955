"""Minutes of change-over by the rule and by pairs that a shop has timed."""

from __future__ import annotations

import pytest

from framing.engine.line import ChangeOver, RolledProfile, setup_minutes
from framing.engine.line.setups import setup_table

RULE = ChangeOver(base_minutes=10, gauge_minutes=15, depth_minutes=20, flange_minutes=5)
THIN = RolledProfile("1000S162-54", "54 mil", 160, 26, 2.7)
THICK = RolledProfile("1000S162-68", "68 mil", 160, 26, 3.4)
DEEP = RolledProfile("1200S162-54", "54 mil", 192, 26, 3.0)
WIDE = RolledProfile("1200S200-68", "68 mil", 192, 32, 3.9)


@pytest.mark.parametrize(
    ("loaded", "wanted", "minutes"),
    [
        (THIN, THIN, 0),
        (THIN, THICK, 25),  # 10 + 15: another coil
        (THIN, DEEP, 30),  # 10 + 20: the web
        (DEEP, WIDE, 30),  # 10 + 15 + 5: coil and flange
        (THIN, WIDE, 50),  # 10 + 15 + 20 + 5: everything
    ],
)
def test_minutes_add_up_by_what_differs(loaded: RolledProfile, wanted: RolledProfile, minutes: int) -> None:
    assert setup_minutes(RULE, loaded, wanted) == minutes


def test_a_timed_pair_goes_before_the_rule_one_way_only() -> None:
    rule = ChangeOver(pairs=((THIN.code, WIDE.code, 90), (THIN.code, DEEP.code, 0)))
    assert setup_minutes(rule, THIN, WIDE) == 90
    assert setup_minutes(rule, WIDE, THIN) == 50
    assert setup_minutes(rule, THIN, DEEP) == 0


def test_nothing_loaded_needs_no_change() -> None:
    assert setup_table(RULE, [THIN, THICK]) == [[0, 25], [25, 0], [0, 0]]
