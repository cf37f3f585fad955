"""Which quotes figures count: one revision of each quote that was ever issued, with what is counted of it."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from django.db.models import (
    Case,
    CharField,
    DecimalField,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from quotes.figures_shapes import DECIDED
from quotes.lost_models import LostReason
from quotes.models import Acceptance, QuoteMove, QuoteRevision
from quotes.states import QuoteStage

PICKED: Final = "acceptance__alternate"
MONEY_FIELD: Final[DecimalField[Any, Any]] = DecimalField(max_digits=14, decimal_places=2)


def offers_counted() -> QuerySet[QuoteRevision]:
    """One revision a quote that was ever issued: the one it was booked by, else the newest issued.

    Adds `value` and `offer_cost` before tax (of the picked alternate where there is one), `first_issued` of the
    quote, `decided_at` of its last move, and `lost_reason`.
    """
    issued = QuoteRevision.objects.filter(quote=OuterRef("quote"), issued_at__isnull=False)
    moves = QuoteMove.objects.filter(quote=OuterRef("quote")).order_by("-id")
    newer = Exists(issued.filter(number__gt=OuterRef("number")))
    accepted = Exists(Acceptance.objects.filter(quote=OuterRef("quote")))
    rows = QuoteRevision.objects.filter(issued_at__isnull=False, after_booking=False)
    rows = rows.filter(Q(acceptance__isnull=False) | (~accepted & ~newer))
    return rows.annotate(
        value=Coalesce(
            F(f"{PICKED}__goods") + F(f"{PICKED}__freight"),
            F("goods") + F("freight"),
            output_field=MONEY_FIELD,
        ),
        offer_cost=Coalesce(F(f"{PICKED}__cost"), F("cost"), output_field=MONEY_FIELD),
        first_issued=Subquery(issued.order_by("number").values("issued_at")[:1]),
        decided_at=Subquery(moves.values("at")[:1]),
        lost_reason=_reason(),
    )


def _reason() -> Case:
    """What was said; without a word a lapse is silence, and an old decline without one is another reason."""
    return Case(
        When(lost_offer__isnull=False, then=F("lost_offer__reason")),
        When(quote__stage=QuoteStage.LAPSED, then=Value(LostReason.SILENT.value)),
        default=Value(LostReason.OTHER.value),
        output_field=CharField(),
    )


def within(field: str, span: tuple[datetime, datetime]) -> Q:
    return Q(**{f"{field}__gte": span[0], f"{field}__lt": span[1]})


def quoted_in(span: tuple[datetime, datetime]) -> QuerySet[QuoteRevision]:
    """Quotes first issued in a span of time."""
    return offers_counted().filter(within("first_issued", span))


def decided_in(span: tuple[datetime, datetime]) -> QuerySet[QuoteRevision]:
    """Quotes that stand booked, declined or lapsed and came there in a span of time."""
    return offers_counted().filter(within("decided_at", span), quote__stage__in=DECIDED)
