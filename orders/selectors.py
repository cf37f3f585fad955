"""Reads of orders, bundles and deliveries; every list fixes its joins and its order.

Orders show no prices: what a page needs of the accepted revision comes through `quotes.selectors`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any, NoReturn

from django.db.models import Count, Q, QuerySet

from framing.common.errors import NotThere
from framing.common.models import AccessLink, OutboxEntry
from framing.drawing import bundle_svg
from framing.engine.result import Bundle as Drawn
from framing.engine.result import BundlePiece as DrawnPiece
from framing.projects.models import Floor
from orders.models import Bundle, Carton, Delivery, Order, OrderMove, Piece, TruckLoad
from orders.states import STAGE_LINE, OrderStage
from quotes.selectors import ALTERNATE_BIG, alternate_picked, package_accepted, quote_moves, revision_by_pk
from quotes.snapshots import PackageResult

BIG = ("revision__result", "revision__floors")
PICKED = "revision__acceptance__alternate"
OPEN_STAGES = tuple(
    stage.value for stage in OrderStage if stage not in (OrderStage.CLOSED, OrderStage.CANCELLED)
)


def missing() -> NoReturn:
    raise NotThere()


# --- orders ---


def _orders() -> QuerySet[Order]:
    joined = Order.objects.select_related(
        "revision__quote__project__builder", "revision__quote__project__site", PICKED, "owner"
    )
    return joined.defer(*BIG, *(f"{PICKED}__{name}" for name in ALTERNATE_BIG))


def order_list(*, stage: str = "", search: str = "") -> QuerySet[Order]:
    """Orders, newest first, with `bundle_count` and `finished_count`; `stage` may be "open"."""
    rows = _orders().annotate(
        bundle_count=Count("bundles"),
        finished_count=Count("bundles", filter=Q(bundles__finished_at__isnull=False)),
    )
    if stage == "open":
        rows = rows.filter(stage__in=OPEN_STAGES)
    elif stage:
        rows = rows.filter(stage=stage)
    if search:
        rows = rows.filter(
            Q(number__icontains=search)
            | Q(revision__quote__number__icontains=search)
            | Q(revision__quote__project__name__icontains=search)
            | Q(revision__quote__project__builder__name__icontains=search)
        )
    return rows.order_by("-id")


def order_get(public_id: str) -> Order:
    """One order with its project, builder and owner. Raises NotThere."""
    return _orders().filter(public_id=public_id).first() or missing()


def order_with_floor(floor: Floor) -> str:
    """The number of the first order in work whose offer holds a floor; "" where there is none."""
    rows = Order.objects.filter(
        stage__in=OPEN_STAGES, revision__floors__contains=[{"floor": floor.public_id}]
    )
    return rows.order_by("id").values_list("number", flat=True).first() or ""


def offer_words(order: Order) -> str:
    """What was accepted: “Q-2026-0015-R1”, with “, alternate B” where the builder picked one (R42)."""
    picked = alternate_picked(order.revision)
    return f"{order.revision}{f', alternate {picked.letter}' if picked else ''}"


def order_moves(order: Order) -> QuerySet[OrderMove]:
    """Recorded moves, oldest first."""
    return order.moves.order_by("id")


@dataclass(frozen=True, slots=True)
class Stage:
    """One knot of the stage line; `state` is past, present or future."""

    name: str
    state: str
    at: datetime | None
    note: str = ""


def order_stage_line(order: Order) -> tuple[Stage, ...]:
    """The line from bid to closed with the day each stage was reached last, by quote and order moves."""
    reached: dict[str, datetime] = {}
    for quote_move in quote_moves(order.revision.quote):
        reached[quote_move.to_stage] = quote_move.at
    moves = list(order_moves(order))
    for move in moves:
        reached[move.to_stage] = move.at
    here, note = order.stage, ""
    if order.stage in (OrderStage.HELD, OrderStage.CANCELLED):
        here = order.held_from or _last_on_line(moves)
        note = order.get_stage_display().lower()
    present = STAGE_LINE.index(here)
    return tuple(
        Stage(
            name.title(),
            "past" if place < present else "present" if place == present else "future",
            reached.get(name) if place <= present and not (place == present and note) else None,
            note if place == present else "",
        )
        for place, name in enumerate(STAGE_LINE)
    )


def _last_on_line(moves: list[OrderMove]) -> str:
    return next((m.to_stage for m in reversed(moves) if m.to_stage in STAGE_LINE), STAGE_LINE[0])


# --- bundles ---


@dataclass(frozen=True, slots=True)
class MarkCount:
    """Equal pieces of a bundle: how many of one mark and length, and the lowest place from the bottom."""

    mark: str
    count: int
    length_16: int


def mark_counts(pieces: list[Piece]) -> tuple[MarkCount, ...]:
    """Pieces by mark and length, longest first, then by mark."""
    keys = sorted((-piece.length_16, piece.mark) for piece in pieces)
    return tuple(MarkCount(mark, len(list(same)), -length) for (length, mark), same in groupby(keys))


@dataclass(frozen=True, slots=True)
class PieceRun:
    """Equal pieces that lie on each other; `first` and `last` are their places from the bottom."""

    first: int
    last: int
    mark: str
    length_16: int
    floor: str


def piece_runs(pieces: list[Piece]) -> tuple[PieceRun, ...]:
    """The pieces of one bundle from the bottom up, equal neighbours together."""
    runs = []
    ordered = sorted(pieces, key=lambda piece: piece.position)
    for (mark, length, floor), same in groupby(ordered, lambda p: (p.mark, p.length_16, _floor_words(p))):
        places = [piece.position for piece in same]
        runs.append(PieceRun(places[0], places[-1], mark, length, floor))
    return tuple(runs)


def _floor_words(piece: Piece) -> str:
    return piece.floor if piece.copy == 1 else f"{piece.floor}, copy {piece.copy}"


def bundle_list(*, stage: str = "", order: Order | None = None) -> QuerySet[Bundle]:
    """Bundles, orders oldest first, with `piece_count` and `flagged_count`; `stage` is the order's.

    Flagged pieces lie in their bundle too, but a change of the order no longer needs them.
    """
    rows = Bundle.objects.select_related(
        "order__revision__quote__project__builder", "load", "delivery"
    ).defer(*(f"order__{name}" for name in BIG))
    flagged = Count("pieces", filter=Q(pieces__dropped_by__isnull=False))
    rows = rows.annotate(piece_count=Count("pieces"), flagged_count=flagged)
    if stage:
        rows = rows.filter(order__stage=stage)
    if order is not None:
        rows = rows.filter(order=order)
    return rows.order_by("order_id", "number")


def bundle_get(public_id: str) -> Bundle:
    """One bundle with its order and truck. Raises NotThere."""
    return bundle_list().filter(public_id=public_id).first() or missing()


def bundle_drawing(bundle: Bundle) -> str:
    """Side view of a bundle as it is now, as SVG."""
    pieces = list(bundle.pieces.order_by("sequence", "id"))
    floors = sorted({piece.floor for piece in pieces})
    drawn = Drawn(
        number=bundle.number,
        profile=bundle.profile,
        pieces=tuple(
            DrawnPiece(
                floors.index(p.floor), p.copy, p.piece_id, p.mark, p.length_16, p.sequence, float(p.weight_lb)
            )
            for p in pieces
        ),
        weight_lb=float(bundle.weight_lb),
        length_16=bundle.length_16,
        zone=bundle.zone,
        short=bundle.short,
        note=bundle.note,
    )
    metric = bundle.order.revision.quote.project.units == "metric"
    return bundle_svg(drawn, "metric" if metric else "imperial")


def accepted_package(order: Order) -> PackageResult:
    """The engine's result that was accepted: the base offer's or the picked alternate's."""
    return package_accepted(revision_by_pk(order.revision_id))


def order_cartons(order: Order) -> list[tuple[Carton, list[str]]]:
    """Cartons by number, each with its contents in words."""
    return [(carton, content_words(carton.contents)) for carton in order.cartons.order_by("number")]


def content_words(contents: Iterable[Sequence[Any]]) -> list[str]:
    """Contents of a carton in words, such as `Wood screw: 4 boxes`; an entry is what, count, unit."""
    return [_content(str(what), int(count), str(unit)) for what, count, unit in contents]


def _content(what: str, count: int, unit: str) -> str:
    return f"{what}: {counted_words(count, unit)}"


def counted_words(count: int, unit: str) -> str:
    """How many of a thing that goes in cartons: `4 boxes`, `70 ft`; pieces are counted alone."""
    if unit == "piece":
        return f"{count:,}"
    if unit != "ft" and count != 1:
        unit += "es" if unit.endswith("x") else "s"
    return f"{count:,} {unit}"


def loose_pieces(order: Order) -> list[Piece]:
    """Pieces that stand in no bundle: they go in numbered packs (R32)."""
    return list(order.pieces.filter(bundle=None).order_by("id"))


# --- deliveries ---


def delivery_list(*, state: str = "", search: str = "") -> QuerySet[Delivery]:
    """Deliveries, the next one first; `state` is planned, loaded, delivered or dropped."""
    rows = Delivery.objects.select_related(
        "order__revision__quote__project__builder", "order__revision__quote__project__site", "order__owner"
    ).defer(*(f"order__{name}" for name in BIG))
    if state == "delivered":
        rows = rows.filter(delivered_at__isnull=False)
    elif state == "loaded":
        rows = rows.filter(loaded_at__isnull=False, delivered_at=None)
    elif state == "dropped":
        rows = rows.filter(dropped_at__isnull=False)
    elif state == "planned":
        rows = rows.filter(loaded_at=None, dropped_at=None).exclude(order__stage=OrderStage.CANCELLED)
    if search:
        rows = rows.filter(
            Q(number__icontains=search)
            | Q(order__number__icontains=search)
            | Q(order__revision__quote__project__builder__name__icontains=search)
        )
    return rows.order_by("planned_for", "id")


def delivery_get(public_id: str) -> Delivery:
    """One delivery with order, builder and site. Raises NotThere."""
    return delivery_list().filter(public_id=public_id).first() or missing()


def delivery_by_pk(pk: int) -> Delivery:
    return delivery_list().get(pk=pk)


def delivery_of_link(link: AccessLink) -> Delivery:
    """The delivery that a link opens. Raises NotThere for a link to anything else."""
    if link.subject_type != Delivery._meta.label_lower:
        missing()
    return delivery_list().filter(pk=link.subject_id).first() or missing()


def load_get(delivery: Delivery, number: int) -> TruckLoad:
    """One truck's part of a delivery by its number. Raises NotThere."""
    return delivery.loads.filter(number=number).first() or missing()


def job_of(kind: str, key: int) -> OutboxEntry | None:
    """The background work of a kind for one thing, if it was asked for."""
    return OutboxEntry.objects.filter(kind=kind, key=str(key)).first()
