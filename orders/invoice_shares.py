"""How an order's total is shared among its invoice items, to the cent. Pure.

A share is the difference of two rounded running sums, so that all shares together are the whole whatever each of
them was rounded to.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

CENT: Final = Decimal("0.01")
NOTHING: Final = Decimal(0)


@dataclass(frozen=True, slots=True)
class Agreed:
    """What an order, or some of its items, come to: with tax, and the tax in it."""

    total: Decimal = NOTHING
    tax: Decimal = NOTHING


def running(whole: Decimal, done: Decimal, of: Decimal) -> Decimal:
    """The part of `whole` that `done` of `of` comes to, to the cent, half up. All of it where `of` is nothing."""
    if of == 0:
        return whole
    return (whole * done / of).quantize(CENT, ROUND_HALF_UP)


def delivery_share(rest: Decimal, before_lb: Decimal, now_lb: Decimal, all_lb: Decimal) -> Decimal:
    """What one delivery comes to of the `rest` that deliveries share by weight.

    Args:
        rest: the agreed total without deposit and changes.
        before_lb: what earlier deliveries brought.
        now_lb: what this one brings.
        all_lb: what the order weighs; the last delivery reaches it, and so takes what is left.
    """
    return running(rest, before_lb + now_lb, all_lb) - running(rest, before_lb, all_lb)


def tax_of(agreed: Agreed, before: Agreed, amount: Decimal) -> Decimal:
    """The tax in an item of `amount`, where the items made by then came to `before`.

    It brings all of them together to their part of the tax, whatever was agreed when each of them was made.
    """
    return running(agreed.tax, before.total + amount, agreed.total) - before.tax
