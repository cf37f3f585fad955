"""A price book document's rows in the database."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from quotes.models import FreightRate, PriceBook, PriceItem, TaxRate, TierDiscount
from quotes.price_documents import PriceBookDocument

HEAD: Final = (
    "currency",
    "surcharge_per_lb",
    "margin_floor",
    "discount_limit",
    "line_discount_limit",
    "valid_days",
)


def rows_store(book: PriceBook, document: PriceBookDocument) -> None:
    """Write all rows of a draft that has none."""
    PriceItem.objects.bulk_create([PriceItem(book=book, **item.model_dump()) for item in document.items])
    TierDiscount.objects.bulk_create(
        [TierDiscount(book=book, tier=tier, share=share) for tier, share in document.tiers.items()]
    )
    FreightRate.objects.bulk_create(list(_freight(book, document)))
    TaxRate.objects.bulk_create(
        [
            TaxRate(book=book, place=place, item_class=kind, share=share)
            for place, rates in document.taxes.items()
            for kind, share in rates.items()
        ]
    )


def _freight(book: PriceBook, document: PriceBookDocument) -> Iterator[FreightRate]:
    for zone, entry in document.freight.items():
        yield FreightRate(
            book=book,
            zone=zone,
            price_per_truck=entry.price,
            cost_per_truck=entry.cost,
            regions=list(entry.regions),
            postal=list(entry.postal),
            from_mi=entry.from_mi,
            to_mi=entry.to_mi,
            no_charge=entry.no_charge,
        )
        for small in entry.trucks:
            yield FreightRate(
                book=book,
                zone=zone,
                truck=small.truck,
                most_lb=small.most_lb,
                price_per_truck=small.price,
                cost_per_truck=small.cost,
                no_charge=small.no_charge,
            )


def rows_clear(book: PriceBook) -> None:
    """Take all rows of a draft away."""
    for rows in (book.items, book.tiers, book.freight, book.taxes):
        rows.all().delete()
