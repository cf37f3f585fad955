"""Operations on what there is to invoice."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import Refused
from orders import invoice_reads, services
from orders.api.views import page_of
from orders.invoice_content import FIELDS, FORMAT, VERSION, ordered
from orders.models import InvoiceFile
from orders.states import InvoiceKind

STATES = [invoice_reads.NEW, invoice_reads.EXPORTED]
MONEY: dict[str, Any] = {"max_digits": 12, "decimal_places": 2}


class InvoiceItemOutput(serializers.Serializer[Any]):
    """Something to invoice or to credit, as an export holds it."""

    number = serializers.IntegerField(help_text=FIELDS["number"])
    date = serializers.DateField(help_text=FIELDS["date"])
    kind = serializers.ChoiceField(choices=InvoiceKind.choices, help_text=FIELDS["kind"])
    order = serializers.CharField(help_text=FIELDS["order"])
    offer = serializers.CharField(help_text=FIELDS["offer"])
    builder = serializers.CharField(help_text=FIELDS["builder"])
    project = serializers.CharField(help_text=FIELDS["project"])
    reference = serializers.CharField(help_text=FIELDS["reference"])
    currency = serializers.CharField(help_text=FIELDS["currency"])
    net = serializers.DecimalField(**MONEY, help_text=FIELDS["net"])
    tax = serializers.DecimalField(**MONEY, help_text=FIELDS["tax"])
    amount = serializers.DecimalField(**MONEY, help_text=FIELDS["amount"])
    words = serializers.CharField(help_text=FIELDS["words"])


class InvoicePageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    items = InvoiceItemOutput(many=True)


class InvoiceFileOutput(serializers.ModelSerializer[InvoiceFile]):
    """An export: the items from running number `first` to `last`."""

    id = serializers.CharField(source="public_id")
    by = serializers.CharField(source="by.name")

    class Meta:
        model = InvoiceFile
        fields = ("id", "number", "first", "last", "created_at", "by")


class InvoiceFilePageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    files = InvoiceFileOutput(many=True)


class InvoiceContentOutput(serializers.Serializer[Any]):
    """An export with its items, the same as its JSON file."""

    format = serializers.CharField(help_text=f"“{FORMAT}”")
    version = serializers.IntegerField(help_text=f"{VERSION}; a field more makes no other version")
    file = serializers.IntegerField(help_text="Number of the export, without a gap")
    exported_at = serializers.DateTimeField()
    first = serializers.IntegerField()
    last = serializers.IntegerField()
    items = InvoiceItemOutput(many=True)


class InvoiceListView(OperationView):
    access = Act("invoice", "read")

    @extend_schema(
        operation_id="invoice_list",
        parameters=[OpenApiParameter("state", str, enum=STATES), OpenApiParameter("page", int)],
        responses=InvoicePageOutput,
    )
    def get(self, request: Request) -> Response:
        """What there is to invoice, newest first, a hundred a page; “new” are those in no export yet."""
        state = request.query_params.get("state", "")
        if state and state not in STATES:
            raise Refused(f"“{state[:20]}” is no state; it is new or exported.", field="state")
        page = page_of(invoice_reads.invoice_list(state=state), request, "items")
        page["items"] = invoice_reads.items_content(page["items"])
        return Response(InvoicePageOutput(page).data)


class InvoiceExportView(OperationView):
    access = Act("invoice", "export")

    @extend_schema(operation_id="invoice_export", request=None, responses={201: InvoiceContentOutput})
    def post(self, _request: Request) -> Response:
        """Put all that is new into the next export. Asked again it is a conflict until something is new."""
        file = services.invoice_export(actor=self.actor, at=database_now())
        return Response(InvoiceContentOutput(ordered(file.content)).data, status=201)


class InvoiceFileListView(OperationView):
    access = Act("invoice", "read")

    @extend_schema(
        operation_id="invoice_file_list",
        parameters=[OpenApiParameter("page", int)],
        responses=InvoiceFilePageOutput,
    )
    def get(self, request: Request) -> Response:
        """Exports, newest first, a hundred a page."""
        return Response(InvoiceFilePageOutput(page_of(invoice_reads.invoice_files(), request, "files")).data)


class InvoiceFileGetView(OperationView):
    access = Act("invoice", "read")

    @extend_schema(operation_id="invoice_file_get", responses=InvoiceContentOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One export with its items, the same whenever it is asked for."""
        file = invoice_reads.invoice_file_get(public_id)
        return Response(InvoiceContentOutput(ordered(file.content)).data)
