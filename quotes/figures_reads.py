"""The figures of a period: sums that the database makes, in a fixed number of queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from django.db.models import Aggregate, Count, DurationField, ExpressionWrapper, F, QuerySet, Sum
from django.db.models.functions import TruncMonth

from framing.common.access import require
from framing.common.actors import Actor
from quotes.figures_offers import decided_in, quoted_in
from quotes.figures_periods import Period, company_tz
from quotes.figures_shapes import LOST, WON, CurrencyFigures, Earned, Figures, Reason, Sums, Tally, figures_of
from quotes.figures_whose import Whose, cost_scope
from quotes.lost_models import LostReason
from quotes.models import QuoteRevision
from quotes.states import QuoteStage


class Median(Aggregate):
    """The middle value; of an even count the mean of the two in the middle."""

    function = "PERCENTILE_CONT"
    template = "%(function)s(0.5) WITHIN GROUP (ORDER BY %(expressions)s)"


def figures_read(actor: Actor, period: Period, whose: Whose) -> Figures:
    """All figures of a period. Costs are read only as far as the reader may see them. Six queries at most."""
    require(actor, "quote", "read")
    margins, scope = cost_scope(actor)
    decided = decided_in(period.bounds).filter(whose.q)
    outcomes = _tallies(decided, "decided_at", "quote__stage")
    quoted = _tallies(quoted_in(period.bounds).filter(whose.q), "first_issued")
    reasons = _reasons(decided) if any(key[1] in LOST for key in outcomes) else {}
    earned = _earned(decided.filter(scope)) if margins != "none" else None
    weight: Counter[str] = Counter()
    for key, tally in (*outcomes.items(), *quoted.items()):
        weight[key[0]] += tally.count
    names = sorted(weight, key=lambda name: (-weight[name], name))  # the currency of most quotes first
    found = tuple(_currency(name, period, outcomes, quoted, reasons, earned) for name in names)
    answered = decided.filter(quote__stage__in=(WON, QuoteStage.DECLINED))
    took = ExpressionWrapper(F("decided_at") - F("first_issued"), output_field=DurationField())
    middle = answered.aggregate(count=Count("pk"), median=Median(took, output_field=DurationField()))
    return Figures(found, middle["count"], middle["median"], margins)


Key = tuple[Any, ...]


def _tallies(rows: QuerySet[QuoteRevision], when: str, *by: str) -> dict[Key, Tally]:
    """Count and value by currency, `by`, and month of `when`."""
    grouped = rows.order_by().annotate(month=TruncMonth(when, tzinfo=company_tz()))
    names = ("currency", *by, "month")
    sums = grouped.values(*names).annotate(number_of=Count("pk"), worth=Sum("value"))
    return {
        (*(row[name] for name in names[:-1]), row["month"].date()): Tally(row["number_of"], row["worth"])
        for row in sums
    }


def _earned(rows: QuerySet[QuoteRevision]) -> dict[Key, Earned]:
    grouped = rows.filter(quote__stage=WON).order_by()
    grouped = grouped.annotate(month=TruncMonth("decided_at", tzinfo=company_tz()))
    sums = grouped.values("currency", "month").annotate(
        number_of=Count("pk"), price=Sum("value"), spent=Sum("offer_cost")
    )
    return {
        (row["currency"], row["month"].date()): Earned(row["number_of"], row["price"], row["spent"])
        for row in sums
    }


def _reasons(rows: QuerySet[QuoteRevision]) -> dict[str, tuple[Reason, ...]]:
    """Reasons by currency, the most frequent first, then by value."""
    lost: QuerySet[Any] = rows.filter(quote__stage__in=LOST).order_by()
    sums = lost.values("currency", "lost_reason").annotate(number_of=Count("pk"), worth=Sum("value"))
    found: dict[str, list[Reason]] = defaultdict(list)
    for row in sums.order_by("-number_of", "-worth", "lost_reason"):
        reason = LostReason(row["lost_reason"])
        tally = Tally(row["number_of"], row["worth"])
        found[row["currency"]].append(Reason(reason.value, str(reason.label), tally))
    return {currency: tuple(reasons) for currency, reasons in found.items()}


def _currency(
    name: str,
    period: Period,
    outcomes: dict[Key, Tally],
    quoted: dict[Key, Tally],
    reasons: dict[str, tuple[Reason, ...]],
    earned: dict[Key, Earned] | None,
) -> CurrencyFigures:
    sums = Sums(
        quoted={month: tally for (currency, month), tally in quoted.items() if currency == name},
        decided={
            (stage, month): tally for (currency, stage, month), tally in outcomes.items() if currency == name
        },
        reasons=reasons.get(name, ()),
        earned=None
        if earned is None
        else {month: sums for (currency, month), sums in earned.items() if currency == name},
    )
    return figures_of(name, period.months, sums)
