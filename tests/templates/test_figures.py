"""Ratios of demand to capacity as pages show them (R17: nothing is rounded to pass)."""

from __future__ import annotations

import re

import pytest
from django.template import engines

from framing.common.templatetags.figures import ratio


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (0.0, "0.000"),
        (0.9964, "0.996"),
        (0.9996, "0.999"),
        (1.0, "1.000"),
        (1.0004, "1.001"),
        (1.2345, "1.234"),
        (250.0, "over 100"),
        (float("inf"), "over 100"),
    ],
)
def test_a_ratio_is_never_rounded_across_one(value: float, shown: str) -> None:
    assert ratio(value) == shown


@pytest.mark.parametrize(
    ("value", "used", "over"), [(0.5, "50.0", False), (1.1, "110.0", True), (9, "125.0", True)]
)
def test_the_bar_beside_a_ratio_ends_at_five_quarters(value: float, used: str, over: bool) -> None:
    bar = engines["django"].from_string("{% load figures %}{% ratio_bar value %}").render({"value": value})
    assert re.findall(r'class="used" d="M0 5H([\d.]+)"', bar) == [used]
    assert ("ratio-bar over" in bar) is over
    assert 'aria-hidden="true"' in bar
