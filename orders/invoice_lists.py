"""The list of what there is to invoice: its filters and columns."""

from __future__ import annotations

from typing import Any

import django_filters as filters
from django.db.models import OuterRef, QuerySet, Subquery

from framing.common.listing import ListSpec, list_register
from framing.common.listing_columns import Day, Linked, ListTable, Money, Words
from framing.common.listing_filters import ListFilters, choice_filter, day_filter
from orders.invoice_reads import EXPORTED, NEW, invoice_list
from orders.models import InvoiceFile
from orders.states import InvoiceKind

_PROJECT = "order__revision__quote__project"
_FILE = InvoiceFile.objects.filter(first__lte=OuterRef("number"), last__gte=OuterRef("number"))


class Running(Words):
    """A whole number that names something."""

    css, kind, folds = "num fit", "count", False

    def value(self, value: Any) -> int:
        return int(value)


class InvoiceTable(ListTable):
    usual = ("number", "at", "words", "builder", "tax", "amount", "file")

    number = Running("No.", "number")
    at = Day("Day", "at")
    what = Words("What", "kind")
    words = Words("For", "words")
    order = Linked("Order", "order__number", "orders:order_page", figure=True, of="order")
    project = Words("Project", f"{_PROJECT}__name")
    builder = Words("Builder", f"{_PROJECT}__builder__name")
    tax = Money("Tax in it", "tax", "currency")
    amount = Money("Amount with tax", "amount", "currency")
    file = Running(
        "Export", "file_number", nothing="new", needs={"file_number": Subquery(_FILE.values("number")[:1])}
    )


class InvoiceFilters(ListFilters):
    kind = "invoice"

    state = choice_filter("Export", [(NEW, "In no export yet"), (EXPORTED, "Exported")], method="by_state")
    what = choice_filter("What", list(InvoiceKind.choices), path="kind")
    order = filters.CharFilter(
        label="Order", field_name="order__number", lookup_expr="icontains", max_length=40
    )
    from_day = day_filter("From", "at__date")
    to_day = day_filter("To", "at__date", until=True)

    def by_state(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        del name
        return rows.filter(exported=value == EXPORTED)


def register() -> None:
    list_register(
        ListSpec(
            "invoices", "To invoice", ("invoice", "read"), "orders:invoice_list", "orders:invoice_list_file",
            invoice_list, InvoiceTable, InvoiceFilters, order=("-number",),
        )
    )  # fmt: skip
