"""Who bears what of a line that floors share, and what each floor comes to. Pure, in Decimal.

A line belongs to the floors in proportion to what each needs of it: by exact counts where it is rounded up
once for the order (boxes, feet of strap), by what is bought where that is done floor by floor (sticks, sheets);
the surcharge by rolled pounds, discounts by the amounts that they come off, freight by all pounds on the trucks.
Cents that do not divide go to the largest remainders, the earlier floor first, so that shares add up exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from framing.engine.result import PackageResult
from quotes.pricing_table import CENT, FREIGHT, FloorShare, FloorTotal, PricedLine


def split_cents(amount: Decimal, weights: Sequence[Fraction]) -> tuple[Decimal, ...]:
    """An amount of whole cents in proportion to weights (none negative); equal parts where all are 0."""
    if not weights:
        return ()
    total = sum(weights, Fraction(0))
    parts = [Fraction(1, len(weights))] * len(weights) if not total else [w / total for w in weights]
    sign = -1 if amount < 0 else 1
    cents = int(abs(amount) / CENT)
    ideal = [part * cents for part in parts]
    given = [int(share) for share in ideal]
    by_rest = sorted(range(len(parts)), key=lambda i: (given[i] - ideal[i], i))
    for index in by_rest[: cents - sum(given)]:
        given[index] += 1
    return tuple(sign * number * CENT for number in given)


def line_shares(extension: Decimal, tax: Decimal, weights: Sequence[Fraction]) -> tuple[FloorShare, ...]:
    """Shares of a line's amount and of its tax."""
    pairs = zip(split_cents(extension, weights), split_cents(tax, weights), strict=True)
    return tuple(FloorShare(*pair) for pair in pairs)


def floor_totals(result: PackageResult, lines: Sequence[PricedLine]) -> tuple[FloorTotal, ...]:
    """Each floor's sums over all lines."""
    found = []
    for index, floor in enumerate(result.floors):
        goods = sum((li.shares[index].extension for li in lines if li.item_class != FREIGHT), Decimal(0))
        freight = sum((li.shares[index].extension for li in lines if li.item_class == FREIGHT), Decimal(0))
        tax = sum((li.shares[index].tax for li in lines), Decimal(0))
        found.append(FloorTotal(floor.plan.name, floor.plan.repeat, goods, freight, tax))
    return tuple(found)
