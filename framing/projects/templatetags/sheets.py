"""Numbers and units of calculation sheets."""

from __future__ import annotations

import re
from typing import Any, Final

from django import template

from framing.common.templatetags.figures import BAR_MOST
from framing.drawing import significant

register = template.Library()
_POWER: Final = re.compile(r"(.*\b(?:in|ft|mm))([2-9])")


@register.filter
def quantity(value: float) -> str:
    """A number with four significant figures and no exponent."""
    return significant(value)


@register.filter
def bar_width(ratio: float) -> str:
    """Per cent of a bar that is full at a ratio of 1.25: its mark of 1 stands at 80 per cent."""
    return f"{min(max(ratio, 0.0), BAR_MOST) / BAR_MOST * 100:.1f}"


@register.inclusion_tag("projects/_unit.html")
def unit(words: str) -> dict[str, Any]:
    """A unit with its power raised: `in4` as in and 4."""
    found = _POWER.fullmatch(words)
    return {"base": found[1], "power": found[2]} if found else {"base": words, "power": ""}
