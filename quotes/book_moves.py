"""What the price book in force now would change in an offer that another book priced (R38, R40)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from quotes.models import AlternateLine, PriceBook, QuoteRevision
from quotes.price_changes import Change, changes_between, without_costs
from quotes.price_reads import document_of, price_book_get, site_zone


@dataclass(frozen=True, slots=True)
class BookMove:
    """Revising prices by `holding`; None where no book is in force.

    `changes` touch this offer: its items, the builder's tier, the site's freight and taxes, the book's terms; they
    name no costs. `others` counts the rest.
    """

    holding: PriceBook | None
    same: bool
    changes: tuple[Change, ...] = ()
    others: int = 0

    @property
    def currency(self) -> str:
        return self.holding.currency if self.holding else ""


def book_move(revision: QuoteRevision, today: date) -> BookMove:
    """What moved between the book of an offer and the one that holds today."""
    holding = PriceBook.objects.in_force(today).first()
    if holding is None or holding.pk == revision.price_book_id:
        return BookMove(holding, same=holding is not None)
    old, new = (price_book_get(book.public_id) for book in (revision.price_book, holding))
    found = without_costs(changes_between(document_of(old), document_of(new)))
    site, tier = revision.quote.project.site, revision.quote.project.builder.tier
    zones = (site_zone(site, old), site_zone(site, new))
    touching = touches(found, codes=codes_of(revision), tier=tier, zones=zones, place=site.tax_place)
    return BookMove(new, same=False, changes=touching, others=len(found) - len(touching))


def codes_of(revision: QuoteRevision) -> frozenset[str]:
    """Codes of the lines of an offer and its alternates."""
    more = AlternateLine.objects.filter(alternate__revision=revision).values_list("code", flat=True)
    return frozenset((*revision.lines.values_list("code", flat=True), *more))


def touches(
    changes: Sequence[Change], *, codes: frozenset[str], tier: str, zones: Sequence[str], place: str
) -> tuple[Change, ...]:
    """The changes that an offer of these items, tier, freight zones and tax place feels. Pure."""

    def feels(change: Change) -> bool:
        if change.part == "items":
            return change.key in codes
        if change.part == "tiers":
            return change.key == tier
        if change.part == "taxes":
            return change.key.startswith(f"{place}, ")
        if change.part == "freight":
            return any(change.key == zone or change.key.startswith(f"{zone}, ") for zone in zones)
        return True

    return tuple(change for change in changes if feels(change))
