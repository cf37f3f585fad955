"""A change order beside the order's rows (R45): which piece is which, what was begun, whether it can go on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from framing.engine.result import PackageResult
from orders.changes import Difference, PlacedPiece, difference, placed_pieces
from orders.models import ChangeOrder, Order, Piece
from quotes.change_reads import agreed_offer
from quotes.models import QuoteRevision
from quotes.selectors import package_of, revision_by_pk

Key = tuple[str, int, str]
BEFORE_LOADING = ("booked", "released", "rolling", "bundled", "held")
BEGUN = Q(bundle__started_at__isnull=False) | Q(bundle__actions__isnull=False)


def change_closed_words(order: Order) -> str:
    """Why an order can't be changed any more; "" where it can."""
    if order.stage not in BEFORE_LOADING:
        return (
            f"Order {order.number} is at “{order.get_stage_display().lower()}”; a change comes too late. Book what is "
            "needed beside it as an order of its own, or make a claim where something is wrong."
        )
    delivery = order.deliveries.first()
    if delivery is not None:
        return (
            f"Delivery {delivery.number} of order {order.number} is planned and its manifest lists what goes; a change "
            "comes too late. Book what is needed beside it as an order of its own."
        )
    return ""


def change_held(revision: QuoteRevision) -> str:
    """Why a change of an order can't be issued or accepted now; "" where it can."""
    change = ChangeOrder.objects.filter(revision=revision).select_related("order").first()
    return change_closed_words(change.order) if change is not None and change.applied_at is None else ""


@dataclass(frozen=True, slots=True)
class Found:
    """What a change would do to an order, piece by piece.

    `rows` are the order's pieces by (floor, copy, id) as agreed before, empty before release; `begun` are those in
    bundles that the shop has had in hand. `names` are the floors' names, of before where a floor is gone.
    """

    package: PackageResult
    difference: Difference
    rows: Mapping[PlacedPiece, Piece]
    begun: frozenset[PlacedPiece]
    names: Mapping[str, str]
    floors: tuple[str, ...]


def change_found(change: ChangeOrder) -> Found:
    """Compare what was agreed with what the change offers, its base offer before the builder picked.

    Steel that lies in begun bundles is matched first: it stays of use wherever it can.
    """
    was, now = agreed_offer(revision_by_pk(change.was_id)), agreed_offer(revision_by_pk(change.revision_id))
    before, package = package_of(was), package_of(now)
    titles = {
        str(entry["floor"]): floor.plan.name[:80]
        for entry, floor in zip(was.floors, before.floors, strict=True)
    }
    placed = pieces_of(was.floors, before)
    stored = {(row.floor, row.copy, row.piece_id): row for row in change.order.pieces.filter(dropped_by=None)}
    rows = {
        piece: stored[key]
        for piece in placed
        if (key := (titles[piece.floor], piece.copy, piece.id)) in stored
    }
    touched = set(change.order.pieces.filter(BEGUN).values_list("pk", flat=True))
    begun = frozenset(piece for piece, row in rows.items() if row.pk in touched)
    first = sorted(placed, key=lambda piece: piece not in begun)
    return Found(
        package=package,
        difference=difference(first, pieces_of(now.floors, package)),
        rows=rows,
        begun=begun,
        names={str(entry["floor"]): str(entry["name"]) for entry in (*was.floors, *now.floors)},
        floors=tuple(str(entry["floor"]) for entry in now.floors),
    )


def pieces_of(entries: Iterable[Mapping[str, Any]], package: PackageResult) -> list[PlacedPiece]:
    """Floors of an offer and of its package stand in the same order."""
    pairs = zip(entries, package.floors, strict=True)
    return [piece for entry, floor in pairs for piece in placed_pieces(str(entry["floor"]), floor)]
