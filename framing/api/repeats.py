"""Operations on a project's floors: repeat one, say how often it is built, move it, take it off, put it back."""

from __future__ import annotations

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.serializers import FloorDocumentOutput, FloorOutput
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.projects import selectors
from framing.projects.mirrored import WAYS
from framing.projects.repeat_removal import floor_put_back, floor_take_off
from framing.projects.repeat_services import COPIES_MOST, Copy, floor_place, floor_repeat, floor_times

KEY = OpenApiParameter(
    "Idempotency-Key",
    OpenApiTypes.STR,
    OpenApiParameter.HEADER,
    required=True,
    description="New for each new act, 1 to 80 signs; the same key again gives the same floors.",
)
REFUSED = OpenApiResponse(
    description="Not possible as asked; `errors` lists the places, such as `copies.0.name`."
)
STALE = OpenApiResponse(description="Somebody saved a newer version; `errors` tells what differs.")


class CopyInput(serializers.Serializer[Any]):
    """A floor to make from another."""

    name = serializers.CharField(max_length=80, trim_whitespace=False)
    level = serializers.CharField(max_length=4, help_text="Piece marks begin with it.")
    mirrored = serializers.ChoiceField(choices=WAYS, allow_null=True, default=None)
    repeat = serializers.IntegerField(min_value=1, max_value=99, default=1)


class FloorRepeatInput(serializers.Serializer[Any]):
    copies = serializers.ListField(child=CopyInput(), min_length=1, max_length=COPIES_MOST)


class FloorTimesInput(serializers.Serializer[Any]):
    version = serializers.IntegerField(
        min_value=1, max_value=2_000_000_000, help_text="The newest one known."
    )
    repeat = serializers.IntegerField(min_value=1, max_value=99)


class FloorPlaceInput(serializers.Serializer[Any]):
    place = serializers.IntegerField(min_value=1, max_value=1000, help_text="Counted from 1.")


class FloorBackInput(serializers.Serializer[Any]):
    floor = serializers.CharField(max_length=40)


def _read(shape: type[serializers.Serializer[Any]], request: Request) -> dict[str, Any]:
    form = shape(data=request.data)
    form.is_valid(raise_exception=True)
    return dict(form.validated_data)


class FloorRepeatView(OperationView):
    access = Act("floor", "make")

    @extend_schema(
        operation_id="floor_repeat",
        parameters=[KEY],
        request=FloorRepeatInput,
        responses={201: FloorOutput(many=True), 422: REFUSED},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Make floors from a floor's newest version, right after it in its project, all or none."""
        data = _read(FloorRepeatInput, request)
        made = floor_repeat(
            actor=self.actor,
            at=database_now(),
            floor=selectors.floor_get(public_id),
            copies=tuple(Copy(**copy) for copy in data["copies"]),
            key=self.idempotency_key,
        )
        return Response(FloorOutput(made, many=True).data, status=201)


class FloorTimesView(OperationView):
    access = Act("floor", "change")

    @extend_schema(
        operation_id="floor_times",
        request=FloorTimesInput,
        responses={200: FloorDocumentOutput, 409: STALE, 422: REFUSED},
    )
    def put(self, request: Request, public_id: str) -> Response:
        """Say how often a floor is built alike; this saves its next version."""
        data = _read(FloorTimesInput, request)
        floor = floor_times(
            actor=self.actor,
            at=database_now(),
            floor=selectors.floor_get(public_id),
            repeat=data["repeat"],
            base_version=data["version"],
        )
        document = selectors.floor_version(floor).document
        return Response({**FloorOutput(floor).data, "document": document})


class FloorPlaceView(OperationView):
    access = Act("floor", "change")

    @extend_schema(
        operation_id="floor_place",
        request=FloorPlaceInput,
        responses={200: FloorOutput(many=True), 422: REFUSED},
    )
    def put(self, request: Request, public_id: str) -> Response:
        """Move a floor to a place in its project; all floors in their order."""
        data = _read(FloorPlaceInput, request)
        floor = floor_place(
            actor=self.actor, at=database_now(), floor=selectors.floor_get(public_id), place=data["place"]
        )
        return Response(FloorOutput(floor.project.floors.all(), many=True).data)


class FloorOffView(OperationView):
    access = Act("floor", "take_off")

    @extend_schema(operation_id="floor_take_off", request=None, responses={204: None, 422: REFUSED})
    def post(self, request: Request, public_id: str) -> Response:
        """Take a floor off its project with all its versions; quotes and orders keep their own copy."""
        del request
        floor_take_off(actor=self.actor, at=database_now(), floor=selectors.floor_get(public_id))
        return Response(status=204)


class FloorBackView(OperationView):
    access = Act("floor", "make")

    @extend_schema(
        operation_id="floor_put_back", request=FloorBackInput, responses={200: FloorOutput, 422: REFUSED}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Put a floor back that was taken off this project, with all its versions."""
        data = _read(FloorBackInput, request)
        project = selectors.project_get(public_id)
        floor = floor_put_back(actor=self.actor, at=database_now(), project=project, public_id=data["floor"])
        return Response(FloorOutput(floor).data)
