"""Operations on the stops of a trip and its driver's links."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from orders import driver_reads, services
from orders.api.serializers import LinkInput, LinkOutput
from orders.api.views import read
from orders.manifest_facts import manifest_number
from orders.models import Trip, TruckLoad


class StopOutput(serializers.ModelSerializer[TruckLoad]):
    """A stop: what of one delivery rides on this trip, and what the driver told of it."""

    id = serializers.CharField(source="public_id")
    delivery = serializers.CharField(source="delivery.public_id")
    trip = serializers.CharField(source="trip.public_id", default="")
    manifest = serializers.SerializerMethodField(help_text="Number of its manifest")
    state = serializers.SerializerMethodField(help_text="planned, loaded, arrived or unloaded")

    class Meta:
        model = TruckLoad
        fields = (
            "id", "manifest", "delivery", "trip", "stop", "state", "weight_lb", "loaded_at", "arrived_at",
            "unloaded_at", "handed_to", "driver_words",
        )  # fmt: skip

    def get_manifest(self, load: TruckLoad) -> str:
        return manifest_number(load)

    def get_state(self, load: TruckLoad) -> str:
        return driver_reads.stop_state(load)


class UnloadInput(serializers.Serializer[Any]):
    """Who took it. `proof` is a number that the sender makes, so that the same sent twice counts once."""

    name = serializers.CharField(max_length=160)
    words = serializers.CharField(max_length=400, allow_blank=True, default="")
    proof = serializers.UUIDField(allow_null=True, default=None)


def _stop(public_id: str) -> Response:
    return Response(StopOutput(driver_reads.load_of(public_id)).data)


class StopListView(OperationView):
    access = Act("trip_stop", "read")

    @extend_schema(operation_id="stop_list", responses=StopOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """The stops of a trip in their order; a trip has no more than its truck has room for."""
        trip = driver_reads.trip_by_id(public_id)
        rows = trip.loads.select_related("delivery", "trip").order_by("stop")
        return Response(StopOutput(rows, many=True).data)


class StopArriveView(OperationView):
    access = Act("trip_stop", "arrive")

    @extend_schema(operation_id="stop_arrive", request=None, responses=StopOutput)
    def post(self, _request: Request, public_id: str) -> Response:
        """The truck stands at the stop; a second time changes nothing."""
        load = driver_reads.load_of(public_id)
        services.stop_arrive(actor=self.actor, at=database_now(), load=load)
        return _stop(public_id)


class StopUnloadView(OperationView):
    access = Act("trip_stop", "unload")

    @extend_schema(operation_id="stop_unload", request=UnloadInput, responses=StopOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """All of it is off and somebody took it; with its last load the delivery is received."""
        data = read(UnloadInput, request)
        services.stop_unload(
            actor=self.actor,
            at=database_now(),
            load=driver_reads.load_of(public_id),
            handed_to=data["name"],
            words=data["words"],
            proof_id=data["proof"],
        )
        return _stop(public_id)


class TripLinkMakeView(OperationView):
    access = Act("trip_link", "make")

    @extend_schema(operation_id="trip_link_make", request=LinkInput, responses={201: LinkOutput})
    def post(self, request: Request, public_id: str) -> Response:
        """Make a driver's link; its address is shown in this answer and never again."""
        trip: Trip = driver_reads.trip_by_id(public_id)
        link, address = services.trip_link_make(
            actor=self.actor, at=database_now(), trip=trip, **read(LinkInput, request)
        )
        shape = LinkOutput({"id": link.public_id, "address": address, "expires_at": link.expires_at})
        return Response(shape.data, status=201)


class TripLinkWithdrawView(OperationView):
    access = Act("trip_link", "withdraw")

    @extend_schema(operation_id="trip_link_withdraw", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str, link_id: str) -> Response:
        """Withdraw a driver's link at once."""
        trip = driver_reads.trip_by_id(public_id)
        services.trip_link_withdraw(actor=self.actor, at=database_now(), trip=trip, link_id=link_id)
        return Response(status=204)
