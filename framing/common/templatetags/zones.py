"""Filters for times and zones on pages and papers."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from django import template

from framing.common import zones

register = template.Library()


@register.filter
def zone_words(name: str) -> str:
    """A zone as people call it."""
    return zones.zone_words(name)


@register.filter
def zone_place(name: str) -> str:
    """The place that a zone is named after."""
    return zones.zone_place(name)


@register.filter
def clock_in(at: datetime | None, zone: str) -> str:
    """The time of day in a zone with its own short name: “17:00 MDT”; nothing without a time."""
    return f"{at.astimezone(ZoneInfo(zone)):%H:%M %Z}" if at else ""
