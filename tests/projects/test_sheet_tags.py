"""Numbers, units and bars of calculation sheets in templates."""

from __future__ import annotations

import pytest
from django.template import engines

from framing.projects.templatetags.sheets import bar_width


def shown(source: str, **context: object) -> str:
    return engines["django"].from_string("{% load sheets %}" + source).render(context)


@pytest.mark.parametrize(
    ("unit", "html"),
    [
        ("in4", "in<sup>4</sup>"),
        ("lb-in2", "lb-in<sup>2</sup>"),
        ("kip-in", "kip-in"),
        ("% g", "% g"),
        ("", ""),
        ("<in2", "&lt;in<sup>2</sup>"),
    ],
)
def test_a_power_is_raised(unit: str, html: str) -> None:
    assert shown("{% unit words %}", words=unit) == html


def test_a_number_reads_without_exponent() -> None:
    assert shown("{{ value|quantity }}", value=0.0000775) == "0.0000775"


@pytest.mark.parametrize(("ratio", "width"), [(0.0, "0.0"), (1.0, "80.0"), (1.25, "100.0"), (9.0, "100.0")])
def test_a_bar_is_full_at_five_quarters(ratio: float, width: str) -> None:
    assert bar_width(ratio) == width
