"""Lost offers as operations: declined with a reason, or lapsed and its reason named later."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from quotes import selectors, services
from quotes.api.serializers import REASON_MOST, StageOutput
from quotes.api.views import read
from quotes.models import LostOffer, LostReason


class LostInput(serializers.Serializer[Any]):
    """`why` is needed where the reason is `other`."""

    reason = serializers.ChoiceField(choices=LostReason.choices)
    why = serializers.CharField(max_length=REASON_MOST, allow_blank=True, default="")


class DeclineInput(LostInput):
    """Words alone are `other`."""

    reason = serializers.ChoiceField(choices=LostReason.choices, default=LostReason.OTHER)


class LostOutput(serializers.ModelSerializer[LostOffer]):
    revision = serializers.CharField(source="revision.public_id")
    recorded_by = serializers.CharField(source="recorded_by.name", default=None, allow_null=True)

    class Meta:
        model = LostOffer
        fields = ("revision", "ended", "reason", "words", "at", "recorded_by")


class QuoteDeclineView(OperationView):
    access = Act("quote", "decline")

    @extend_schema(operation_id="quote_decline", request=DeclineInput, responses=StageOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Record that the builder declined, with the reason."""
        data = read(DeclineInput, request)
        revision = selectors.revision_get(public_id)
        quote = services.quote_decline(actor=self.actor, revision=revision, at=database_now(), **data)
        return Response(StageOutput(quote).data)


class LostNameView(OperationView):
    access = Act("quote", "explain")

    @extend_schema(operation_id="lost_name", request=LostInput, responses={201: LostOutput})
    def post(self, request: Request, public_id: str) -> Response:
        """Name why a lapsed offer was lost; once, until then it counts as no answer."""
        data = read(LostInput, request)
        quote = selectors.revision_get(public_id).quote
        row = services.lost_name(actor=self.actor, quote=quote, at=database_now(), **data)
        return Response(LostOutput(row).data, status=201)
