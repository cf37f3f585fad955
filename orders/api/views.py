"""Operations on orders and bundles: each reads its input, calls one service or selector and answers."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar
from uuid import uuid4

from django.core.paginator import Paginator
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import Refused
from orders import selectors, services
from orders.api import serializers as shapes
from orders.models import Order
from orders.states import OrderStage
from quotes.selectors import quote_get

PAGE_MOST = 100
KEY = OpenApiParameter(
    "Idempotency-Key",
    OpenApiTypes.STR,
    OpenApiParameter.HEADER,
    required=True,
    description="New for each new act, 1 to 80 signs. Booking a quote again gives the same order.",
)
ONE_ORDER = {200: shapes.OrderWithAllOutput}


def read(shape: type[BaseSerializer[Any]], request: Request) -> dict[str, Any]:
    """The checked input of an operation."""
    form = shape(data=request.data)
    form.is_valid(raise_exception=True)
    data: dict[str, Any] = form.validated_data
    return data


def page_of(rows: Any, request: Request, name: str) -> dict[str, Any]:
    """One page of a list in the shape that all lists share."""
    page = Paginator(rows, PAGE_MOST).get_page(request.query_params.get("page"))
    following = page.next_page_number() if page.has_next() else None
    return {"count": page.paginator.count, "next_page": following, name: page.object_list}


def shown(order: Order, status: int = 200) -> Response:
    fresh = selectors.order_get(order.public_id)
    return Response(shapes.OrderWithAllOutput(fresh).data, status=status)


class OrderListView(OperationView):
    access = Act("order", "read")

    @extend_schema(
        operation_id="order_list",
        parameters=[
            OpenApiParameter("stage", str, enum=["open", *OrderStage.values]),
            OpenApiParameter("search", str),
            OpenApiParameter("page", int),
        ],
        responses=shapes.OrderPageOutput,
    )
    def get(self, request: Request) -> Response:
        """Orders, newest first, a hundred a page."""
        stage = request.query_params.get("stage", "")
        if stage and stage not in ("open", *OrderStage.values):
            raise Refused(f"“{stage[:20]}” is no stage of an order.", field="stage")
        rows = selectors.order_list(stage=stage, search=request.query_params.get("search", "")[:100])
        return Response(shapes.OrderPageOutput(page_of(rows, request, "orders")).data)


class OrderBookView(OperationView):
    access = Act("order", "book")

    @extend_schema(
        operation_id="order_book",
        parameters=[KEY],
        request=shapes.BookInput,
        responses={201: shapes.OrderWithAllOutput},
    )
    def post(self, request: Request) -> Response:
        """Book an accepted quote; it is booked by itself too, so this is only for the impatient."""
        quote = quote_get(read(shapes.BookInput, request)["quote"])
        key = self.idempotency_key
        order = services.order_book(actor=self.actor, at=database_now(), quote=quote, key=key)
        return shown(order, 201)


class OrderGetView(OperationView):
    access = Act("order", "read")

    @extend_schema(operation_id="order_get", responses=ONE_ORDER)
    def get(self, _request: Request, public_id: str) -> Response:
        """One order with its moves, bundles, cartons and deliveries."""
        return shown(selectors.order_get(public_id))


class _OrderActView(OperationView):
    """A verb without input on an order."""

    act: ClassVar[Callable[..., Order]]

    def do(self, public_id: str, **more: Any) -> Response:
        order = selectors.order_get(public_id)
        return shown(type(self).act(actor=self.actor, at=database_now(), order=order, **more))


def _plain(name: str, access_act: Act, service: Callable[..., Order], words: str) -> type[_OrderActView]:
    """The operation of a verb that needs nothing but the order."""

    @extend_schema(operation_id=name, request=None, responses=ONE_ORDER, description=words)
    def post(self: _OrderActView, _request: Request, public_id: str) -> Response:
        return self.do(public_id)

    return type(name, (_OrderActView,), {"access": access_act, "act": staticmethod(service), "post": post})


def _reasoned(name: str, access_act: Act, service: Callable[..., Order], words: str) -> type[_OrderActView]:
    """The operation of a verb that asks for a reason."""

    @extend_schema(operation_id=name, request=shapes.ReasonInput, responses=ONE_ORDER, description=words)
    def post(self: _OrderActView, request: Request, public_id: str) -> Response:
        return self.do(public_id, **read(shapes.ReasonInput, request))

    return type(name, (_OrderActView,), {"access": access_act, "act": staticmethod(service), "post": post})


DrawingsApproveView = _plain(
    "drawings_approve", Act("order", "approve"), services.drawings_approve, "Approve the drawings."
)
OrderReleaseView = _plain(
    "order_release",
    Act("order", "release"),
    services.order_release,
    "Release to the shop; makes the bundles.",
)
OrderRollView = _plain("order_roll", Act("bundle", "roll"), services.order_roll, "Start rolling.")
OrderBundleView = _plain(
    "order_bundle", Act("bundle", "finish"), services.order_bundle, "Mark all bundles finished."
)
OrderCloseView = _plain(
    "order_close", Act("order", "close"), services.order_close, "Close a delivered order."
)
OrderResumeView = _reasoned(
    "order_resume", Act("order", "hold"), services.order_resume, "Go on at the stage that was held."
)
OrderHoldView = _reasoned("order_hold", Act("order", "hold"), services.order_hold, "Hold before loading.")
OrderCancelView = _reasoned(
    "order_cancel", Act("order", "cancel"), services.order_cancel, "Cancel before loading, for good."
)


class BundleListView(OperationView):
    access = Act("bundle", "read")

    @extend_schema(operation_id="bundle_list", responses=shapes.BundleOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """The bundles of an order by number."""
        rows = selectors.bundle_list(order=selectors.order_get(public_id))
        return Response(shapes.BundleOutput(rows, many=True).data)


class BundleGetView(OperationView):
    access = Act("bundle", "read")

    @extend_schema(operation_id="bundle_get", responses=shapes.BundleWithPiecesOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One bundle with its pieces."""
        return Response(shapes.BundleWithPiecesOutput(selectors.bundle_get(public_id)).data)


class BundleFinishView(OperationView):
    access = Act("bundle", "finish")

    @extend_schema(operation_id="bundle_finish", request=shapes.TapInput, responses=shapes.BundleOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Mark one bundle finished; the last one moves the order on."""
        data = read(shapes.TapInput, request)
        tap = services.Tap(data.get("action_id") or uuid4(), data.get("tapped_at"))
        bundle = selectors.bundle_get(public_id)
        services.bundle_finish(actor=self.actor, at=database_now(), bundle=bundle, tap=tap)
        return Response(shapes.BundleOutput(selectors.bundle_get(public_id)).data)
