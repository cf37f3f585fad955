"""The priced option matrix as an operation."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.errors import Refused
from framing.projects.options import OptionMatrix, OptionPrices
from framing.projects.selectors import project_get
from quotes.api.serializers import MONEY
from quotes.option_prices import OPTIONS_MOST, priced_options

FLOOR_DOCUMENT = {
    "type": "object",
    "description": "A floor document; its schema is at /api/v1/floor-schema/.",
}
REFUSED = OpenApiResponse(description="Not possible as asked; `errors` lists the places.")


class PricedOptionOutput(serializers.Serializer[Any]):
    """One profile at one spacing. `goods` is null where it fails, still waits or has no price (`problem`)."""

    bay = serializers.CharField()
    profile = serializers.CharField()
    spacing_in = serializers.FloatField()
    passes = serializers.BooleanField()
    ratio = serializers.FloatField()
    governing = serializers.CharField(allow_blank=True)
    reason = serializers.CharField(allow_blank=True)
    goods = serializers.DecimalField(**MONEY, allow_null=True)
    problem = serializers.CharField(allow_blank=True)
    cheapest = serializers.BooleanField()
    drawn = serializers.BooleanField()


class PricedOptionsOutput(serializers.Serializer[Any]):
    """Rows in the order of the matrix; `waiting` options are priced when the same is asked again."""

    currency = serializers.CharField()
    price_book = serializers.CharField(allow_blank=True)
    tier = serializers.CharField(allow_blank=True)
    waiting = serializers.IntegerField()
    missing = serializers.ListField(child=serializers.CharField())
    problem = serializers.CharField(allow_blank=True)
    options = PricedOptionOutput(many=True)


class PricedOptionsView(OperationView):
    """Price the options of a floor without saving it."""

    access = Act("price_book", "read")

    @extend_schema(
        operation_id="priced_options",
        request={"application/json": FLOOR_DOCUMENT},
        responses={200: PricedOptionsOutput, 422: REFUSED},
        description=(
            "Every profile at every spacing for a floor of the project, passing ones with the goods total of the "
            "floor framed so, by the price book in force and the builder's tier, without freight and tax. "
            f"One call prices at most {OPTIONS_MOST}; ask the same again while `waiting` is over 0."
        ),
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Price the options of a floor."""
        preview, matrix = priced_options(request.data, project_get(public_id))
        if matrix is None:
            detail = [{"place": problem.place, "message": problem.message} for problem in preview.problems]
            raise Refused("This floor can't be built as it stands.", detail=detail)
        prices = matrix.prices or OptionPrices()
        body = {
            "currency": prices.currency,
            "price_book": prices.book,
            "tier": prices.tier,
            "waiting": prices.waiting,
            "missing": prices.missing,
            "problem": prices.problem,
            "options": list(_rows(matrix)),
        }
        return Response(PricedOptionsOutput(body).data)


def _rows(matrix: OptionMatrix) -> Iterator[dict[str, Any]]:
    cells = (cell for bay in matrix.bays for row in bay.rows for cell in row.cells if cell)
    for cell in cells:
        option, price = cell.option, cell.price
        yield {
            "bay": option.bay,
            "profile": option.profile,
            "spacing_in": option.spacing_in,
            "passes": cell.passes,
            "ratio": round(option.ratio, 4),
            "governing": option.governing,
            "reason": cell.reason,
            "goods": price.goods if price else None,
            "problem": price.problem if price else "",
            "cheapest": cell.cheapest,
            "drawn": cell.chosen,
        }
