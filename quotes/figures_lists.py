"""The quotes behind each figure: found by the same filters as the figure itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django.db.models import Count, QuerySet, Sum

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import Refused
from quotes.approval_reads import BIG
from quotes.figures_offers import decided_in, quoted_in
from quotes.figures_periods import Period, company_tz, day_of, month_after
from quotes.figures_shapes import DECIDED, LOST, WON, Tally
from quotes.figures_whose import Whose, cost_scope
from quotes.lost_models import LostReason
from quotes.models import QuoteRevision
from quotes.pricing_table import margin_of
from quotes.states import QuoteStage

WHAT: Final = {
    "quoted": "first issued",
    "decided": "decided",
    "booked": "booked",
    "lost": "lost",
    "declined": "declined",
    "lapsed": "lapsed",
    "answered": "answered by the builder",
    "margin": "booked, of which you may see the margin",
}
_STAGES: Final[dict[str, tuple[str, ...]]] = {
    "decided": DECIDED,
    "booked": (WON,),
    "margin": (WON,),
    "lost": LOST,
    "declined": (QuoteStage.DECLINED,),
    "lapsed": (QuoteStage.LAPSED,),
    "answered": (WON, QuoteStage.DECLINED),
}


@dataclass(frozen=True, slots=True)
class Counted:
    """Which figure's quotes: a key of WHAT, and where asked for a currency, a month, a reason."""

    what: str
    currency: str = ""
    month: date | None = None
    reason: str = ""


def counted_read(what: str, currency: str, month: str, reason: str) -> Counted:
    """The figure that an address names. Raises Refused at the parameter that names none."""
    if what not in WHAT:
        raise Refused(f"“{what[:20]}” is no figure. It is one of {', '.join(WHAT)}.", field="what")
    if reason and reason not in LostReason.values:
        raise Refused(f"“{reason[:20]}” is no reason of a lost offer.", field="reason")
    try:
        first = date.fromisoformat(f"{month}-01") if month else None
        if first is not None and not 2000 <= first.year <= 2099:
            raise ValueError
    except ValueError:
        raise Refused(f"“{month[:20]}” is no month. Write it as 2026-11.", field="month") from None
    return Counted(what, currency[:3], first, reason)


def quotes_counted(actor: Actor, period: Period, whose: Whose, counted: Counted) -> QuerySet[QuoteRevision]:
    """The quotes that a figure counts, latest first, without their big columns."""
    require(actor, "quote", "read")
    start, end = period.bounds
    if counted.month is not None:
        first, after = counted.month, month_after(counted.month)
        zone = company_tz()
        start = max(start, datetime(first.year, first.month, 1, tzinfo=zone))
        end = min(end, datetime(after.year, after.month, 1, tzinfo=zone))
    if counted.what == "quoted":
        rows = quoted_in((start, end)).order_by("-first_issued", "-pk")
    else:
        rows = decided_in((start, end)).filter(quote__stage__in=_STAGES[counted.what])
        rows = rows.order_by("-decided_at", "-pk")
    rows = rows.filter(whose.q, **({"currency": counted.currency} if counted.currency else {}))
    if counted.reason:
        rows = rows.filter(lost_reason=counted.reason, quote__stage__in=LOST)  # type: ignore[misc]  # annotated
    if counted.what == "margin":
        rows = rows.filter(cost_scope(actor)[1])
    return rows.defer(*BIG).select_related("quote__project__builder", "quote__owner")


def sums_counted(rows: QuerySet[QuoteRevision]) -> list[tuple[str, Tally]]:
    """Count and value of a list by currency."""
    sums = rows.order_by().values("currency").annotate(number_of=Count("pk"), worth=Sum("value"))
    return [
        (row["currency"], Tally(row["number_of"], row["worth"] or Decimal(0)))
        for row in sums.order_by("currency")
    ]


@dataclass(frozen=True, slots=True)
class CountedRow:
    """A quote of such a list; `margin` is None unless it is asked for, `decided_day` while the quote is open."""

    revision: QuoteRevision
    value: Decimal
    first_day: date
    decided_day: date | None
    reason: str
    margin: Decimal | None


def rows_counted(revisions: Iterable[Any], *, margins: bool) -> list[CountedRow]:
    """Rows of `quotes_counted`; `margins` only where that list holds what the reader may see the cost of."""
    labels = dict(LostReason.choices)
    return [
        CountedRow(
            row,
            row.value,
            day_of(row.first_issued),
            day_of(row.decided_at) if row.quote.stage in DECIDED else None,
            str(labels[row.lost_reason]) if row.quote.stage in LOST else "",
            margin_of(row.value, row.offer_cost) if margins else None,
        )
        for row in revisions
    ]
