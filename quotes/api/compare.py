"""Two offers of a quote compared, as an operation (R40)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from quotes import selectors
from quotes.api.serializers import MONEY
from quotes.compare import compare
from quotes.compare_reads import offer_named, offers_usual
from quotes.compare_shapes import Comparison

COUNT: dict[str, Any] = {"max_digits": 12, "decimal_places": 4}


class ComparedValueOutput(serializers.Serializer[Any]):
    name = serializers.CharField()
    was = serializers.CharField(allow_blank=True)
    now = serializers.CharField(allow_blank=True)


class FloorChangeOutput(serializers.Serializer[Any]):
    floor = serializers.CharField(source="key")
    name = serializers.CharField()
    kinds = serializers.ListField(child=serializers.CharField())
    moved = ComparedValueOutput(many=True)


class JoistRowOutput(serializers.Serializer[Any]):
    """Members of equal kind, profile, plies and length, counted with the floor's repeats."""

    floor = serializers.CharField()
    kind = serializers.CharField()
    profile = serializers.CharField()
    plies = serializers.IntegerField()
    length_16 = serializers.IntegerField()
    was = serializers.IntegerField()
    now = serializers.IntegerField()
    difference = serializers.IntegerField()


class FloorMembersOutput(serializers.Serializer[Any]):
    """Ids of members on one floor; a changed one is a pair."""

    floor = serializers.CharField(source="key")
    name = serializers.CharField()
    added = serializers.SerializerMethodField()
    removed = serializers.SerializerMethodField()
    changed = serializers.SerializerMethodField()

    def get_added(self, entry: Any) -> list[str]:
        return sorted(entry.changes.added)

    def get_removed(self, entry: Any) -> list[str]:
        return sorted(entry.changes.removed)

    def get_changed(self, entry: Any) -> list[dict[str, str]]:
        return [{"was": was, "now": now} for was, now in entry.changes.changed]


class MaterialRowOutput(serializers.Serializer[Any]):
    group = serializers.CharField()
    code = serializers.CharField()
    description = serializers.CharField()
    unit = serializers.CharField()
    was = serializers.DecimalField(**COUNT)
    now = serializers.DecimalField(**COUNT)
    difference = serializers.DecimalField(**COUNT)
    exact_was = serializers.DecimalField(**COUNT)
    exact_now = serializers.DecimalField(**COUNT)
    exact_unit = serializers.CharField(allow_blank=True)


class CheckFigureOutput(serializers.Serializer[Any]):
    ratio = serializers.FloatField()
    name = serializers.CharField()
    profile = serializers.CharField()
    clause = serializers.CharField()
    passes = serializers.BooleanField()


class CheckRowOutput(serializers.Serializer[Any]):
    floor = serializers.CharField()
    title = serializers.CharField()
    was = CheckFigureOutput(allow_null=True)
    now = CheckFigureOutput(allow_null=True)
    new_failure = serializers.BooleanField()


class MoneyFigureOutput(serializers.Serializer[Any]):
    quantity = serializers.DecimalField(**COUNT)
    unit_price = serializers.DecimalField(**COUNT)
    extension = serializers.DecimalField(**MONEY)
    tax = serializers.DecimalField(**MONEY)


class MoneyRowOutput(serializers.Serializer[Any]):
    """One price line; `difference` counts amount and tax."""

    group = serializers.CharField()
    code = serializers.CharField()
    description = serializers.CharField()
    why = serializers.CharField()
    was = MoneyFigureOutput(allow_null=True)
    now = MoneyFigureOutput(allow_null=True)
    difference = serializers.DecimalField(**MONEY)


class SumOutput(serializers.Serializer[Any]):
    name = serializers.CharField()
    was = serializers.DecimalField(**MONEY)
    now = serializers.DecimalField(**MONEY)
    difference = serializers.DecimalField(**MONEY)


class ComparisonOutput(serializers.Serializer[Any]):
    """All that differs; `cost` is null for those who may not see it."""

    was = serializers.CharField()
    now = serializers.CharField()
    empty = serializers.BooleanField(source="is_empty")
    floors = FloorChangeOutput(many=True)
    joists = JoistRowOutput(many=True)
    members = FloorMembersOutput(many=True)
    materials = MaterialRowOutput(many=True)
    checks = CheckRowOutput(many=True)
    money = MoneyRowOutput(many=True)
    groups = SumOutput(many=True)
    sums = SumOutput(many=True)
    cost = SumOutput(allow_null=True)
    facts = ComparedValueOutput(many=True)
    currencies = serializers.ListField(
        child=serializers.CharField(),
        help_text="Of the first offer and the second; where they differ, no difference of money means anything.",
    )


class QuoteCompareView(OperationView):
    access = Act("quote", "read")

    @extend_schema(
        operation_id="quote_compare",
        parameters=[
            OpenApiParameter(
                "was", str, description="A revision's number, with an alternate's letter: 1, 2, 2A."
            ),
            OpenApiParameter(
                "now", str, description="Likewise; unasked the newest revision and the one before it."
            ),
        ],
        responses=ComparisonOutput,
    )
    def get(self, request: Request, public_id: str) -> Response:
        """What differs between two offers of a quote."""
        quote = selectors.quote_get(public_id)
        usual = offers_usual(quote)
        names = [request.query_params.get(name) or usual[i] for i, name in enumerate(("was", "now"))]
        found = compare(*(offer_named(quote, name) for name in names))
        body = dict(ComparisonOutput(found).data)
        if not selectors.may_see_cost(self.actor, quote):
            body |= {"cost": None, "empty": _without_cost(found).is_empty}
        return Response(body)


def _without_cost(found: Comparison) -> Comparison:
    """A difference of cost alone is none for who may not see it."""
    return replace(found, cost=replace(found.cost, was=found.cost.now))
