"""Quantities times a price table: lines, discounts, freight, tax and total (R38, R39). Pure, in Decimal.

Counting is in `pricing_counts`, what each floor bears of a line in `pricing_shares`, the shapes in `pricing_table`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from framing.engine.practice import Practice
from framing.engine.result import PackageResult
from quotes.pricing_counts import Count, floor_lb, package_counts, rolled_lb, steel_lb
from quotes.pricing_shares import floor_totals, line_shares
from quotes.pricing_table import (
    CENT,
    CUTTING,
    FREIGHT,
    GROUP_NAMES,
    GROUPS,
    LINE_DISCOUNT,
    NO_CHARGE,
    PUNCHING,
    RATE,
    SURCHARGE,
    TIER_LINE,
    TOTAL_DISCOUNT,
    FloorShare,
    FloorTotal,
    FreightRow,
    ItemClass,
    MissingPrice,
    MissingPrices,
    PricedLine,
    PricedPackage,
    PriceRow,
    PriceTable,
    Reason,
    TruckRow,
    margin_of,
    round_cent,
)

__all__ = [
    "CENT",
    "CUTTING",
    "FREIGHT",
    "GROUPS",
    "GROUP_NAMES",
    "LINE_DISCOUNT",
    "PUNCHING",
    "RATE",
    "SURCHARGE",
    "TIER_LINE",
    "TOTAL_DISCOUNT",
    "FloorShare",
    "FloorTotal",
    "FreightRow",
    "ItemClass",
    "MissingPrice",
    "MissingPrices",
    "PriceRow",
    "PriceTable",
    "PricedLine",
    "PricedPackage",
    "Reason",
    "TruckRow",
    "margin_of",
    "price_package",
    "round_cent",
]
NO_DISCOUNTS: Final[Mapping[str, Decimal]] = MappingProxyType({})


def price_package(
    result: PackageResult,
    table: PriceTable,
    *,
    tier: str,
    freight_zone: str,
    tax_place: str,
    discount_share: Decimal,
    line_discounts: Mapping[str, Decimal] = NO_DISCOUNTS,
    practice: Practice = Practice(),  # noqa: B008  # frozen
) -> PricedPackage:
    """Price a designed package.

    Args:
        tier: the customer's discount row; "" is list price.
        freight_zone, tax_place: of the site.
        discount_share: manual discount as a fraction, on what the tier's and the lines' discounts leave.
        line_discounts: manual discounts of single lines by code, each on what the tier leaves of the line; codes
            that the package does not hold, surcharge and freight are left aside.
        practice: gives the allowance for fasteners (R31).

    Raises:
        MissingPrices: rows, tier, zone, truck or tax that the table lacks, all at once.
        ValueError: a discount below 0 or from 1 up.
    """
    for share in (discount_share, *line_discounts.values()):
        if not 0 <= share < 1:
            raise ValueError(f"A discount of {share} is not a share from 0 up to 1.")
    counts = package_counts(result, practice)
    _refuse_missing(counts, table, tier, freight_zone, tax_place)
    pricing = _Pricing(table, table.tiers[tier] if tier else Decimal(0), tax_place)
    priced = [pricing.line(count) for count in counts]
    discounts = _discounts(priced, counts, pricing, tier, discount_share, line_discounts)
    freight = _freight(result, pricing, freight_zone)
    lines = [*priced, *_surcharge(result, pricing), *discounts, *freight]
    return _sum_up(result, tuple(sorted(lines, key=lambda line: GROUPS.index(line.group))))


def _sum_up(result: PackageResult, lines: tuple[PricedLine, ...]) -> PricedPackage:
    freight = sum((line.extension for line in lines if line.item_class == FREIGHT), Decimal(0))
    goods = sum((line.extension for line in lines if line.item_class != FREIGHT), Decimal(0))
    tax = sum((line.tax for line in lines), Decimal(0))
    cost = sum((line.cost for line in lines), Decimal(0))
    floors = floor_totals(result, lines)
    return PricedPackage(lines, goods, freight, tax, goods + freight + tax, cost, floors)


def _refuse_missing(
    counts: Iterable[Count],
    table: PriceTable,
    tier: str,
    freight_zone: str,
    tax_place: str,
) -> None:
    missing = [lack for count in counts for lack in _row_missing(count, table)]
    if tier and tier not in table.tiers:
        missing.append(MissingPrice(f"tier:{tier}", f"the discount tier “{tier}”"))
    if freight_zone not in table.freight:
        missing.append(MissingPrice(f"freight:{freight_zone}", f"freight to the zone “{freight_zone}”"))
    classes = {row.item_class for row in table.rows.values()} | {"material", FREIGHT}
    missing += [
        MissingPrice(f"tax:{tax_place}:{kind}", f"the tax of “{tax_place}” on {kind}")
        for kind in sorted(classes)
        if (tax_place, kind) not in table.taxes
    ]
    if missing:
        raise MissingPrices(missing, table)


def _row_missing(count: Count, table: PriceTable) -> Iterable[MissingPrice]:
    """A price by another unit than the bill's would multiply apples with boxes, so it counts as missing too."""
    row = table.rows.get(count.code)
    if row is None:
        yield MissingPrice(count.code, f"a price of {count.code}")
    elif count.sold_by and row.sold_by != count.sold_by:
        words = f"a price of {count.code} by the {count.sold_by} (it has one by the {row.sold_by})"
        yield MissingPrice(count.code, words)


class _Pricing:
    """What is the same for every line: table, tier and place."""

    def __init__(self, table: PriceTable, tier_share: Decimal, tax_place: str) -> None:
        self.table, self.tier_share, self.tax_place = table, tier_share, tax_place

    def line(self, count: Count) -> PricedLine:
        """A bill line or shop work at its row of the table."""
        row = self.table.rows[count.code]
        return self.priced(
            _given(count, row.no_charge),
            row.item_class,
            row.sold_by,
            row.price,
            row.cost,
            tier_share=self.tier_share,
        )

    def priced(
        self,
        count: Count,
        kind: ItemClass,
        sold_by: str,
        price: Decimal,
        cost: Decimal,
        *,
        tier_share: Decimal = Decimal(0),
    ) -> PricedLine:
        extension = round_cent(count.quantity * price)
        tax = round_cent(extension * self.table.taxes[self.tax_place, kind])
        return PricedLine(
            group=count.group,
            code=count.code,
            description=count.description,
            item_class=kind,
            quantity=count.quantity,
            sold_by=sold_by,
            unit_price=price,
            unit_cost=cost,
            extension=extension,
            tax=tax,
            cost=round_cent(count.quantity * cost),
            explain=count.explain,
            exact=count.exact,
            exact_unit=count.exact_unit,
            tier_share=tier_share,
            shares=line_shares(extension, tax, count.weights),
        )

    def less(
        self, kind: ItemClass, code: str, title: str, amount: Decimal, words: str, weights: Sequence[Fraction]
    ) -> PricedLine:
        """A discount as a line of its own."""
        explain = (Reason(words, "R38", f"−{amount:,.2f}"),)  # noqa: RUF001
        count = Count("discount", code, title, Decimal(1), explain, Decimal(0), "", tuple(weights))
        return self.priced(count, kind, "offer", -amount, Decimal(0))


def _given(count: Count, why: str) -> Count:
    """What is given at no charge says so wherever the line is read, also on paper."""
    if not why:
        return count
    reason = Reason(f"given at {NO_CHARGE}: {why}", "R38", "0.00")
    return replace(count, description=f"{count.description}, {NO_CHARGE}", explain=(*count.explain, reason))


def _surcharge(result: PackageResult, pricing: _Pricing) -> list[PricedLine]:
    """The mill's surcharge, passed on at cost and not discounted."""
    weight, rate = rolled_lb(result), pricing.table.surcharge_per_lb
    if not rate or not weight:
        return []
    explain = (Reason("rolled steel and blocks, passed on at cost, not discounted", "R38", f"{weight:,} lb"),)
    weights = tuple(Fraction(steel_lb(floor)) for floor in result.floors)
    count = Count("members", SURCHARGE, "Steel surcharge", weight, explain, weight, "lb", weights)
    return [pricing.priced(count, "material", "lb", rate, rate)]


def _discounts(
    lines: Sequence[PricedLine],
    counts: Sequence[Count],
    pricing: _Pricing,
    tier: str,
    discount_share: Decimal,
    line_discounts: Mapping[str, Decimal],
) -> list[PricedLine]:
    """Lines of their own, each class with its tax: the tier, then single lines, then the total on what is left."""
    found: list[PricedLine] = []
    for kind in ("material", "labour"):
        pairs = [(li, c) for li, c in zip(lines, counts, strict=True) if li.item_class == kind]
        base = sum((line.extension for line, _ in pairs), Decimal(0))
        weights = _amounts([line for line, _ in pairs])
        less = [_tier_discount(pricing, kind, tier, base, weights)]
        less += [_line_discount(pricing, *pair, line_discounts) for pair in pairs]
        found += [line for line in less if line is not None]
        left = base + sum((line.extension for line in less if line is not None), Decimal(0))
        words = _share_words(discount_share, left)
        total = _class_discount(
            pricing, kind, f"{TOTAL_DISCOUNT}{kind}", "Discount", left * discount_share, words, weights
        )
        found += [total] if total else []
    return found


def _amounts(lines: Sequence[PricedLine]) -> tuple[Fraction, ...]:
    """What each floor has in some lines, in cents."""
    sums = [
        sum(share.extension for share in column) for column in zip(*(li.shares for li in lines), strict=True)
    ]
    return tuple(Fraction(amount / CENT) for amount in sums)


def _tier_discount(
    pricing: _Pricing, kind: ItemClass, tier: str, base: Decimal, weights: Sequence[Fraction]
) -> PricedLine | None:
    """The builder reads what it is to him; the tier's name is ours and stands in the explanation, for staff."""
    words = f"tier “{tier}”, {_share_words(pricing.tier_share, base)}"
    amount = base * pricing.tier_share
    return _class_discount(pricing, kind, f"{TIER_LINE}{kind}", "Trade discount", amount, words, weights)


def _class_discount(
    pricing: _Pricing,
    kind: ItemClass,
    code: str,
    name: str,
    exact: Decimal,
    words: str,
    weights: Sequence[Fraction],
) -> PricedLine | None:
    amount = round_cent(exact)
    if not amount:
        return None
    title = f"{name} on {'material' if kind == 'material' else 'shop work'}"
    return pricing.less(kind, code, title, amount, words, weights)


def _line_discount(
    pricing: _Pricing, line: PricedLine, count: Count, line_discounts: Mapping[str, Decimal]
) -> PricedLine | None:
    share = line_discounts.get(line.code, Decimal(0))
    amount = round_cent(line.extension * (1 - pricing.tier_share) * share)
    if not amount:
        return None
    words = _share_words(share, line.extension)
    if pricing.tier_share:
        words += f", after the tier's {_percent(pricing.tier_share)}"
    code, title = f"{LINE_DISCOUNT}{line.code}", f"Discount on {line.description}"
    return pricing.less(line.item_class, code, title, amount, words, count.weights)


def _share_words(share: Decimal, base: Decimal) -> str:
    return f"{_percent(share)} of {base:,.2f}"


def _percent(share: Decimal) -> str:
    return f"{share * 100:.2f} %".replace(".00 %", " %")


def _freight(result: PackageResult, pricing: _Pricing, zone: str) -> list[PricedLine]:
    """Every load takes the smallest truck that carries it; at least one full truck is charged (R38)."""
    row = pricing.table.freight[zone]
    weights = tuple(floor_lb(floor) for floor in result.floors)
    by_name: dict[str, tuple[TruckRow | None, list[float]]] = {}
    for load in result.loads:
        truck = _smallest(row, load.weight_lb)
        by_name.setdefault(truck.name if truck else "", (truck, []))[1].append(load.weight_lb)
    lines = []
    for name, (small, loads) in sorted((by_name or {"": (None, [])}).items()):
        fare = small or row
        number = max(1, len(loads))
        what = f"trucks “{name}”, up to {small.most_lb:,} lb each," if small else "trucks"
        explain = [Reason(f"{what} to the zone “{zone}”", "R38", f"{number}")]
        if loads:
            explain.append(Reason("on them", "R47", " + ".join(f"{lb:,.0f}" for lb in loads) + " lb"))
        title = f"Freight, zone {zone}, {name}" if small else f"Freight, zone {zone}"
        code = f"{FREIGHT}:{name}" if small else FREIGHT
        amount = Decimal(number)
        count = Count("freight", code, title, amount, tuple(explain), amount, "", weights)
        given = _given(count, fare.no_charge)
        lines.append(pricing.priced(given, "freight", "truck", fare.price, fare.cost))
    return lines


def _smallest(row: FreightRow, weight_lb: float) -> TruckRow | None:
    """The smallest truck that carries a load; None is the full one."""
    fitting = [truck for truck in row.trucks if weight_lb <= truck.most_lb]
    return min(fitting, key=lambda truck: truck.most_lb, default=None)
