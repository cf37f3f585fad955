"""A price book as a JSON document: its published shape, and the price table that pricing takes. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from quotes.pricing import FreightRow, ItemClass, PriceRow, PriceTable

Share = Annotated[Decimal, Field(ge=0, lt=1, max_digits=6, decimal_places=5)]
Rate = Annotated[Decimal, Field(ge=0, max_digits=12, decimal_places=4)]
Positive = Annotated[Decimal, Field(gt=0, max_digits=12, decimal_places=4)]
Money = Annotated[Decimal, Field(ge=0, max_digits=12, decimal_places=2)]


class PriceDocumentRefused(ValueError):
    """A price book document of another shape; `problems` holds (place, message) pairs."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        super().__init__("; ".join(f"{place}: {message}" for place, message in problems))
        self.problems = problems


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class ItemEntry(_Part):
    """One priced thing; `code` is the bill's code, `cutting` or `punching`."""

    code: Annotated[str, Field(min_length=1, max_length=60)]
    description: Annotated[str, Field(min_length=1, max_length=160)]
    sold_by: Annotated[str, Field(min_length=1, max_length=12)]
    item_class: Literal["material", "labour"]
    price: Positive
    cost: Rate


class FreightEntry(_Part):
    price: Money
    cost: Money


class PriceBookDocument(_Part):
    """Version 1 of the shape. Shares are fractions as text, such as "0.0725"."""

    format: Literal["spanyard.price_book"]
    version: Literal[1]
    name: Annotated[str, Field(min_length=1, max_length=80)]
    number: Annotated[int, Field(ge=1)]
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")]
    valid_from: date
    surcharge_per_lb: Rate = Decimal(0)
    margin_floor: Share = Decimal("0.18")
    discount_limit: Share = Decimal("0.05")
    valid_days: Annotated[int, Field(ge=1, le=365)] = 30
    tiers: dict[str, Share]
    freight: dict[str, FreightEntry]
    taxes: dict[str, dict[ItemClass, Share]]
    items: tuple[ItemEntry, ...]

    @field_validator("items")
    @classmethod
    def _once(cls, items: tuple[ItemEntry, ...]) -> tuple[ItemEntry, ...]:
        codes = [item.code for item in items]
        twice = sorted({code for code in codes if codes.count(code) > 1})
        if twice:
            raise ValueError(f"priced twice: {', '.join(twice)}")
        return items


def read_price_document(data: Mapping[str, Any]) -> PriceBookDocument:
    """Check a document. Raises PriceDocumentRefused naming each field."""
    try:
        return PriceBookDocument.model_validate(dict(data))
    except ValidationError as error:
        problems = [(".".join(map(str, entry["loc"])), entry["msg"]) for entry in error.errors()]
        raise PriceDocumentRefused(problems) from error


def table_of(document: PriceBookDocument) -> PriceTable:
    """The price table of a document."""
    return PriceTable(
        name=document.name,
        version=document.number,
        currency=document.currency,
        rows={
            i.code: PriceRow(i.code, i.description, i.sold_by, i.item_class, i.price, i.cost)
            for i in document.items
        },
        surcharge_per_lb=document.surcharge_per_lb,
        tiers=document.tiers,
        freight={zone: FreightRow(entry.price, entry.cost) for zone, entry in document.freight.items()},
        taxes={
            (place, kind): share for place, rates in document.taxes.items() for kind, share in rates.items()
        },
        margin_floor=document.margin_floor,
        discount_limit=document.discount_limit,
        valid_days=document.valid_days,
    )
