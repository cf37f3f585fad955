"""What there is to invoice, read: items by running number, exports, what an order comes to."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet, Sum

from framing.common.zones import company_day
from orders.models import InvoiceFile, InvoiceItem, Order
from orders.selectors import BIG, missing, offer_words
from quotes.selectors import ALTERNATE_BIG

NEW, EXPORTED = "new", "exported"
_PICKED = "order__revision__acceptance__alternate"


def invoice_list(*, state: str = "", order: Order | None = None) -> QuerySet[InvoiceItem]:
    """Items, newest first, each with `currency` and `exported`; `state` is "new" or "exported"."""
    rows = InvoiceItem.objects.select_related(
        "order__revision__quote__project__builder", _PICKED, "delivery", "change", "claim"
    )
    rows = rows.defer(*(f"order__{name}" for name in BIG), *(f"{_PICKED}__{name}" for name in ALTERNATE_BIG))
    inside = InvoiceFile.objects.filter(first__lte=OuterRef("number"), last__gte=OuterRef("number"))
    rows = rows.annotate(currency=F("order__revision__currency"), exported=Exists(inside))
    if state:
        rows = rows.filter(exported=state == EXPORTED)
    return (rows.filter(order=order) if order else rows).order_by("-number")


def invoice_reference(item: InvoiceItem) -> str:
    """Number of the delivery, change order or claim that an item is for; "" for the order as a whole."""
    if item.delivery is not None:
        return item.delivery.number
    if item.change is not None:
        return f"{item.order.number} change {item.change.number}"
    return item.claim.number if item.claim is not None else ""


def item_content(item: InvoiceItem) -> dict[str, Any]:
    """One item as an export holds it (`orders.invoice_content.FIELDS`)."""
    order = item.order
    project = order.revision.quote.project
    return {
        "number": item.number,
        "date": company_day(item.at).isoformat(),
        "kind": item.kind,
        "order": order.number,
        "offer": offer_words(order),
        "builder": project.builder.name,
        "project": project.name,
        "reference": invoice_reference(item),
        "currency": order.revision.currency,
        "net": f"{item.amount - item.tax:.2f}",
        "tax": f"{item.tax:.2f}",
        "amount": f"{item.amount:.2f}",
        "words": item.words,
    }


def items_content(rows: Iterable[InvoiceItem]) -> list[dict[str, Any]]:
    return [item_content(row) for row in rows]


def invoice_files() -> QuerySet[InvoiceFile]:
    """Exports, newest first."""
    return InvoiceFile.objects.select_related("by").order_by("-number")


def invoice_file_get(public_id: str) -> InvoiceFile:
    """One export. Raises NotThere."""
    return invoice_files().filter(public_id=public_id).first() or missing()


def last_exported() -> int:
    """The highest running number that stands in an export; 0 before the first."""
    return InvoiceFile.objects.order_by("-number").values_list("last", flat=True).first() or 0


def new_sums() -> tuple[int, list[tuple[str, Any]]]:
    """How many items wait for an export, and what they come to by currency."""
    rows = InvoiceItem.objects.filter(number__gt=last_exported())
    found = rows.values("order__revision__currency").annotate(sum=Sum("amount"))
    found = found.order_by("order__revision__currency")
    return rows.count(), [(row["order__revision__currency"], row["sum"]) for row in found]
