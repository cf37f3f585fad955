"""What prices are read from and what comes out: the table, the priced line, the priced package. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final, Literal

ItemClass = Literal["material", "labour", "freight"]

CENT: Final = Decimal("0.01")
RATE: Final = Decimal("0.0001")
TENTH: Final = Decimal("0.1")
CUTTING, PUNCHING, SURCHARGE, FREIGHT = "cutting", "punching", "steel_surcharge", "freight"
NO_CHARGE: Final = "no charge"
TIER_LINE, TOTAL_DISCOUNT, LINE_DISCOUNT = "tier:", "discount:", "less:"
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
    """Price and cost of one thing by bill code, in the table's currency per `sold_by` unit.

    `no_charge` is why it is given at no charge; its price is 0 then, and over 0 else.
    """

    code: str
    description: str
    sold_by: str
    item_class: ItemClass
    price: Decimal
    cost: Decimal
    no_charge: str = ""


@dataclass(frozen=True, slots=True)
class TruckRow:
    """A smaller truck to a zone: it carries up to `most_lb`."""

    name: str
    most_lb: int
    price: Decimal
    cost: Decimal
    no_charge: str = ""


@dataclass(frozen=True, slots=True)
class FreightRow:
    """A full truck to a zone, and smaller ones that take its place where a load is light enough."""

    price: Decimal
    cost: Decimal
    trucks: tuple[TruckRow, ...] = ()
    no_charge: str = ""


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
    line_discount_limit: Decimal = Decimal("0.10")


@dataclass(frozen=True, slots=True)
class Reason:
    """One step of a line's derivation: words, rule number and the figure it adds."""

    words: str
    rule: str
    figure: str


@dataclass(frozen=True, slots=True)
class FloorShare:
    """What of a line belongs to one floor (with its repeats); the shares of a line add up to it."""

    extension: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True)
class PricedLine:
    """One line: `extension` = quantity x unit price, `tax` on it and `cost`, each rounded to the cent.

    Attributes:
        exact, exact_unit: what was counted before packing and rounding up; "" where nothing is counted.
        tier_share: the customer's discount that this line takes part in, as a fraction.
        shares: one for each floor of the package, in its order.
    """

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
    exact: Decimal = Decimal(0)
    exact_unit: str = ""
    tier_share: Decimal = Decimal(0)
    shares: tuple[FloorShare, ...] = ()

    @property
    def is_given(self) -> bool:
        """A manual discount, of the total or of one line."""
        return self.code.startswith((TOTAL_DISCOUNT, LINE_DISCOUNT))


@dataclass(frozen=True, slots=True)
class FloorTotal:
    """What one floor with its repeats comes to; the totals of all floors add up to the package's."""

    name: str
    repeat: int
    goods: Decimal
    freight: Decimal
    tax: Decimal

    @property
    def total(self) -> Decimal:
        return self.goods + self.freight + self.tax


@dataclass(frozen=True, slots=True)
class PricedPackage:
    """A priced package; every sum is the sum of rounded lines, `goods` is without freight and tax."""

    lines: tuple[PricedLine, ...]
    goods: Decimal
    freight: Decimal
    tax: Decimal
    total: Decimal
    cost: Decimal
    floors: tuple[FloorTotal, ...] = ()

    @property
    def margin(self) -> Decimal | None:
        """(price - cost) / price before tax (R39); None where the price is zero."""
        return margin_of(self.goods + self.freight, self.cost)

    @property
    def given(self) -> Decimal:
        """Manual discounts, of lines and of the total, as a positive amount before tax."""
        return -sum((line.extension for line in self.lines if line.is_given), Decimal(0))


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


def margin_of(price: Decimal, cost: Decimal) -> Decimal | None:
    """(price - cost) / price, both before tax (R39); None where the price is zero."""
    return (price - cost) / price if price else None


def round_cent(amount: Decimal) -> Decimal:
    """Half up to the cent, away from zero for negative amounts too."""
    return amount.quantize(CENT, ROUND_HALF_UP)
