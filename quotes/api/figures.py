"""Pipeline and figures as operations, by the same readers as the pages; margins only for who may see them."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from quotes.figures_asked import counted_asked, figures_asked, pipeline_asked
from quotes.figures_lists import WHAT, quotes_counted, rows_counted, sums_counted
from quotes.figures_reads import figures_read
from quotes.figures_whose import cost_scope
from quotes.lost_models import LostReason
from quotes.pipeline_facts import pipeline_rows
from quotes.pipeline_reads import pipeline_list, pipeline_sums
from quotes.states import QuoteStage

PAGE_MOST = 100
SUM: dict[str, Any] = {"max_digits": 16, "decimal_places": 2}
SHARE: dict[str, Any] = {"max_digits": 14, "decimal_places": 4, "allow_null": True}
WHO = OpenApiParameter("who", str, description="All unless named: seller:7, or team:North.")
PERIOD = [
    OpenApiParameter(
        "period",
        str,
        description="2026-11, 2026-q4, 2026, last12 (unasked), or own with first and last. Days of the company's zone.",
    ),
    OpenApiParameter("first", str, description="First day of an own period, 2026-11-01."),
    OpenApiParameter("last", str, description="Last day of an own period."),
    WHO,
]


class TallyOutput(serializers.Serializer[Any]):
    """How many quotes, and their value before tax."""

    count = serializers.IntegerField()
    value = serializers.DecimalField(**SUM)


class EarnedOutput(serializers.Serializer[Any]):
    """Booked quotes whose cost the reader may see."""

    count = serializers.IntegerField()
    price = serializers.DecimalField(**SUM)
    margin = serializers.DecimalField(**SHARE)


class MonthOutput(serializers.Serializer[Any]):
    month = serializers.CharField(source="key")
    quoted = TallyOutput()
    booked = TallyOutput()
    lost = TallyOutput()
    earned = EarnedOutput(allow_null=True)


class ReasonOutput(serializers.Serializer[Any]):
    reason = serializers.CharField()
    words = serializers.CharField()
    lost = TallyOutput()


class OutcomesOutput(serializers.Serializer[Any]):
    booked = TallyOutput()
    declined = TallyOutput()
    lapsed = TallyOutput()


class CurrencyFiguresOutput(serializers.Serializer[Any]):
    """One currency; nothing is summed over currencies."""

    currency = serializers.CharField()
    outcomes = OutcomesOutput()
    quoted = TallyOutput()
    rate_by_count = serializers.DecimalField(**SHARE, source="rate_by_count.share")
    rate_by_value = serializers.DecimalField(**SHARE, source="rate_by_value.share")
    months = MonthOutput(many=True)
    reasons = ReasonOutput(many=True)
    earned = EarnedOutput(allow_null=True)


class FiguresOutput(serializers.Serializer[Any]):
    """The figures of a period. `margins` tells whose margins are in it: all, own (and the team's), none."""

    period = serializers.CharField()
    first = serializers.DateField()
    last = serializers.DateField()
    rate_by_count = serializers.DecimalField(**SHARE)
    answered = serializers.IntegerField()
    median_days = serializers.FloatField(allow_null=True)
    margins = serializers.ChoiceField(["all", "own", "none"])
    currencies = CurrencyFiguresOutput(many=True)


class CountedQuoteOutput(serializers.Serializer[Any]):
    """A quote behind a figure, by the revision that counts; `margin` only in the list of margins."""

    revision = serializers.CharField(source="revision.public_id")
    name = serializers.CharField(source="revision.__str__")
    project_name = serializers.CharField(source="revision.quote.project.name")
    builder = serializers.CharField(source="revision.quote.project.builder.name")
    owner = serializers.CharField(source="revision.quote.owner.name")
    stage = serializers.CharField(source="revision.quote.stage")
    currency = serializers.CharField(source="revision.currency")
    value = serializers.DecimalField(**SUM)
    first_issued_on = serializers.DateField(source="first_day")
    decided_on = serializers.DateField(source="decided_day", allow_null=True)
    reason = serializers.CharField(allow_blank=True)
    margin = serializers.DecimalField(**SHARE)


class CurrencySumOutput(serializers.Serializer[Any]):
    currency = serializers.CharField()
    count = serializers.IntegerField()
    value = serializers.DecimalField(**SUM)


class CountedPageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    sums = CurrencySumOutput(many=True)
    quotes = CountedQuoteOutput(many=True)


class StepOutput(serializers.Serializer[Any]):
    """What comes next; `ours` tells whether it is the supplier's turn."""

    words = serializers.CharField()
    tone = serializers.ChoiceField(["good", "going", "care", "bad", "plain"])
    ours = serializers.BooleanField()


class PipelineQuoteOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="quote.public_id")
    name = serializers.CharField(source="revision.__str__")
    project_name = serializers.CharField(source="quote.project.name")
    builder = serializers.CharField(source="quote.project.builder.name")
    owner = serializers.CharField(source="quote.owner.name")
    stage = serializers.CharField(source="quote.stage")
    currency = serializers.CharField(source="revision.currency")
    value = serializers.DecimalField(**SUM)
    days_in_stage = serializers.IntegerField(source="age_days")
    last_day = serializers.DateField(allow_null=True)
    next_step = StepOutput(source="step")


class StageSumOutput(CurrencySumOutput):
    stage = serializers.CharField()


class PipelinePageOutput(serializers.Serializer[Any]):
    """Sums are those of all pages, by stage and currency."""

    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    sums = StageSumOutput(many=True)
    quotes = PipelineQuoteOutput(many=True)


class FiguresView(OperationView):
    access = Act("quote", "read")

    @extend_schema(operation_id="figures", parameters=PERIOD, responses=FiguresOutput)
    def get(self, request: Request) -> Response:
        """Win rate, days to the answer, reasons, values and margins of a period."""
        asked = figures_asked(request.query_params, None, database_now())
        found = figures_read(self.actor, asked.period, asked.whose)
        body = {
            "period": asked.period.key,
            "first": asked.period.first,
            "last": asked.period.last,
            "rate_by_count": found.rate.share,
            "answered": found.answered,
            "median_days": found.median_days,
            "margins": found.margins,
            "currencies": found.currencies,
        }
        return Response(FiguresOutput(body).data)


class FiguresQuotesView(OperationView):
    access = Act("quote", "read")

    @extend_schema(
        operation_id="figures_quotes",
        parameters=[
            *PERIOD,
            OpenApiParameter("what", str, enum=list(WHAT), description="Which figure; decided unasked."),
            OpenApiParameter("currency", str),
            OpenApiParameter("month", str, description="2026-11: a month within the period."),
            OpenApiParameter("reason", str, enum=LostReason.values),
            OpenApiParameter("page", int),
        ],
        responses=CountedPageOutput,
    )
    def get(self, request: Request) -> Response:
        """The quotes that a figure counts, latest first, a hundred a page."""
        asked = figures_asked(request.query_params, None, database_now())
        counted = counted_asked(request.query_params)
        rows = quotes_counted(self.actor, asked.period, asked.whose, counted)
        page = Paginator(rows, PAGE_MOST).get_page(request.query_params.get("page"))
        margins = counted.what == "margin" and cost_scope(self.actor)[0] != "none"
        body = {
            "count": page.paginator.count,
            "next_page": page.next_page_number() if page.has_next() else None,
            "sums": [
                {"currency": currency, "count": tally.count, "value": tally.value}
                for currency, tally in sums_counted(rows)
            ],
            "quotes": rows_counted(page.object_list, margins=margins),
        }
        return Response(CountedPageOutput(body).data)


class PipelineView(OperationView):
    access = Act("quote", "read")

    @extend_schema(
        operation_id="pipeline",
        parameters=[
            WHO,
            OpenApiParameter("stage", str, enum=QuoteStage.values),
            OpenApiParameter("age", int, description="Whole days in the stage, at least."),
            OpenApiParameter("low", str, description="Least value before tax."),
            OpenApiParameter("high", str, description="Most value before tax."),
            OpenApiParameter("page", int),
        ],
        responses=PipelinePageOutput,
    )
    def get(self, request: Request) -> Response:
        """Open quotes and what was answered lately, by stage, each with what comes next; a hundred a page."""
        at = database_now()
        rows = pipeline_list(self.actor, pipeline_asked(request.query_params, None), at)
        page = Paginator(rows, PAGE_MOST).get_page(request.query_params.get("page"))
        body = {
            "count": page.paginator.count,
            "next_page": page.next_page_number() if page.has_next() else None,
            "sums": [
                {"stage": stage, "currency": currency, "count": tally.count, "value": tally.value}
                for stage, sums in pipeline_sums(rows).items()
                for currency, tally in sums
            ],
            "quotes": pipeline_rows(page.object_list, at),
        }
        return Response(PipelinePageOutput(body).data)
