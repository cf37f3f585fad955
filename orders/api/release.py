"""Operations between booking and release: checklist, day on site, deposits, drawings."""

from __future__ import annotations

from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.parsers import BoundedJSONParser
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from orders import change_reads, release_reads, selectors, services
from orders.api import serializers as shapes
from orders.api.views import ONE_ORDER, read, shown
from orders.markup_store import BODY_MOST, FILE_MOST
from orders.models import Deposit, DrawingSet

KEY = OpenApiParameter(
    "Idempotency-Key",
    OpenApiTypes.STR,
    OpenApiParameter.HEADER,
    required=True,
    description="New for each new act, 1 to 80 signs; the same key again changes nothing more.",
)


class CheckLineOutput(serializers.Serializer[Any]):
    """One condition of release: how it stands, what to do where it is not met, and who can."""

    key = serializers.CharField()
    title = serializers.CharField()
    ok = serializers.BooleanField()
    words = serializers.CharField()
    todo = serializers.CharField()
    who = serializers.CharField()


class DayInput(serializers.Serializer[Any]):
    deliver_on = serializers.DateField()


class DepositInput(serializers.Serializer[Any]):
    amount = serializers.DecimalField(max_digits=12, decimal_places=2)
    received_on = serializers.DateField()
    note = serializers.CharField(max_length=200, allow_blank=True, default="")


class DepositOutput(serializers.ModelSerializer[Deposit]):
    by = serializers.CharField(source="by.name")
    taken_back_by = serializers.CharField(source="taken_back_by.name", default="")

    class Meta:
        model = Deposit
        fields = ("id", "amount", "received_on", "note", "by", "taken_back_at", "taken_back_by", "why")


class DepositsOutput(serializers.Serializer[Any]):
    """What is needed before release, what is there, and every deposit as written down."""

    currency = serializers.CharField()
    percent = serializers.IntegerField()
    needed = serializers.DecimalField(max_digits=14, decimal_places=2)
    received = serializers.DecimalField(max_digits=14, decimal_places=2)
    deposits = DepositOutput(many=True)


class DrawingSetOutput(serializers.ModelSerializer[DrawingSet]):
    """A set of drawings; `approved` is null while the builder has not answered."""

    sent_by = serializers.CharField(source="sent_by.name", default="")
    recorded_by = serializers.CharField(source="recorded_by.name", default="")

    class Meta:
        model = DrawingSet
        fields = (
            "number", "created_at", "sent_by", "answered_at", "approved", "name", "words", "recorded_by", "heard",
        )  # fmt: skip


class DrawingsPersonInput(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=160, trim_whitespace=False)
    email = serializers.CharField(max_length=254)


class DrawingsSendInput(serializers.Serializer[Any]):
    people = DrawingsPersonInput(many=True)
    word = serializers.CharField(max_length=2000, allow_blank=True, default="")


@extend_schema_field(OpenApiTypes.BINARY)
class BytesField(serializers.FileField):
    """A file that comes in by form data."""


class DrawingsRecordInput(serializers.Serializer[Any]):
    approved = serializers.BooleanField()
    name = serializers.CharField(max_length=160, help_text="Who said it.")
    heard = serializers.CharField(max_length=400, help_text="How it was heard.")
    words = serializers.CharField(
        max_length=4000, allow_blank=True, default="", help_text="What must change; needed for a no."
    )
    file = BytesField(
        required=False,
        allow_empty_file=True,
        max_length=400,
        help_text="What was marked up: PDF, PNG or JPEG, 10,000,000 bytes at most; by form data only.",
    )


class ChangeRowOutput(serializers.Serializer[Any]):
    """Equal changes together; lengths in sixteenths of an inch, 0 where a side has no piece."""

    verb = serializers.CharField(help_text="`added`, `removed` or `changed`.")
    floor = serializers.CharField()
    before = serializers.CharField()
    before_16 = serializers.IntegerField()
    after = serializers.CharField()
    after_16 = serializers.IntegerField()
    count = serializers.IntegerField()
    rolled = serializers.IntegerField(help_text="Of these, pieces whose bundle was begun.")


class FloorsNowOutput(serializers.Serializer[Any]):
    """The order's steel beside its floors as saved now."""

    kept = serializers.IntegerField()
    marks_moved = serializers.IntegerField()
    rolled = serializers.IntegerField()
    practice = serializers.CharField()
    rows = ChangeRowOutput(many=True)


class FloorsNowView(OperationView):
    access = Act("order", "read")

    @extend_schema(operation_id="order_floors_now", responses=FloorsNowOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """What would change if the order followed its floors as they are saved now; nothing is written."""
        found = change_reads.floors_now(selectors.order_get(public_id), database_now())
        return Response(FloorsNowOutput(found).data)


class ChecklistView(OperationView):
    access = Act("order", "read")

    @extend_schema(operation_id="order_checklist", responses=CheckLineOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """What must stand before release, line by line."""
        lines = release_reads.release_lines(selectors.order_get(public_id))
        return Response(CheckLineOutput(lines, many=True).data)


class DeliverOnView(OperationView):
    access = Act("order", "change")

    @extend_schema(operation_id="order_deliver_on", request=DayInput, responses=ONE_ORDER)
    def post(self, request: Request, public_id: str) -> Response:
        """Set the day on site."""
        order, data = selectors.order_get(public_id), read(DayInput, request)
        return shown(services.order_deliver_on(actor=self.actor, at=database_now(), order=order, **data))


class DepositListView(OperationView):
    access = Act("deposit", "read")

    @extend_schema(operation_id="deposit_list", responses=DepositsOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """Deposits of an order, those taken back too."""
        order = selectors.order_get(public_id)
        found = {
            "currency": order.revision.currency,
            "percent": release_reads.deposit_percent(order),
            "needed": release_reads.deposit_needed(order),
            "received": release_reads.deposit_received(order),
            "deposits": release_reads.deposit_list(order),
        }
        return Response(DepositsOutput(found).data)


class DepositRecordView(OperationView):
    access = Act("deposit", "record")

    @extend_schema(
        operation_id="deposit_record",
        parameters=[KEY],
        request=DepositInput,
        responses={201: DepositOutput},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Write down money received before release."""
        order, data = selectors.order_get(public_id), read(DepositInput, request)
        key = self.idempotency_key
        made = services.deposit_record(actor=self.actor, at=database_now(), order=order, key=key, **data)
        return Response(DepositOutput(made).data, status=201)


class DepositTakeBackView(OperationView):
    access = Act("deposit", "take_back")

    @extend_schema(operation_id="deposit_take_back", request=shapes.ReasonInput, responses=DepositOutput)
    def post(self, request: Request, public_id: str, deposit_id: int) -> Response:
        """Strike a deposit with a reason; it stays in the list."""
        deposit = release_reads.deposit_get(selectors.order_get(public_id), deposit_id)
        data = read(shapes.ReasonInput, request)
        row = services.deposit_take_back(actor=self.actor, at=database_now(), deposit=deposit, **data)
        return Response(DepositOutput(row).data)


class DrawingSetListView(OperationView):
    access = Act("drawing_set", "read")

    @extend_schema(operation_id="drawing_set_list", responses=DrawingSetOutput(many=True))
    def get(self, _request: Request, public_id: str) -> Response:
        """Drawings sent for approval and their answers, newest first."""
        sets = release_reads.drawing_sets(selectors.order_get(public_id))
        return Response(DrawingSetOutput(sets, many=True).data)


class DrawingsSendView(OperationView):
    access = Act("drawing_set", "send")

    @extend_schema(
        operation_id="drawings_send",
        parameters=[KEY],
        request=DrawingsSendInput,
        responses={201: DrawingSetOutput},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Send the drawings to people of the builder, each with a link of his own."""
        order, data = selectors.order_get(public_id), read(DrawingsSendInput, request)
        made = services.drawings_send(
            actor=self.actor,
            at=database_now(),
            order=order,
            people=[(one["name"], one["email"]) for one in data["people"]],
            word=data["word"],
            key=self.idempotency_key,
        )
        return Response(DrawingSetOutput(made).data, status=201)


class DrawingsRecordView(OperationView):
    access = Act("order", "approve")
    body_most = BODY_MOST
    parser_classes = (BoundedJSONParser, MultiPartParser)

    @extend_schema(
        operation_id="drawings_record",
        request={
            "application/json": DrawingsRecordInput,
            "multipart/form-data": DrawingsRecordInput,
        },
        responses={201: DrawingSetOutput},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Record the builder's yes or no as it was heard, with what he marked up."""
        order, data = selectors.order_get(public_id), read(DrawingsRecordInput, request)
        file = data.pop("file", None)
        if file is not None:
            data["file"] = (file.name or "", file.read(FILE_MOST + 1))
        made = services.drawings_record(actor=self.actor, at=database_now(), order=order, **data)
        return Response(DrawingSetOutput(made).data, status=201)
