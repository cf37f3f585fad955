"""Putting a price book in force from its document."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from quotes.models import FreightRate, PriceBook, PriceItem, TaxRate, TierDiscount
from quotes.price_documents import PriceBookDocument, PriceDocumentRefused, read_price_document


def price_book_import(*, actor: Actor, data: Mapping[str, Any], at: datetime) -> PriceBook:
    """Store a price book document and put it in force, all or nothing; the one before is kept for its quotes.

    Raises Refused with every wrong field in `detail`; Clash where this name and number is stored already.
    """
    require(actor, "price_book", "change")
    try:
        document = read_price_document(data)
    except PriceDocumentRefused as error:
        detail = [{"place": place, "message": message} for place, message in error.problems]
        raise Refused(f"This price book cannot be read. {error}", detail=detail) from error
    with transaction.atomic():
        before = PriceBook.objects.select_for_update().filter(in_force=True).first()
        if PriceBook.objects.filter(name=document.name, version=document.number).exists():
            raise Clash(
                f"Price book {document.name} {document.number} is stored already; give it a new number."
            )
        PriceBook.objects.filter(in_force=True).update(in_force=False)
        book = _book(document, at)
        _rows(book, document)
        change = {"in_force": [str(before) if before else None, str(book)], "items": len(document.items)}
        audit_record(actor, "price_book_import", book, at=at, change=change)
    return book


def _book(document: PriceBookDocument, at: datetime) -> PriceBook:
    return PriceBook.objects.create(
        name=document.name,
        version=document.number,
        currency=document.currency,
        valid_from=document.valid_from,
        in_force=True,
        surcharge_per_lb=document.surcharge_per_lb,
        margin_floor=document.margin_floor,
        discount_limit=document.discount_limit,
        valid_days=document.valid_days,
        created_at=at,
    )


def _rows(book: PriceBook, document: PriceBookDocument) -> None:
    PriceItem.objects.bulk_create([PriceItem(book=book, **item.model_dump()) for item in document.items])
    TierDiscount.objects.bulk_create(
        [TierDiscount(book=book, tier=tier, share=share) for tier, share in document.tiers.items()]
    )
    FreightRate.objects.bulk_create(
        [
            FreightRate(book=book, zone=zone, price_per_truck=entry.price, cost_per_truck=entry.cost)
            for zone, entry in document.freight.items()
        ]
    )
    TaxRate.objects.bulk_create(
        [
            TaxRate(book=book, place=place, item_class=kind, share=share)
            for place, rates in document.taxes.items()
            for kind, share in rates.items()
        ]
    )
