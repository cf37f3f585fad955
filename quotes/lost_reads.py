"""Reads of lost offers: which quotes are lost now, when and why, and how often each reason stands."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from quotes.lost_models import LostOffer, LostReason
from quotes.models import Quote, QuoteMove, QuoteRevision
from quotes.states import QuoteStage

LOST = (QuoteStage.DECLINED, QuoteStage.LAPSED)


@dataclass(frozen=True, slots=True)
class LostCount:
    """How many quotes were lost for a reason, and their offers' value with tax, of one currency."""

    reason: LostReason
    currency: str
    count: int
    value: Decimal


def lost_quotes() -> QuerySet[Quote]:
    """Quotes that are lost now, latest first; one that was revised since is open again and not among them.

    Adds `lost_at` (when it was declined or lapsed), `lost_reason` (a LostReason; SILENT where it lapsed and nobody
    named another), `lost_words`, and `lost_total`, `lost_currency` of the last offer's base. Filter by `owner`,
    `stage`, `lost_at` as for any quote.
    """
    offer = QuoteRevision.objects.filter(quote=OuterRef("pk"), issued_at__isnull=False).order_by("-number")
    moved = QuoteMove.objects.filter(quote=OuterRef("pk"), to_stage__in=LOST).order_by("-id")
    rows = Quote.objects.filter(stage__in=LOST).annotate(
        lost_revision=Subquery(offer.values("pk")[:1]),
        lost_total=Subquery(offer.values("total")[:1]),
        lost_currency=Subquery(offer.values("currency")[:1]),
        lost_at=Subquery(moved.values("at")[:1]),
    )
    told = LostOffer.objects.filter(revision=OuterRef("lost_revision"))
    return rows.annotate(
        lost_reason=Coalesce(Subquery(told.values("reason")[:1]), Value(LostReason.SILENT.value)),
        lost_words=Coalesce(Subquery(told.values("words")[:1]), Value("")),
    ).order_by("-lost_at", "-id")


def lost_reasons(rows: QuerySet[Quote] | None = None) -> list[LostCount]:
    """Each reason with count and value, a line a currency; of `rows` of `lost_quotes()`, else of all.

    Most frequent first, then by value; reasons that never stood are left out. One query.
    """
    found = (rows if rows is not None else lost_quotes()).order_by()
    counted = (
        found.values("lost_reason", "lost_currency")  # type: ignore[misc]  # annotated by lost_quotes
        .annotate(count=Count("pk"), value=Sum("lost_total"))
        .order_by("-count", "-value", "lost_reason", "lost_currency")
    )
    return [
        LostCount(LostReason(row["lost_reason"]), row["lost_currency"], row["count"], row["value"])
        for row in counted
    ]


def lost_offer_of(revision: QuoteRevision) -> LostOffer | None:
    """Why a revision was lost, where somebody told."""
    return LostOffer.objects.filter(revision=revision).select_related("recorded_by", "link").first()
