"""The plan editor's parts for its page, and figures of its answers."""

from __future__ import annotations

from django import template

from framing.projects.draw_parts import PARTS, Part

register = template.Library()


@register.simple_tag
def draw_parts() -> tuple[Part, ...]:
    """The tables of a floor document, in order."""
    return PARTS


@register.filter
def figure(value: float, digits: int = 1) -> str:
    """A number with thousands and at most so many decimals: 1,204.5, 16."""
    shown = f"{value:,.{digits}f}"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown
