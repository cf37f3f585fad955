"""Reads of changes after booking (R45): what is agreed on a quote now, and what the floors as saved now would be."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet

from quotes.alternate_reads import alternate_picked
from quotes.models import Acceptance, Alternate, Quote, QuoteRevision


def agreements(quote: Quote) -> QuerySet[Acceptance]:
    """Every yes on a quote that still counts, newest first: the booking's, then those of its changes."""
    rows = quote.acceptances.filter(revision__withdrawn_at=None).select_related(
        "alternate", "revision__quote"
    )
    return rows.defer("revision__result", "revision__floors").order_by("-id")


def agreed_before(revision: QuoteRevision) -> Acceptance | None:
    """The yes that held before a change after booking was offered, with the revision that it was given to."""
    return agreements(revision.quote).filter(revision__number__lt=revision.number).first()


def agreed_offer(revision: QuoteRevision) -> QuoteRevision | Alternate:
    """What was accepted of a revision: the picked alternate or the base offer."""
    return alternate_picked(revision) or revision


@dataclass(frozen=True, slots=True)
class ChangeMoney:
    """The price of a change beside what was agreed before it, with freight and tax."""

    was: str
    agreed: Decimal
    total: Decimal
    currency: str

    @property
    def difference(self) -> Decimal:
        return self.total - self.agreed


def change_money(revision: QuoteRevision) -> ChangeMoney | None:
    """What a change after booking comes to; None for any other revision.

    Before the builder's answer `total` is the base offer's; afterwards that of what he picked.
    """
    if not revision.after_booking:
        return None
    before = agreed_before(revision)
    if before is None:
        return None
    agreed = (before.alternate or before.revision).total
    return ChangeMoney(str(before.revision), agreed, agreed_offer(revision).total, revision.currency)


@dataclass(frozen=True, slots=True)
class ChangeNamed:
    """How a change is called for people: its own number on its order."""

    number: int
    order: str
    order_id: str


def change_named(revision: QuoteRevision) -> ChangeNamed | None:
    """The change order that a revision belongs to; read through the relation, without knowing orders."""
    change = getattr(revision, "change_order", None)
    if change is None:
        return None
    return ChangeNamed(change.number, change.order.number, change.order.public_id)
