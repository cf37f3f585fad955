"""Filters for lengths, weights and money on pages and papers."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import template
from django.utils.formats import number_format

from framing.engine.units import format_length

register = template.Library()
NOTHING = "\N{EN DASH}"
RATIO_MOST = 100.0
BAR_MOST = 1.25
MINUS = "\N{MINUS SIGN}"


@register.filter
def shop_length(value_16: Any, units: str = "imperial") -> str:
    """Sixteenths in the project's units."""
    return format_length(int(value_16), "metric" if units == "metric" else "imperial")


@register.filter
def unbroken(text: Any) -> str:
    """A length or figure that no line ends in: `3'-6 9/16"` stays together."""
    return str(text).replace(" ", "\N{NO-BREAK SPACE}")


@register.filter
def pounds(value: Any) -> str:
    """Whole pounds with thousands, as the reader's language sets them apart."""
    return f"{number_format(round(float(value)), force_grouping=True)} lb"


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
def share(value: Any) -> str:
    """A share as per cent with all the decimals it has: 0.0725 is “7.25 %”."""
    text = f"{Decimal(value) * 100:f}"
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} %"


@register.filter
def signed_percent(value: Decimal | None) -> str:
    """A difference in per cent with its sign, two decimals at most: “+4.5 %”."""
    if value is None:
        return NOTHING
    text = f"{abs(value):.2f}".rstrip("0").rstrip(".")
    return f"{'+' if value > 0 else MINUS if value < 0 else ''}{text} %"


@register.filter
def signed_money(value: Decimal | None, currency: str = "USD") -> str:
    """A difference in money with its sign."""
    return NOTHING if value is None else f"{'+' if value > 0 else ''}{money(value, currency)}"


@register.filter
def ratio(value: float) -> str:
    """Demand over capacity with three decimals, never rounded across 1: 0.9996 is 0.999, 1.0001 is 1.001.

    Where even a thousandth would hide that a check fails, the figure goes up; where it would hide that it
    passes, down (R17: nothing is rounded to pass).
    """
    shown = round(value, 3)
    if value < 1 <= shown:
        shown = 0.999
    elif shown <= 1 < value:
        shown = 1.001
    return "over 100" if shown > RATIO_MOST else f"{shown:.3f}"


@register.inclusion_tag("includes/ratio_bar.html")
def ratio_bar(value: float) -> dict[str, Any]:
    """A bar beside a ratio: as long as the share of the capacity that is used, to five quarters at most."""
    return {"used": f"{min(max(value, 0.0), BAR_MOST) * 100:.1f}", "over": value > 1}


@register.filter
def index(sequence: Any, position: int) -> Any:
    """The element at a position."""
    return sequence[position]
