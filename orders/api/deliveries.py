"""Operations on deliveries."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import Refused
from orders import selectors, services
from orders.api import serializers as shapes
from orders.api.views import page_of, read
from orders.models import Delivery

STATES = ["planned", "loaded", "delivered", "dropped"]


def shown(delivery: Delivery, status: int = 200) -> Response:
    fresh = selectors.delivery_get(delivery.public_id)
    return Response(shapes.DeliveryWithTrucksOutput(fresh).data, status=status)


class DeliveryListView(OperationView):
    access = Act("delivery", "read")

    @extend_schema(
        operation_id="delivery_list",
        parameters=[
            OpenApiParameter("state", str, enum=STATES),
            OpenApiParameter("search", str),
            OpenApiParameter("page", int),
        ],
        responses=shapes.DeliveryPageOutput,
    )
    def get(self, request: Request) -> Response:
        """Deliveries by day, a hundred a page."""
        state = request.query_params.get("state", "")
        if state and state not in STATES:
            raise Refused(f"“{state[:20]}” is no state of a delivery.", field="state")
        rows = selectors.delivery_list(state=state, search=request.query_params.get("search", "")[:100])
        return Response(shapes.DeliveryPageOutput(page_of(rows, request, "deliveries")).data)


class DeliveryMakeView(OperationView):
    access = Act("delivery", "make")

    @extend_schema(
        operation_id="delivery_make",
        request=shapes.DeliveryInput,
        responses={201: shapes.DeliveryWithTrucksOutput},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Plan a delivery of all that is left of an order, or of what is named."""
        data = read(shapes.DeliveryInput, request)
        order = selectors.order_get(public_id)
        made = services.delivery_make(actor=self.actor, at=database_now(), order=order, **data)
        return shown(made, 201)


class DeliveryGetView(OperationView):
    access = Act("delivery", "read")

    @extend_schema(operation_id="delivery_get", responses=shapes.DeliveryWithTrucksOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One delivery with its trucks."""
        return shown(selectors.delivery_get(public_id))


class DeliveryChangeView(OperationView):
    access = Act("delivery", "change")

    @extend_schema(
        operation_id="delivery_change",
        request=shapes.DeliveryChangeInput,
        responses=shapes.DeliveryWithTrucksOutput,
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Change all but day and window, before it is loaded."""
        return self.do(services.delivery_change, read(shapes.DeliveryChangeInput, request), public_id)

    def do(self, act: Callable[..., Delivery], data: dict[str, Any], public_id: str) -> Response:
        delivery = selectors.delivery_get(public_id)
        return shown(act(actor=self.actor, at=database_now(), delivery=delivery, **data))


class DeliveryRescheduleView(DeliveryChangeView):
    @extend_schema(
        operation_id="delivery_reschedule",
        request=shapes.MoveInput,
        responses=shapes.DeliveryWithTrucksOutput,
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Put it on another day or window, with why; the builder is told where the company wants it."""
        return self.do(services.delivery_reschedule, read(shapes.MoveInput, request), public_id)


class DeliveryThingsView(DeliveryChangeView):
    @extend_schema(
        operation_id="delivery_move_things",
        request=shapes.ThingsInput,
        responses=shapes.DeliveryWithTrucksOutput,
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Put bundles and cartons on it, from none or from another delivery of the order that is not loaded."""
        return self.do(services.delivery_move_things, read(shapes.ThingsInput, request), public_id)


class DeliveryDropView(DeliveryChangeView):
    @extend_schema(
        operation_id="delivery_drop",
        request=shapes.DeliveryDropInput,
        responses=shapes.DeliveryWithTrucksOutput,
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Drop it before it is loaded; what was on it is on none."""
        return self.do(services.delivery_drop, read(shapes.DeliveryDropInput, request), public_id)


class LoadLoadedView(OperationView):
    access = Act("delivery", "load")

    @extend_schema(operation_id="load_loaded", request=None, responses=shapes.DeliveryWithTrucksOutput)
    def post(self, _request: Request, public_id: str, number: int) -> Response:
        """Say that one truck of a delivery is loaded; the delivery is with its last."""
        delivery = selectors.delivery_get(public_id)
        load = selectors.load_get(delivery, number)
        services.load_loaded(actor=self.actor, at=database_now(), load=load)
        return shown(delivery)


class DeliveryLoadView(OperationView):
    access = Act("delivery", "load")

    @extend_schema(operation_id="delivery_load", request=None, responses=shapes.DeliveryWithTrucksOutput)
    def post(self, _request: Request, public_id: str) -> Response:
        """Say that all is on the trucks."""
        delivery = selectors.delivery_get(public_id)
        return shown(services.delivery_load(actor=self.actor, at=database_now(), delivery=delivery))


class DeliveryDeliverView(OperationView):
    access = Act("delivery", "deliver")

    @extend_schema(
        operation_id="delivery_deliver",
        request=shapes.ReceiptInput,
        responses=shapes.DeliveryWithTrucksOutput,
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Record who received the load."""
        data = read(shapes.ReceiptInput, request)
        delivery = selectors.delivery_get(public_id)
        return shown(
            services.delivery_deliver(actor=self.actor, at=database_now(), delivery=delivery, **data)
        )


class DeliveryLinkMakeView(OperationView):
    access = Act("delivery_link", "make")

    @extend_schema(
        operation_id="delivery_link_make", request=shapes.LinkInput, responses={201: shapes.LinkOutput}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Make a builder's link; its address is told this once."""
        data = read(shapes.LinkInput, request)
        delivery = selectors.delivery_get(public_id)
        link, address = services.delivery_link_make(
            actor=self.actor, at=database_now(), delivery=delivery, **data
        )
        body = {"id": link.public_id, "address": address, "expires_at": link.expires_at}
        return Response(shapes.LinkOutput(body).data, status=201)


class DeliveryLinkWithdrawView(OperationView):
    access = Act("delivery_link", "withdraw")

    @extend_schema(operation_id="delivery_link_withdraw", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str, link_id: str) -> Response:
        """Withdraw a link at once."""
        services.delivery_link_withdraw(
            actor=self.actor,
            at=database_now(),
            delivery=selectors.delivery_get(public_id),
            link_id=link_id,
        )
        return Response(status=204)


class ManifestRequestView(OperationView):
    access = Act("load_paper", "read")

    @extend_schema(
        operation_id="manifest_request",
        request=None,
        responses={202: shapes.JobOutput},
    )
    def post(self, _request: Request, public_id: str) -> Response:
        """Ask for the manifest; told is how far its making is."""
        delivery = selectors.delivery_get(public_id)
        job = services.manifest_request(actor=self.actor, at=database_now(), delivery=delivery)
        job.refresh_from_db()
        return Response(shapes.JobOutput({"state": job.state}).data, status=202)
