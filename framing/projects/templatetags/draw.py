"""The plan editor's parts for its page."""

from __future__ import annotations

from django import template

from framing.projects.draw_parts import PARTS, Part

register = template.Library()


@register.simple_tag
def draw_parts() -> tuple[Part, ...]:
    """The tables of a floor document, in order."""
    return PARTS
