"""The shop's figures as one operation, by the same reader as the page."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from orders.shop_figures_reads import facts, period_asked, shop_figures
from quotes.figures_periods import day_of


class OnTimeOutput(serializers.Serializer[Any]):
    """Orders finished in a week; `share` is on time of those with a due day."""

    week = serializers.DateField(help_text="Monday.")
    on_time = serializers.IntegerField()
    late = serializers.IntegerField()
    undated = serializers.IntegerField()
    share = serializers.FloatField(allow_null=True)


class LateOrderOutput(serializers.Serializer[Any]):
    number = serializers.CharField()
    due = serializers.DateField(allow_null=True)
    day = serializers.DateField(help_text="On which its last bundle was finished.")
    days_late = serializers.IntegerField()


class RolledOutput(serializers.Serializer[Any]):
    """Feet finished in a week beside what its shifts could do, and change-over minutes as planned."""

    week = serializers.DateField()
    bundles = serializers.IntegerField()
    feet = serializers.FloatField()
    shifts = serializers.IntegerField()
    capacity_ft = serializers.FloatField()
    setup_minutes = serializers.IntegerField()


class ScrapOutput(serializers.Serializer[Any]):
    reason = serializers.CharField()
    pieces = serializers.IntegerField()
    feet = serializers.FloatField()


class BacklogOutput(serializers.Serializer[Any]):
    """What is to roll; `week` is null for what is overdue and for what has no day, `name` tells which."""

    week = serializers.DateField(allow_null=True)
    name = serializers.CharField()
    orders = serializers.IntegerField()
    bundles = serializers.IntegerField()
    feet = serializers.FloatField()


class ClaimMonthOutput(serializers.Serializer[Any]):
    """Claims opened in a month by kind, bundles received in it, and claims for each 100 of these."""

    first = serializers.DateField()
    last = serializers.DateField()
    bundles = serializers.IntegerField()
    short = serializers.IntegerField()
    damaged = serializers.IntegerField()
    wrong = serializers.IntegerField()
    other = serializers.IntegerField()
    per_100 = serializers.FloatField(allow_null=True)


class ShopFiguresOutput(serializers.Serializer[Any]):
    """Figures of a period; the backlog is that of now."""

    first = serializers.DateField()
    last = serializers.DateField()
    lead_days = serializers.IntegerField()
    on_time = OnTimeOutput(many=True)
    late = LateOrderOutput(many=True)
    rolled = RolledOutput(many=True)
    scrap = ScrapOutput(many=True)
    backlog = BacklogOutput(many=True)
    claims = ClaimMonthOutput(many=True)


class ShopFiguresView(OperationView):
    access = Act("shop_figures", "read")

    @extend_schema(
        operation_id="shop_figures",
        parameters=[
            OpenApiParameter(
                "period", str, description="2026-11, 2026-q4 (this one unasked), 2026, last12, or own."
            ),
            OpenApiParameter("first", str, description="First day of an own period, 2026-11-01."),
            OpenApiParameter("last", str, description="Last day of an own period."),
        ],
        responses=ShopFiguresOutput,
    )
    def get(self, request: Request) -> Response:
        """On-time rate, feet per shift against capacity, change-over, scrap and backlog, by week."""
        at = database_now()
        found = shop_figures(period_asked(request.query_params, day_of(at)), at)
        return Response(ShopFiguresOutput(facts(found)).data)
