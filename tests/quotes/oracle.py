"""A second reckoning of a quote, written plainly from R31, R38, R39 and the readings; it shares no code with pricing.

Readings: equal bill lines of all floors are one line, boxes and strap rounded once for the order, sticks, sheets and
tubes added as bought. The surcharge counts joists and blocks to a tenth of a pound and is never discounted. Discounts
are lines of their own: tier on a class, then single lines on what the tier leaves of them, then the total on what all
that leaves of the class. Every line and its tax are rounded half up to the cent. Freight is at least one full truck;
a load goes by the smallest truck that carries it.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any


def cent(amount: Decimal) -> Decimal:
    """Half up to the cent by counting tenths of cents, away from zero."""
    thousandths = abs(amount) * 100
    whole = int(thousandths)
    whole += 1 if thousandths - whole >= Decimal("0.5") else 0
    return Decimal(whole) / 100 * (-1 if amount < 0 else 1)


@dataclass
class Row:
    code: str
    kind: str
    quantity: Decimal
    unit: Decimal
    amount: Decimal
    tax: Decimal
    cost: Decimal


def up(number: Decimal) -> int:
    whole = int(number)
    return whole if whole == number else whole + 1


def quantity_of(parts: list[tuple[int, Any]], allowance: int) -> Decimal:
    """Of one bill line's parts as (repeat, line)."""
    first = parts[0][1]
    counted = sum(repeat * part.exact for repeat, part in parts)
    if first.sold_by == "box":
        return Decimal(up(Decimal(counted) * (100 + allowance) / (100 * first.pack)))
    if first.sold_by == "ft":
        feet = Decimal(counted) / 192
        if first.group != "members":
            return Decimal(-(-counted // 192))
        tens = feet * 10_000
        return Decimal(int(tens) + (1 if tens - int(tens) >= Decimal("0.5") else 0)) / 10_000
    return Decimal(sum(repeat * part.bought for repeat, part in parts))


def reckon(result: Any, book: Any, terms: Any, allowance: int = 5) -> dict[str, Row]:
    """All lines by code. `terms` has tier, zone, place, total (share) and lines (share by code)."""
    sheet = Sheet(book, terms)
    for code, quantity in counts(result, allowance).items():
        if quantity:
            entry = book.rows[code]
            sheet.put(code, entry.item_class, quantity, entry.price, entry.cost)
    plain = list(sheet.rows.values())
    tenths = cent(rolled_pounds(result) * 10 / 100) * 10  # to a tenth of a pound, half up
    if tenths and book.surcharge_per_lb:
        sheet.put("steel_surcharge", "material", tenths, book.surcharge_per_lb, book.surcharge_per_lb)
    for kind in ("material", "labour"):
        sheet.discount(kind, [row for row in plain if row.kind == kind])
    for name, (number, price, cost) in trucks(result, book.freight[terms.zone]).items():
        sheet.put(f"freight:{name}" if name else "freight", "freight", Decimal(number), price, cost)
    return sheet.rows


class Sheet:
    """The lines so far, and how one is put down."""

    def __init__(self, book: Any, terms: Any) -> None:
        self.book, self.terms = book, terms
        self.rows: dict[str, Row] = {}

    def put(self, code: str, kind: str, quantity: Decimal, unit: Decimal, cost: Decimal) -> None:
        amount = cent(quantity * unit)
        tax = cent(amount * self.book.taxes[self.terms.place, kind])
        self.rows[code] = Row(code, kind, quantity, unit, amount, tax, cent(quantity * cost))

    def discount(self, kind: str, mine: list[Row]) -> None:
        tier = self.book.tiers[self.terms.tier] if self.terms.tier else Decimal(0)
        left = sum((row.amount for row in mine), Decimal(0))
        off = [(f"tier:{kind}", cent(left * tier))]
        for row in mine:
            share = self.terms.lines.get(row.code, Decimal(0))
            off.append((f"less:{row.code}", cent(row.amount * (1 - tier) * share)))
        left -= sum((amount for _, amount in off), Decimal(0))
        off.append((f"discount:{kind}", cent(left * self.terms.total)))
        for code, amount in off:
            if amount:
                self.put(code, kind, Decimal(1), -amount, Decimal(0))


def counts(result: Any, allowance: int) -> dict[str, Decimal]:
    parts: dict[str, list[tuple[int, Any]]] = {}
    pieces = holes = 0
    for storey in result.floors:
        times = storey.plan.repeat
        pieces += times * len(storey.pieces)
        holes += times * sum(m.plies * len(m.holes_16) for bay in storey.bays for m in bay.members)
        for part in storey.bill:
            parts.setdefault(part.code, []).append((times, part))
    found = {code: quantity_of(these, allowance) for code, these in parts.items()}
    return found | {"cutting": Decimal(pieces), "punching": Decimal(holes)}


def rolled_pounds(result: Any) -> Decimal:
    pounds = Decimal(0)
    for storey in result.floors:
        for part in storey.bill:
            pounds += storey.plan.repeat * Decimal(str(part.weight_lb)) if part.group == "members" else 0
    return pounds


def trucks(result: Any, zone: Any) -> dict[str, tuple[int, Decimal, Decimal]]:
    """How many of each truck, its price and cost; "" is the full one."""
    found: dict[str, tuple[int, Decimal, Decimal]] = {}
    for load in result.loads:
        carries = sorted(
            (t.most_lb, t.name, t.price, t.cost) for t in zone.trucks if t.most_lb >= load.weight_lb
        )
        name, price, cost = carries[0][1:] if carries else ("", zone.price, zone.cost)
        found[name] = (found.get(name, (0,))[0] + 1, price, cost)
    return found or {"": (1, zone.price, zone.cost)}
