"""Filters for lengths, weights and money on pages and papers."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template

from framing.engine.units import format_length

register = template.Library()
NOTHING = "\N{EN DASH}"
MINUS = "\N{MINUS SIGN}"


@register.filter
def length(value_16: Any, units: str = "imperial") -> str:
    """Sixteenths in the project's units."""
    return format_length(int(value_16), "metric" if units == "metric" else "imperial")


@register.filter
def pounds(value: Any) -> str:
    """Whole pounds with thousands."""
    return f"{round(float(value)):,} lb"


@register.filter
def money(value: Decimal | None, currency: str = "USD") -> str:
    """Money to the cent with the currency's sign or code."""
    if value is None:
        return NOTHING
    sign = "$" if currency in ("USD", "CAD") else f"{currency} "
    return f"{MINUS}{sign}{-value:,.2f}" if value < 0 else f"{sign}{value:,.2f}"


@register.filter
def rate(value: Decimal, currency: str = "USD") -> str:
    """A unit price: cents at least, four decimals where it has them."""
    sign = "$" if currency in ("USD", "CAD") else f"{currency} "
    whole, decimals = f"{abs(value):,.4f}".split(".")
    return f"{'−' if value < 0 else ''}{sign}{whole}.{decimals[:2]}{decimals[2:].rstrip('0')}"  # noqa: RUF001


@register.filter
def percent(value: Any) -> str:
    """A share as per cent with one decimal."""
    return NOTHING if value is None else f"{float(value) * 100:.1f} %"


@register.filter
def index(sequence: Any, position: int) -> Any:
    """The element at a position."""
    return sequence[position]
