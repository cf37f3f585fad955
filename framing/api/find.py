"""Operations of finding and of a person's own settings."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import SIGNED_IN, Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotAllowed
from framing.common.find import ASKED_LEAST, ASKED_MOST, find
from framing.common.listing_saved import single_keys_on, single_keys_set
from framing.common.models import User


class HitOutput(serializers.Serializer[Any]):
    title = serializers.CharField()
    note = serializers.CharField()
    url = serializers.CharField(help_text="The page of the thing.")
    state = serializers.CharField(allow_blank=True)
    stage = serializers.CharField(source="label", allow_blank=True, help_text="The state in words.")
    has = serializers.CharField(
        allow_blank=True, help_text="A word that was found but stands in neither title nor note."
    )


class SectionOutput(serializers.Serializer[Any]):
    """The best hits of a kind; `more` tells that the list at `all_url` has others."""

    kind = serializers.CharField(source="key")
    title = serializers.CharField()
    hits = HitOutput(many=True)
    more = serializers.BooleanField()
    all_url = serializers.CharField()


class FoundOutput(serializers.Serializer[Any]):
    """What was found. `instead` lists words that nothing has, each with one that was taken for it."""

    sections = SectionOutput(many=True)
    instead = serializers.ListField(child=serializers.ListField(child=serializers.CharField()))


class KeysOutput(serializers.Serializer[Any]):
    single_keys = serializers.BooleanField(help_text="Whether keys without Control act on pages.")


class FindView(OperationView):
    access = Act(SIGNED_IN)
    permission_classes = (IsAuthenticated,)  # type: ignore[assignment]  # all staff, no row of the table

    @extend_schema(
        operation_id="find",
        parameters=[
            OpenApiParameter("q", str, required=True, description=f"{ASKED_LEAST} to {ASKED_MOST} signs.")
        ],
        responses={200: FoundOutput, 422: OpenApiResponse(description="Too short or too long.")},
    )
    def get(self, request: Request) -> Response:
        """Builders, projects, quotes, orders and deliveries that have every word, as far as the role may see them."""
        found = find(request.query_params.get("q", ""), self.actor.audience)
        return Response(FoundOutput(found).data)


class KeysView(OperationView):
    access = Act(SIGNED_IN)
    permission_classes = (IsAuthenticated,)  # type: ignore[assignment]  # all staff, no row of the table

    @extend_schema(operation_id="single_keys_get", responses={200: KeysOutput})
    def get(self, request: Request) -> Response:
        """Whether single keys act for the reader."""
        del request
        return Response({"single_keys": single_keys_on(self._reader)})

    @extend_schema(operation_id="single_keys_set", request=KeysOutput, responses={200: KeysOutput})
    def put(self, request: Request) -> Response:
        """Switch single keys on or off for oneself; open pages learn of it when the person signs in again."""
        form = KeysOutput(data=request.data)
        form.is_valid(raise_exception=True)
        on = bool(form.validated_data["single_keys"])
        single_keys_set(actor=self.actor, at=database_now(), on=on)
        return Response({"single_keys": on})

    @property
    def _reader(self) -> User:
        if self.actor.user is None:
            raise NotAllowed("Only members of staff have settings.")
        return self.actor.user
