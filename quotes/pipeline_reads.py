"""The pipeline: open quotes and what was answered lately, with their sums; what each waits for: `pipeline_facts`."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from django.db.models import (
    Case,
    Count,
    DateTimeField,
    Exists,
    F,
    IntegerField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    When,
)
from django.db.models import Value as Literal
from django.db.models.functions import Coalesce

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import Refused
from quotes.approval_reads import BIG
from quotes.figures_offers import MONEY_FIELD, PICKED
from quotes.figures_periods import day_end, day_of
from quotes.figures_shapes import DECIDED, Tally
from quotes.figures_whose import ALL, Whose
from quotes.models import QuoteMove, QuoteRevision
from quotes.states import QuoteStage

LATELY_DAYS: Final = 30
STAGES: Final = tuple(QuoteStage)
AGES: Final = (0, 7, 14, 30, 90)
VALUE_MOST: Final = Decimal(10) ** 10


@dataclass(frozen=True, slots=True)
class PipelineFilter:
    """What of the pipeline is shown: `age` is the least number of days in the stage, values are before tax."""

    whose: Whose = ALL
    stage: str = ""
    age: int = 0
    low: Decimal | None = None
    high: Decimal | None = None


def pipeline_filter(whose: Whose, stage: str, age: str, low: str, high: str) -> PipelineFilter:
    """The filter that an address names. Raises Refused at `stage`, `age`, `low` or `high`."""
    if stage and stage not in QuoteStage.values:
        raise Refused(f"“{stage[:20]}” is no stage of a quote.", field="stage")
    if age and not (age.isascii() and age.isdigit() and len(age) <= 4):
        raise Refused(f"“{age[:20]}” is no number of days. Write whole days, 0 to 9999.", field="age")
    least, most = _amount(low, "low"), _amount(high, "high")
    if least is not None and most is not None and most < least:
        raise Refused(f"The highest value {most:,} is below the lowest {least:,}.", field="high")
    return PipelineFilter(whose, stage, int(age or 0), least, most)


def _amount(text: str, field: str) -> Decimal | None:
    plain = text.strip().replace(",", "").lstrip("$")
    if not plain:
        return None
    try:
        amount = Decimal(plain)
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or not 0 <= amount <= VALUE_MOST:
        raise Refused(f"“{text.strip()[:20]}” is no value. Write an amount such as 5000.", field=field)
    return amount


def pipeline_list(actor: Actor, chosen: PipelineFilter, at: datetime) -> QuerySet[QuoteRevision]:
    """The newest revision of each open quote and of each answered in the last days, without big columns.

    Adds `value` before tax, `entered_at` of the stage, and `group` in the order of stages. In each stage what ends
    or waits longest comes first, of answered quotes the latest.
    """
    require(actor, "quote", "read")
    rows = _rows(at)
    if chosen.stage:
        rows = rows.filter(quote__stage=chosen.stage)
    if chosen.age:
        rows = rows.filter(entered_at__lt=day_end(day_of(at) - timedelta(days=chosen.age)))
    if chosen.low is not None:
        rows = rows.filter(value__gte=chosen.low)
    if chosen.high is not None:
        rows = rows.filter(value__lte=chosen.high)
    rows = rows.filter(chosen.whose.q).defer(*BIG)
    return rows.select_related(
        "quote__project__builder", "quote__owner", "price_book", "acceptance"
    ).order_by("group", "presses", F("entered_at").desc(), "-quote_id")


def _rows(at: datetime) -> QuerySet[Any]:
    moves = QuoteMove.objects.filter(quote=OuterRef("quote")).order_by("-id")
    newer = QuoteRevision.objects.filter(quote=OuterRef("quote"), number__gt=OuterRef("number"))
    newer = newer.filter(after_booking=False)  # a change of an order is no offer that is open
    rows: QuerySet[Any] = QuoteRevision.objects.filter(~Exists(newer), after_booking=False).annotate(
        entered_at=Subquery(moves.values("at")[:1]),
        value=Coalesce(
            F(f"{PICKED}__goods") + F(f"{PICKED}__freight"),
            F("goods") + F("freight"),
            output_field=MONEY_FIELD,
        ),
        group=Case(
            *(When(quote__stage=stage, then=Literal(place)) for place, stage in enumerate(STAGES)),
            output_field=IntegerField(),
        ),
    )
    rows = rows.annotate(
        presses=Case(
            When(quote__stage=QuoteStage.ISSUED, then=F("valid_until")),
            When(quote__stage=QuoteStage.BID, then=F("entered_at")),
            output_field=DateTimeField(),
        )
    )
    lately = Q(quote__stage__in=DECIDED, entered_at__gte=at - timedelta(days=LATELY_DAYS))
    return rows.filter(~Q(quote__stage__in=DECIDED) | lately)


def pipeline_sums(rows: QuerySet[QuoteRevision]) -> dict[str, list[tuple[str, Tally]]]:
    """Count and value by stage and currency of the whole list."""
    plain: QuerySet[Any] = rows.order_by()
    sums = plain.values("quote__stage", "currency").annotate(number_of=Count("pk"), worth=Sum("value"))
    found: dict[str, list[tuple[str, Tally]]] = {}
    for row in sums.order_by("quote__stage", "currency"):
        tally = Tally(row["number_of"], row["worth"])
        found.setdefault(row["quote__stage"], []).append((row["currency"], tally))
    return found
