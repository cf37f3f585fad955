"""The lists of orders and deliveries: their filters, columns and order. Neither shows a price."""

from __future__ import annotations

from typing import Any

from django.db.models import Case, Min, OuterRef, QuerySet, Subquery, Sum, Value, When

from framing.common.listing import ListSpec, list_register
from framing.common.listing_columns import Day, Feet, Linked, ListTable, Pounds, Stage, Words
from framing.common.listing_filters import ListFilters, choice_filter, day_filter, owner_filter, search_filter
from orders import claim_lists, invoice_lists, selectors
from orders.delivery_reads import window_words
from orders.find import STATES
from orders.models import Bundle, OrderMove, Piece
from orders.states import OrderStage

OPEN = "open"
_QUOTE = "revision__quote"
_STEEL = Piece.objects.filter(order=OuterRef("pk")).order_by().values("order").annotate(sum=Sum("length_16"))
_WEIGHT = (
    Bundle.objects.filter(order=OuterRef("pk")).order_by().values("order").annotate(sum=Sum("weight_lb"))
)
_RELEASED = (
    OrderMove.objects.filter(order=OuterRef("pk"), to_stage=OrderStage.RELEASED)
    .order_by()
    .values("order")
    .annotate(first=Min("at"))
)


class Finished(Words):
    """Bundles that are finished, of all."""

    css, folds = "num", False

    def render(self, value: Any, record: Any) -> str:  # type: ignore[override]  # asked for by name
        return f"{record.finished_count} / {value}" if value else self.default

    def value(self, value: Any, record: Any) -> str:  # type: ignore[override]  # asked for by name
        return f"{record.finished_count} / {value}" if value else ""


class OrderTable(ListTable):
    usual = ("number", "project", "builder", "stage", "bundles", "deliver_on", "owner")

    number = Linked("Order", "number", "orders:order_page", figure=True)
    project = Words("Project", f"{_QUOTE}__project__name")
    builder = Words("Builder", f"{_QUOTE}__project__builder__name")
    city = Words("City", f"{_QUOTE}__project__site__city")
    quote = Words("Quote", f"{_QUOTE}__number")
    stage = Stage("Stage", "stage", dict(OrderStage.choices))
    bundles = Finished("Bundles", "bundle_count", unit="finished / all")
    steel = Feet("Steel", "steel_16", unit="ft", needs={"steel_16": Subquery(_STEEL.values("sum")[:1])})
    weight = Pounds(
        "Bundles' weight", "weight_lb", unit="lb", needs={"weight_lb": Subquery(_WEIGHT.values("sum")[:1])}
    )
    booked = Day("Booked", "created_at")
    released = Day("Released", "released_at", needs={"released_at": Subquery(_RELEASED.values("first")[:1])})
    deliver_on = Day("On site", "deliver_on")
    owner = Words("Seller", "owner__name")


class OrderFilters(ListFilters):
    kind = "order"
    more = ("site_from", "site_to", "booked_from", "booked_to")

    search = search_filter("Number, project, builder or piece mark")
    stage = choice_filter("Stage", [(OPEN, "All open"), *OrderStage.choices], method="by_stage")
    owner = owner_filter()
    site_from = day_filter("On site from", "deliver_on")
    site_to = day_filter("On site to", "deliver_on", until=True)
    booked_from = day_filter("Booked from", "created_at__date")
    booked_to = day_filter("Booked to", "created_at__date", until=True)

    def by_stage(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        del name
        return rows.filter(stage__in=selectors.OPEN_STAGES if value == OPEN else [value])


_STATE = Case(
    When(dropped_at__isnull=False, then=Value(STATES["dropped"])),
    When(delivered_at__isnull=False, then=Value(STATES["delivered"])),
    When(loaded_at__isnull=False, then=Value(STATES["loaded"])),
    default=Value(STATES["planned"]),
)


class Window(Words):
    """From when until when, by the site's clock."""

    css, folds = "fit", False

    def render(self, value: Any, record: Any) -> str:  # type: ignore[override]  # asked for by name
        del value
        return window_words(record)

    def value(self, value: Any, record: Any) -> str:  # type: ignore[override]  # asked for by name
        del value
        return window_words(record)


class DeliveryTable(ListTable):
    usual = ("number", "planned_for", "window", "project", "builder", "contact", "state")

    number = Linked("Delivery", "number", "orders:delivery_page", figure=True)
    planned_for = Day("On site", "planned_for")
    window = Window("Window", "window_from")
    project = Words("Project", f"order__{_QUOTE}__project__name")
    builder = Words("Builder", f"order__{_QUOTE}__project__builder__name")
    city = Words("City", f"order__{_QUOTE}__project__site__city")
    contact = Words("Contact", "contact")
    order = Words("Order", "order__number")
    state = Stage("State", "state_word", STATES, needs={"state_word": _STATE})
    stage = Stage("Order's stage", "order__stage", dict(OrderStage.choices))
    received_by = Words("Received by", "received_by")


class DeliveryFilters(ListFilters):
    kind = "delivery"

    search = search_filter("Number, order, builder or address")
    state = choice_filter("State", [(OPEN, "To be received"), *STATES.items()], method="by_state")
    site_from = day_filter("On site from", "planned_for")
    site_to = day_filter("On site to", "planned_for", until=True)

    def by_state(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        del name
        if value == OPEN:
            return rows.filter(delivered_at=None, dropped_at=None).exclude(order__stage=OrderStage.CANCELLED)
        return rows.filter(pk__in=selectors.delivery_list(state=value).order_by().values("pk"))


def register() -> None:
    invoice_lists.register()
    claim_lists.register()
    list_register(
        ListSpec(
            "orders", "Orders", ("order", "read"), "orders:order_list", "orders:order_file",
            selectors.order_list, OrderTable, OrderFilters, begins={"stage": OPEN},
        )
    )  # fmt: skip
    list_register(
        ListSpec(
            "deliveries", "Deliveries", ("delivery", "read"), "orders:delivery_list", "orders:delivery_file",
            selectors.delivery_list, DeliveryTable, DeliveryFilters, order=("planned_for", "window_from", "pk"),
            begins={"state": OPEN},
        )
    )  # fmt: skip
