"""By what orders and deliveries are found: an order also by the marks of its pieces, once they are released."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence

from framing.common.find_index import FindKind, Found, find_register, find_watch, own_key
from framing.projects.find import BUILDER_FIELDS, PROJECT_FIELDS, SITE_FIELDS, job_words
from framing.projects.models import Builder, Project, Site
from orders.models import Delivery, Order, Piece
from orders.states import OrderStage

_JOB = ("revision__quote__project__builder", "revision__quote__project__site")
_PROJECT = "revision__quote__project"
STATES = {"planned": "Planned", "loaded": "Loaded", "delivered": "Delivered", "dropped": "Dropped"}


def orders_found(pks: Sequence[int] | None = None) -> Iterator[Found]:
    rows = Order.objects.select_related(*_JOB).defer("revision__result", "revision__floors").order_by("pk")
    pieces = Piece.objects.order_by("order_id", "mark")
    if pks is not None:
        rows, pieces = rows.filter(pk__in=pks), pieces.filter(order_id__in=pks)
    marks: dict[int, list[str]] = defaultdict(list)
    for order_id, mark in pieces.values_list("order_id", "mark").distinct():
        marks[order_id].append(mark)
    for order in rows:
        quote = order.revision.quote
        note, phone, texts = job_words(quote.project)
        texts = (*texts, quote.number, *marks[order.pk])
        yield Found(order.pk, order.public_id, order.number, note, order.number, phone, texts)


def deliveries_found(pks: Sequence[int] | None = None) -> Iterator[Found]:
    joined = Delivery.objects.select_related(*(f"order__{step}" for step in _JOB), "order")
    rows = joined.defer("order__revision__result", "order__revision__floors").order_by("pk")
    for delivery in rows if pks is None else rows.filter(pk__in=pks):
        order = delivery.order
        note, phone, texts = job_words(order.revision.quote.project)
        texts = (*texts, delivery.contact, order.number)
        yield Found(delivery.pk, delivery.public_id, delivery.number, note, delivery.number, phone, texts)


def order_stages(pks: Sequence[int]) -> dict[int, tuple[str, str]]:
    rows = Order.objects.filter(pk__in=pks).values_list("pk", "stage")
    return {pk: (stage, OrderStage(stage).label) for pk, stage in rows}


def delivery_states(pks: Sequence[int]) -> dict[int, tuple[str, str]]:
    rows = Delivery.objects.filter(pk__in=pks).only("loaded_at", "delivered_at", "dropped_at")
    return {row.pk: (row.state, STATES[row.state]) for row in rows}


def _orders(**where: object) -> Iterable[int]:
    return Order.objects.filter(**where).order_by("pk").values_list("pk", flat=True)


def _deliveries(**where: object) -> Iterable[int]:
    return Delivery.objects.filter(**where).order_by("pk").values_list("pk", flat=True)


def _reach(of: Callable[..., Iterable[int]], path: str) -> Callable[[object], Iterable[int]]:
    return lambda row: of(**{path: row})


def register() -> None:
    find_register(
        FindKind(
            "order", "Orders", ("order", "read"), "orders:order_page", "orders:order_list", "search",
            orders_found, order_stages,
        )
    )  # fmt: skip
    find_register(
        FindKind(
            "delivery", "Deliveries", ("delivery", "read"), "orders:delivery_page", "orders:delivery_list",
            "search", deliveries_found, delivery_states,
        )
    )  # fmt: skip
    # Pieces come with the stage “released” and never after it.
    find_watch(Order, ("number", "revision", "stage"), {"order": own_key})
    find_watch(Delivery, ("number", "order", "contact"), {"delivery": own_key})
    for model, fields, path in (
        (Builder, BUILDER_FIELDS, f"{_PROJECT}__builder"),
        (Site, SITE_FIELDS, f"{_PROJECT}__site"),
        (Project, PROJECT_FIELDS, _PROJECT),
    ):
        find_watch(
            model, fields, {"order": _reach(_orders, path), "delivery": _reach(_deliveries, f"order__{path}")}
        )
