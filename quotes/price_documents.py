"""A price book as a JSON document: its published shape, and the price table that pricing takes. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from itertools import pairwise
from typing import Annotated, Any, Final, Literal

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    ValidationError,
    ValidationInfo,
    field_validator,
    model_validator,
)

from framing.projects.freight import BY_PLACE, FreightZone, distance_mi, plain_postal
from quotes.price_fields import (
    Day,
    Fare,
    Miles,
    Money,
    Price,
    Rate,
    Share,
    TaxShare,
    Whole,
    Why200,
    Word12,
    Word16,
    Word20,
    Word40,
    Word60,
    Word80,
    Word160,
)
from quotes.pricing import FreightRow, ItemClass, PriceRow, PriceTable, TruckRow

ITEMS_MOST: Final = 5000


class PriceDocumentRefused(ValueError):
    """A price book document of another shape; `problems` holds (place, message) pairs."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        super().__init__("; ".join(f"{place}: {message}" for place, message in problems))
        self.problems = problems


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _Priced(_Part):
    """What has a price, over 0; or none at all, which somebody with the right to it gives a reason for (R38)."""

    no_charge: Why200 = ""

    @field_validator("price", check_fields=False)
    @classmethod
    def _over_nothing(cls, price: Decimal, info: ValidationInfo) -> Decimal:
        reason = info.data.get("no_charge", "")
        if price < 0:
            raise ValueError(f"must be over 0; it is {price}")
        if not price and not reason:
            raise ValueError("must be over 0; it is 0. What is given at no charge says why")
        if price and reason:
            raise ValueError(f"it is {price}, and given at no charge too; take one of both away")
        return price


class ItemEntry(_Priced):
    """One priced thing; `code` is the bill's code, `cutting` or `punching`."""

    code: Word60
    description: Word160
    sold_by: Word12
    item_class: Literal["material", "labour"]
    price: Price
    cost: Rate


class TruckEntry(_Priced):
    """A smaller truck, for loads up to `most_lb`."""

    truck: Word20
    most_lb: Annotated[Whole, Field(ge=1, le=1_000_000)]
    price: Fare
    cost: Money


class FreightEntry(_Priced):
    """A zone: a full truck's price, smaller trucks, and where it is: regions, postal codes or a band of miles."""

    price: Fare
    cost: Money
    trucks: Annotated[tuple[TruckEntry, ...], Field(max_length=20)] = ()
    regions: Annotated[tuple[Word40, ...], Field(max_length=200)] = ()
    postal: Annotated[tuple[Word16, ...], Field(max_length=500)] = ()
    from_mi: Miles | None = None
    to_mi: Miles | None = None

    @model_validator(mode="after")
    def _whole(self) -> FreightEntry:
        if (self.from_mi is None) != (self.to_mi is None):
            raise ValueError("a band of miles needs both where it begins and where it ends")
        if self.from_mi is not None and self.to_mi is not None and self.to_mi <= self.from_mi:
            raise ValueError(f"the band ends at {self.to_mi} mi, not after its begin at {self.from_mi} mi")
        for what, values in (
            ("the truck", [entry.truck for entry in self.trucks]),
            ("a truck up to (lb)", [entry.most_lb for entry in self.trucks]),
        ):
            twice = _twice(values)
            if twice:
                raise ValueError(f"{what} {twice[0]} stands twice in the zone")
        return self


class PriceBookDocument(_Part):
    """Version 1 of the shape. Shares are fractions as text, such as "0.0725"."""

    format: Literal["spanyard.price_book"]
    version: Literal[1]
    name: Word80
    number: Annotated[Whole, Field(ge=1, le=1_000_000)]
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    valid_from: Day
    surcharge_per_lb: Rate = Decimal(0)
    margin_floor: Share = Decimal("0.18")
    discount_limit: Share = Decimal("0.05")
    line_discount_limit: Share = Decimal("0.10")
    valid_days: Annotated[Whole, Field(ge=1, le=365)] = 30
    tiers: Annotated[dict[Word20, Share], Field(max_length=100)]
    freight: Annotated[dict[Word20, FreightEntry], Field(max_length=200)]
    taxes: Annotated[dict[Word40, dict[ItemClass, TaxShare]], Field(max_length=2000)]
    items: Annotated[tuple[ItemEntry, ...], Field(max_length=ITEMS_MOST)]

    @property
    def gifts(self) -> tuple[str, ...]:
        """What is given at no charge: codes of items, zones and trucks."""
        items = [item.code for item in self.items if item.no_charge]
        zones = [f"freight to {zone}" for zone, entry in self.freight.items() if entry.no_charge]
        trucks = [
            f"freight to {zone}, {small.truck}"
            for zone, entry in self.freight.items()
            for small in entry.trucks
            if small.no_charge
        ]
        return (*items, *zones, *trucks)

    @field_validator("items")
    @classmethod
    def _once(cls, items: tuple[ItemEntry, ...]) -> tuple[ItemEntry, ...]:
        twice = _twice([item.code for item in items])
        if twice:
            raise ValueError(f"priced twice: {', '.join(map(str, twice))}")
        return items

    @field_validator("freight")
    @classmethod
    def _one_zone_a_place(cls, freight: dict[str, FreightEntry]) -> dict[str, FreightEntry]:
        problem = zones_problem(zones_of(freight))
        if problem:
            raise ValueError(problem)
        return freight


def _twice(values: list[Any]) -> list[Any]:
    return sorted(value for value, count in Counter(values).items() if count > 1)


def zones_of(freight: Mapping[str, FreightEntry]) -> tuple[FreightZone, ...]:
    """Where the zones of a document are."""
    return tuple(
        FreightZone(name, entry.regions, entry.postal, entry.from_mi, entry.to_mi)
        for name, entry in freight.items()
    )


def zones_problem(zones: tuple[FreightZone, ...]) -> str:
    """Why a site could fall into two zones, or a zone's name be taken for something else; "" where neither."""
    for zone in zones:
        if zone.name.lower() == BY_PLACE or distance_mi(zone.name) is not None:
            return f"“{zone.name}” can't name a zone: a site says so to have its zone found"
    for what, pairs in (
        ("the region", [(name.casefold(), z.name) for z in zones for name in z.regions]),
        ("postal codes from", [(plain_postal(code), z.name) for z in zones for code in z.postal]),
    ):
        twice = _twice([place for place, _ in pairs])
        if twice:
            names = " and ".join(dict.fromkeys(zone for place, zone in pairs if place == twice[0]))
            return f"{what} {twice[0]} stands twice ({names})"
    bands = sorted(
        (z.from_mi, z.to_mi, z.name) for z in zones if z.from_mi is not None and z.to_mi is not None
    )
    for (_, end, one), (begin, _, other) in pairwise(bands):
        if begin < end:
            return f"the zones {one} and {other} overlap between {begin} and {end} mi"
    return ""


def read_price_document(data: Mapping[str, Any]) -> PriceBookDocument:
    """Check a document. Raises PriceDocumentRefused naming each field."""
    try:
        return PriceBookDocument.model_validate(dict(data))
    except ValidationError as error:
        problems = [(".".join(map(str, entry["loc"])), _words(entry)) for entry in error.errors()]
        raise PriceDocumentRefused(problems) from error


def _words(entry: Mapping[str, Any]) -> str:
    """What is wrong with a value, with the value and its limit."""
    limits, kind = entry.get("ctx", {}), entry["type"]
    say = _SAYINGS.get(kind)
    if say is None:
        said: str = entry["msg"]
        return said.removeprefix("Value error, ")
    value = entry["input"] if isinstance(entry["input"], (str, int, float, Decimal)) else ""
    return say.format(value=str(value)[:40], **limits)


_SAYINGS: Final[Mapping[str, str]] = {
    "greater_than_equal": "must be {ge} or more; it is {value}",
    "less_than": "must be under {lt}; it is {value}",
    "less_than_equal": "must be {le} or less; it is {value}",
    "decimal_max_places": "has more than {decimal_places} decimals; it is {value}",
    "decimal_max_digits": "has more than {max_digits} digits; it is {value}",
    "decimal_parsing": "“{value}” is no number; write it like 4.42",
    "decimal_type": "must be a number, such as 4.42",
    "finite_number": "“{value}” is no amount; write a number like 4.42",
    "int_parsing": "“{value}” is no whole number",
    "int_parsing_size": "has more digits than any figure here",
    "int_from_float": "“{value}” is no whole number",
    "int_type": "must be a whole number",
    "string_type": "must be a text",
    "literal_error": "must be {expected}; it is {value}",
    "too_long": "has more than {max_length} entries",
    "decimal_whole_digits": "has more than {whole_digits} digits before the point; it is {value}",
    "string_too_long": "has more than {max_length} signs",
    "string_too_short": "is empty",
    "string_pattern_mismatch": "must be three capital letters, such as USD; it is {value}",
    "missing": "is missing",
    "extra_forbidden": "is nothing that a price book holds",
}


def table_of(document: PriceBookDocument) -> PriceTable:
    """The price table of a document."""
    return PriceTable(
        name=document.name,
        version=document.number,
        currency=document.currency,
        rows={
            i.code: PriceRow(i.code, i.description, i.sold_by, i.item_class, i.price, i.cost, i.no_charge)
            for i in document.items
        },
        surcharge_per_lb=document.surcharge_per_lb,
        tiers=document.tiers,
        freight={zone: _freight_row(entry) for zone, entry in document.freight.items()},
        taxes={
            (place, kind): share for place, rates in document.taxes.items() for kind, share in rates.items()
        },
        margin_floor=document.margin_floor,
        discount_limit=document.discount_limit,
        line_discount_limit=document.line_discount_limit,
        valid_days=document.valid_days,
    )


def _freight_row(entry: FreightEntry) -> FreightRow:
    trucks = tuple(TruckRow(t.truck, t.most_lb, t.price, t.cost, t.no_charge) for t in entry.trucks)
    return FreightRow(entry.price, entry.cost, trucks, entry.no_charge)
