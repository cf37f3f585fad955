"""What another price book would make of the quotes that are open: drafts, and offers not answered yet.

Each is priced from its stored result; the engine is not asked. Nothing is changed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from time import monotonic
from typing import Final

from django.db.models import F, OuterRef, Prefetch, QuerySet, Subquery

from framing.projects.freight import zone_of
from framing.projects.selectors import practice_of
from quotes.models import Alternate, QuoteRevision
from quotes.price_documents import PriceBookDocument, table_of, zones_of
from quotes.pricing import MissingPrices, PricedPackage, PriceTable, price_package
from quotes.selectors import line_discounts, package_of
from quotes.states import QuoteStage

EFFECTS_MOST: Final = 200
SECONDS_MOST: Final = 4.0


@dataclass(frozen=True, slots=True)
class OfferEffect:
    """One offer: its total now and by the other book; None and `missing` where that book lacks a price.

    The base offer has no letter.
    """

    letter: str
    label: str
    now: Decimal
    total: Decimal | None
    missing: tuple[str, ...] = ()

    @property
    def difference(self) -> Decimal | None:
        return None if self.total is None else self.total - self.now

    @property
    def percent(self) -> Decimal | None:
        difference = self.difference
        return None if difference is None or not self.now else difference / self.now * 100


@dataclass(frozen=True, slots=True)
class Effect:
    """One open quote: its base offer, and its alternates by letter."""

    revision: QuoteRevision
    base: OfferEffect
    alternates: tuple[OfferEffect, ...] = ()

    @property
    def total(self) -> Decimal | None:
        return self.base.total

    @property
    def difference(self) -> Decimal | None:
        return self.base.difference

    @property
    def percent(self) -> Decimal | None:
        return self.base.percent

    @property
    def missing(self) -> tuple[str, ...]:
        """What the book lacks for the base offer or an alternate, each thing once."""
        found = (words for offer in (self.base, *self.alternates) for words in offer.missing)
        return tuple(dict.fromkeys(found))


@dataclass(frozen=True, slots=True)
class Effects:
    """The open quotes looked at, newest first, of how many; sums of base offers that the book can price."""

    rows: tuple[Effect, ...]
    count: int
    same_currency: bool = True

    @property
    def now(self) -> Decimal:
        return sum((row.revision.total for row in self.rows if row.total is not None), Decimal(0))

    @property
    def then(self) -> Decimal:
        return sum((row.total for row in self.rows if row.total is not None), Decimal(0))

    @property
    def difference(self) -> Decimal:
        return self.then - self.now

    @property
    def lacking(self) -> tuple[Effect, ...]:
        """Quotes of which at least one offer lacks a price."""
        return tuple(row for row in self.rows if row.missing)


def open_revisions() -> QuerySet[QuoteRevision]:
    """The newest revision of each quote that is a draft or waits for the builder's answer, newest quote first."""
    newest = QuoteRevision.objects.filter(quote=OuterRef("quote")).order_by("-number").values("number")[:1]
    rows = QuoteRevision.objects.filter(
        quote__stage__in=(QuoteStage.BID, QuoteStage.ISSUED), number=Subquery(newest)
    )
    rows = rows.select_related("quote__project__builder", "quote__project__site", "practice_set")
    alternates = Prefetch("alternates", Alternate.objects.defer("floors", "choices").order_by("letter"))
    rows = rows.prefetch_related("line_discounts", alternates)
    return rows.defer("floors").order_by(F("quote_id").desc())


def price_effects(document: PriceBookDocument, *, clock: Callable[[], float] = monotonic) -> Effects:
    """Open quotes with their alternates by another book; at most EFFECTS_MOST, none is begun after SECONDS_MOST."""
    rows, table = open_revisions(), table_of(document)
    end = clock() + SECONDS_MOST
    found: list[Effect] = []
    same = True
    for revision in rows[:EFFECTS_MOST].iterator(chunk_size=10):
        if clock() > end:
            break
        same = same and revision.currency == document.currency
        found.append(_effect(revision, document, table))
    return Effects(tuple(found), rows.count(), same)


def _effect(revision: QuoteRevision, document: PriceBookDocument, table: PriceTable) -> Effect:
    def offer(what: QuoteRevision | Alternate, letter: str = "", label: str = "") -> OfferEffect:
        try:
            total = _priced(revision, what, document, table).total
        except MissingPrices as error:
            missing = tuple(entry.words for entry in error.missing)
            return OfferEffect(letter, label, what.total, None, missing)
        return OfferEffect(letter, label, what.total, total)

    others = (offer(one, one.letter, one.label) for one in revision.alternates.all())
    return Effect(revision, offer(revision), tuple(others))


def _priced(
    revision: QuoteRevision, what: QuoteRevision | Alternate, document: PriceBookDocument, table: PriceTable
) -> PricedPackage:
    project = revision.quote.project
    site = project.site
    zone = zone_of(site.freight_zone, site.region, site.postal_code, zones_of(document.freight))
    return price_package(
        package_of(what),
        table,
        tier=project.builder.tier,
        freight_zone=zone or site.freight_zone,
        tax_place=site.tax_place,
        discount_share=revision.discount_share,
        line_discounts=line_discounts(revision),
        practice=practice_of(revision.practice_set),
    )
