"""Quantities times a price table: lines, discounts, freight, tax and total (R38, R39). Pure, in Decimal.

Equal bill lines of all floors (times their repeats) are one price line of the whole order, so a box that two
floors share is bought once: exact counts are added up, then come allowance and boxes (R31). Sticks and sheets
are cut per floor, so those are added up as bought.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from math import ceil
from typing import Final, Literal

from framing.engine.practice import Practice
from framing.engine.result import BomLine, FloorResult, PackageResult
from framing.engine.units import format_length

ItemClass = Literal["material", "labour", "freight"]

CENT: Final = Decimal("0.01")
RATE: Final = Decimal("0.0001")
TENTH: Final = Decimal("0.1")
SIXTEENTHS_PER_FT: Final = 192
CUTTING, PUNCHING, SURCHARGE, FREIGHT = "cutting", "punching", "steel_surcharge", "freight"
GROUPS: Final = ("members", "shop", "hardware", "fasteners", "boards", "sheathing", "discount", "freight")
GROUP_NAMES: Final[Mapping[str, str]] = {
    "members": "Joists and framing",
    "shop": "Shop work",
    "hardware": "Clips, plates and strap",
    "fasteners": "Fasteners",
    "boards": "Rim board and backing",
    "sheathing": "Sheathing and adhesive",
    "discount": "Discounts",
    "freight": "Freight",
}


@dataclass(frozen=True, slots=True)
class PriceRow:
    """Price and cost of one thing by bill code, in the table's currency per `sold_by` unit."""

    code: str
    description: str
    sold_by: str
    item_class: ItemClass
    price: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True)
class FreightRow:
    """One truck to a zone: what is charged and what it costs."""

    price: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True)
class PriceTable:
    """One version of the price book. Shares are fractions: 0.18 is 18 %. `taxes`: by (place, item class)."""

    name: str
    version: int
    currency: str
    rows: Mapping[str, PriceRow]
    surcharge_per_lb: Decimal
    tiers: Mapping[str, Decimal]
    freight: Mapping[str, FreightRow]
    taxes: Mapping[tuple[str, str], Decimal]
    margin_floor: Decimal = Decimal("0.18")
    discount_limit: Decimal = Decimal("0.05")
    valid_days: int = 30


@dataclass(frozen=True, slots=True)
class Reason:
    """One step of a line's derivation: words, rule number and the figure it adds."""

    words: str
    rule: str
    figure: str


@dataclass(frozen=True, slots=True)
class PricedLine:
    """One line: `extension` = quantity x unit price, `tax` on it and `cost`, each rounded to the cent."""

    group: str
    code: str
    description: str
    item_class: ItemClass
    quantity: Decimal
    sold_by: str
    unit_price: Decimal
    unit_cost: Decimal
    extension: Decimal
    tax: Decimal
    cost: Decimal
    explain: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class PricedPackage:
    """A priced package; every sum is the sum of rounded lines, `goods` is without freight and tax."""

    lines: tuple[PricedLine, ...]
    goods: Decimal
    freight: Decimal
    tax: Decimal
    total: Decimal
    cost: Decimal

    @property
    def margin(self) -> Decimal | None:
        """(price - cost) / price before tax (R39); None where the price is zero."""
        price = self.goods + self.freight
        return (price - self.cost) / price if price else None


@dataclass(frozen=True, slots=True)
class MissingPrice:
    """One thing that the price table does not hold."""

    code: str
    words: str


class MissingPrices(Exception):
    """The price table lacks rows; it lists all of them, and none is ever taken as zero."""

    def __init__(self, missing: Sequence[MissingPrice], table: PriceTable) -> None:
        self.missing = tuple(missing)
        named = ", ".join(entry.words for entry in self.missing)
        super().__init__(f"Price book {table.name} {table.version} lacks {len(self.missing)}: {named}.")


@dataclass(frozen=True, slots=True)
class _Count:
    """A quantity before it is priced."""

    group: str
    code: str
    description: str
    quantity: Decimal
    explain: tuple[Reason, ...]


def round_cent(amount: Decimal) -> Decimal:
    """Half up to the cent, away from zero for negative amounts too."""
    return amount.quantize(CENT, ROUND_HALF_UP)


def price_package(
    result: PackageResult,
    table: PriceTable,
    *,
    tier: str,
    freight_zone: str,
    tax_place: str,
    discount_share: Decimal,
    practice: Practice = Practice(),  # noqa: B008  # frozen
) -> PricedPackage:
    """Price a designed package.

    Args:
        tier: the customer's discount row; "" is list price.
        freight_zone, tax_place: of the site.
        discount_share: manual discount as a fraction, on what is left after the tier's.
        practice: gives the allowance for fasteners (R31).

    Raises:
        MissingPrices: rows, tier, zone or tax that the table lacks, all at once.
        ValueError: a discount below 0 or from 1 up.
    """
    if not 0 <= discount_share < 1:
        raise ValueError(f"A discount of {discount_share} is not a share from 0 up to 1.")
    counts = _counts(result, practice)
    _refuse_missing(counts, table, tier, freight_zone, tax_place)
    priced = [_line(count, table, tax_place) for count in counts]
    surcharge = _surcharge(result, table, tax_place)
    discounts = _discounts(priced, table, tier, discount_share, tax_place)
    lines = [*priced, *surcharge, *discounts, _freight(result, table, freight_zone, tax_place)]
    return _sum_up(tuple(sorted(lines, key=lambda line: GROUPS.index(line.group))))


def _sum_up(lines: tuple[PricedLine, ...]) -> PricedPackage:
    freight = sum((line.extension for line in lines if line.item_class == FREIGHT), Decimal(0))
    goods = sum((line.extension for line in lines if line.item_class != FREIGHT), Decimal(0))
    tax = sum((line.tax for line in lines), Decimal(0))
    cost = sum((line.cost for line in lines), Decimal(0))
    return PricedPackage(lines, goods, freight, tax, goods + freight + tax, cost)


# --- counting ---


def _counts(result: PackageResult, practice: Practice) -> list[_Count]:
    merged: dict[str, list[tuple[FloorResult, BomLine]]] = {}
    for floor in result.floors:
        for line in floor.bill:
            merged.setdefault(line.code, []).append((floor, line))
    counts = [_bill_count(code, parts, practice) for code, parts in merged.items()]
    counts += [_cutting(result), _punching(result)]
    return [count for count in counts if count.quantity > 0]


def _bill_count(code: str, parts: list[tuple[FloorResult, BomLine]], practice: Practice) -> _Count:
    first = parts[0][1]
    exact = sum(line.exact * floor.plan.repeat for floor, line in parts)
    explain = [reason for floor, line in parts for reason in _reasons(floor, line)]
    if first.sold_by == "ft" and first.group == "members":
        quantity = Decimal(exact) / SIXTEENTHS_PER_FT
        quantity = quantity.quantize(RATE, ROUND_HALF_UP)
    elif first.sold_by == "ft":
        quantity = Decimal(ceil(Fraction(exact, SIXTEENTHS_PER_FT)))
        explain.append(Reason("rounded up to whole feet", "R38", f"{quantity} ft"))
    elif first.sold_by == "box":
        percent = practice.fastener_allowance_percent
        quantity = Decimal(ceil(Fraction(exact * (100 + percent), 100 * first.pack)))
        words = f"{exact:,} and {percent} % allowance, in boxes of {first.pack:,}"
        explain.append(Reason(words, "R31", f"{quantity} box" if quantity == 1 else f"{quantity} boxes"))
    else:
        quantity = Decimal(sum(line.bought * floor.plan.repeat for floor, line in parts))
    return _Count(first.group, code, first.description, quantity, tuple(explain))


def _reasons(floor: FloorResult, line: BomLine) -> Iterator[Reason]:
    repeat = floor.plan.repeat
    times = f" × {repeat}" if repeat > 1 else ""  # noqa: RUF001
    for term in line.terms:
        amount = term.quantity * repeat
        figure = format_length(amount, floor.plan.units) if line.unit == "length_16" else f"{amount:,}"
        yield Reason(f"{floor.plan.name}{times}: {term.words}", term.rule, figure)


def _cutting(result: PackageResult) -> _Count:
    """Every piece of the cut list is cut once; blocks are priced ready cut."""
    parts = [(floor, len(floor.pieces) * floor.plan.repeat) for floor in result.floors]
    explain = tuple(
        Reason(f"{floor.plan.name}: pieces to roll and cut", "R38", f"{n:,}") for floor, n in parts
    )
    return _Count("shop", CUTTING, "Cutting to length", Decimal(sum(n for _, n in parts)), explain)


def _punching(result: PackageResult) -> _Count:
    parts = [
        (floor, sum(len(member.holes_16) * member.plies for member in floor.members) * floor.plan.repeat)
        for floor in result.floors
    ]
    explain = tuple(Reason(f"{floor.plan.name}: service holes", "R10", f"{n:,}") for floor, n in parts)
    return _Count("shop", PUNCHING, "Punching service holes", Decimal(sum(n for _, n in parts)), explain)


def _steel_lb(result: PackageResult) -> Decimal:
    """Weight of rolled steel (joists, built-up members, blocks) to a tenth of a pound."""
    weight = sum(
        (
            Decimal(repr(line.weight_lb)) * floor.plan.repeat
            for floor in result.floors
            for line in floor.bill
            if line.group == "members"
        ),
        Decimal(0),
    )
    return weight.quantize(TENTH, ROUND_HALF_UP)


# --- pricing ---


def _refuse_missing(
    counts: Iterable[_Count], table: PriceTable, tier: str, freight_zone: str, tax_place: str
) -> None:
    missing = [MissingPrice(c.code, f"a price of {c.code}") for c in counts if c.code not in table.rows]
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


def _line(count: _Count, table: PriceTable, tax_place: str) -> PricedLine:
    row = table.rows[count.code]
    return _priced(
        count, row.item_class, row.sold_by, row.price, row.cost, table.taxes[tax_place, row.item_class]
    )


def _priced(
    count: _Count, kind: ItemClass, sold_by: str, price: Decimal, cost: Decimal, tax_share: Decimal
) -> PricedLine:
    extension = round_cent(count.quantity * price)
    return PricedLine(
        count.group,
        count.code,
        count.description,
        kind,
        count.quantity,
        sold_by,
        price,
        cost,
        extension,
        round_cent(extension * tax_share),
        round_cent(count.quantity * cost),
        count.explain,
    )


def _surcharge(result: PackageResult, table: PriceTable, tax_place: str) -> list[PricedLine]:
    """The mill's surcharge, passed on at cost and not discounted."""
    weight = _steel_lb(result)
    if not table.surcharge_per_lb or not weight:
        return []
    explain = (Reason("rolled steel and blocks, passed on at cost, not discounted", "R38", f"{weight:,} lb"),)
    count = _Count("members", SURCHARGE, "Steel surcharge", weight, explain)
    rate = table.surcharge_per_lb
    return [_priced(count, "material", "lb", rate, rate, table.taxes[tax_place, "material"])]


def _discounts(
    lines: list[PricedLine], table: PriceTable, tier: str, discount_share: Decimal, tax_place: str
) -> list[PricedLine]:
    """Lines of their own, one a class with its tax; the manual one comes off what the tier left."""
    found: list[PricedLine] = []
    tier_share = table.tiers[tier] if tier else Decimal(0)
    for kind in ("material", "labour"):
        base = sum((line.extension for line in lines if line.item_class == kind), Decimal(0))
        for name, share in ((f"Tier “{tier}”", tier_share), ("Discount", discount_share)):
            amount = round_cent(base * share)
            if amount:
                words = f"{share * 100:.2f} % of {base:,.2f}".replace(".00 %", " %")
                code = f"{'discount' if name == 'Discount' else 'tier'}:{kind}"
                title = f"{name} on {'material' if kind == 'material' else 'shop work'}"
                explain = (Reason(words, "R38", f"−{amount:,.2f}"),)  # noqa: RUF001
                count = _Count("discount", code, title, Decimal(1), explain)
                rate = table.taxes[tax_place, kind]
                found.append(_priced(count, kind, "offer", -amount, Decimal(0), rate))
                base -= amount
    return found


def _freight(result: PackageResult, table: PriceTable, zone: str, tax_place: str) -> PricedLine:
    trucks = max(1, len(result.loads))
    row = table.freight[zone]
    explain = (Reason(f"trucks to the zone “{zone}”", "R38", f"{trucks}"),)
    count = _Count("freight", FREIGHT, f"Freight, zone {zone}", Decimal(trucks), explain)
    return _priced(count, "freight", "truck", row.price, row.cost, table.taxes[tax_place, "freight"])
