"""Reads of price books: which one holds, a book as document and as price table, its versions, its zone for a site."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from django.db.models import Case, F, QuerySet, When

from framing.common.errors import NotThere, Refused
from framing.projects.freight import BY_PLACE, FreightZone, zone_of
from framing.projects.models import Site
from quotes.models import BookState, PriceBook
from quotes.price_documents import (
    FreightEntry,
    ItemEntry,
    PriceBookDocument,
    TruckEntry,
    read_price_document,
    table_of,
)
from quotes.pricing import PriceTable

DEMO_BOOK = Path(__file__).parent / "data" / "demo_price_book.json"
DEMO_ZONE, DEMO_PLACE = "near", "Larkmeadow County"
ROWS = ("items", "tiers", "freight", "taxes")
ITEM_FIELDS = ("code", "description", "sold_by", "item_class", "price", "cost", "no_charge")


@cache
def demo_price_document() -> Mapping[str, Any]:
    """The invented demo price book as its document."""
    data: Mapping[str, Any] = json.loads(DEMO_BOOK.read_text(encoding="utf-8"))
    return data


def demo_price_table() -> PriceTable:
    """The demo price book without a database."""
    return table_of(read_price_document(demo_price_document()))


def price_book_in_force(on: date | None = None) -> PriceBook:
    """The book of a day, by default today. Raises Refused where the company has put none in force for it."""
    book = PriceBook.objects.in_force(on).first()
    if book is None:
        raise Refused("No price book is in force. Import one before quoting.")
    return book


def price_book_get(public_id: str) -> PriceBook:
    """One version with all its rows. Raises NotThere."""
    book = PriceBook.objects.prefetch_related(*ROWS).filter(public_id=public_id).first()
    if book is None:
        raise NotThere()
    return book


def price_book_list() -> QuerySet[PriceBook]:
    """All versions: what is being worked on first, then what holds or will hold, the latest first."""
    order = Case(When(state=BookState.REVIEW, then=0), When(state=BookState.DRAFT, then=1), default=2)
    return PriceBook.objects.order_by(order, F("valid_from").desc(), F("id").desc())


def price_book_next(after: date) -> PriceBook | None:
    """The book that comes into force first after a day."""
    rows = PriceBook.objects.filter(state=BookState.IN_FORCE, valid_from__gt=after)
    return rows.order_by("valid_from").first()


def document_data(book: PriceBook) -> dict[str, Any]:
    """A stored book as the data of its document."""
    taxes: dict[str, dict[str, Any]] = {}
    for tax in sorted(book.taxes.all(), key=lambda row: row.pk):
        taxes.setdefault(tax.place, {})[tax.item_class] = tax.share
    return {
        "format": "spanyard.price_book",
        "version": 1,
        "name": book.name,
        "number": book.version,
        "currency": book.currency,
        "valid_from": book.valid_from,
        "surcharge_per_lb": book.surcharge_per_lb,
        "margin_floor": book.margin_floor,
        "discount_limit": book.discount_limit,
        "line_discount_limit": book.line_discount_limit,
        "valid_days": book.valid_days,
        "tiers": {row.tier: row.share for row in sorted(book.tiers.all(), key=lambda row: row.pk)},
        "freight": _freight_data(book),
        "taxes": taxes,
        "items": [{name: getattr(row, name) for name in ITEM_FIELDS} for row in book.items.all()],
    }


def _freight_data(book: PriceBook) -> dict[str, dict[str, Any]]:
    rows = sorted(book.freight.all(), key=lambda row: (bool(row.truck), row.most_lb or 0, row.pk))
    zones: dict[str, dict[str, Any]] = {}
    for row in rows:
        money = {"price": row.price_per_truck, "cost": row.cost_per_truck, "no_charge": row.no_charge}
        if row.truck:
            small = {"truck": row.truck, "most_lb": row.most_lb} | money
            zones[row.zone].setdefault("trucks", []).append(small)
        else:
            area = {"regions": row.regions, "postal": row.postal, "from_mi": row.from_mi, "to_mi": row.to_mi}
            zones[row.zone] = money | area
    return zones


def document_of(book: PriceBook) -> PriceBookDocument:
    """A stored book as its document."""
    return PriceBookDocument.model_construct(**_constructed(document_data(book)))


def _constructed(data: dict[str, Any]) -> dict[str, Any]:
    """The parts of a stored book as the document's own parts: checked when it was stored, so not again."""
    freight = {}
    for zone, entry in data["freight"].items():
        trucks = tuple(TruckEntry.model_construct(**small) for small in entry.pop("trucks", ()))
        places: dict[str, Any] = {name: tuple(entry.pop(name)) for name in ("regions", "postal")}
        freight[zone] = FreightEntry.model_construct(**entry, **places, trucks=trucks)
    items = tuple(ItemEntry.model_construct(**item) for item in data["items"])
    return data | {"freight": freight, "items": items}


def price_table(book: PriceBook) -> PriceTable:
    """The price table of a stored book."""
    return table_of(document_of(book))


def freight_zones(book: PriceBook) -> tuple[FreightZone, ...]:
    """Where the book's zones are."""
    return tuple(
        FreightZone(row.zone, tuple(row.regions), tuple(row.postal), row.from_mi, row.to_mi)
        for row in book.freight.all()
        if not row.truck
    )


def site_zone(site: Site, book: PriceBook) -> str:
    """The freight zone of a site in a book; what the site says as it stands where no zone fits."""
    found = zone_of(site.freight_zone, site.region, site.postal_code, freight_zones(book))
    return found or _said(site)


def _said(site: Site) -> str:
    known = site.freight_zone.strip()
    return known if known.lower() != BY_PLACE else f"{site.region} {site.postal_code}"
