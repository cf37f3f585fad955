"""A change order beside the order's rows (R45): which piece is which, what was begun, whether it can go on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import F, Q

from framing.engine.result import PackageResult
from orders.changes import Difference, PlacedPiece, difference, placed_pieces, take_up
from orders.models import ChangeOrder, Order, Piece
from quotes.change_reads import agreed_offer
from quotes.models import QuoteRevision
from quotes.selectors import package_of, revision_by_pk

Key = tuple[str, int, str]
BEFORE_LOADING = ("booked", "released", "rolling", "bundled", "held")
BEGUN = Q(bundle__started_at__isnull=False) | Q(bundle__actions__isnull=False)
# flagged in a bundle that was finished by then, so it is rolled, or that is open still, so it can be
AT_HAND = Q(bundle__finished_at=None) | Q(bundle__finished_at__lte=F("dropped_by__applied_at"))


def change_closed_words(order: Order) -> str:
    """Why an order can't be changed any more; "" where it can."""
    if order.stage not in BEFORE_LOADING:
        return (
            f"Order {order.number} is at “{order.get_stage_display().lower()}”; a change comes too late. Book what is "
            "needed beside it as an order of its own, or make a claim where something is wrong."
        )
    delivery = order.deliveries.filter(dropped_at=None).first()
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
    bundles that the shop has had in hand; `spare` is steel that earlier changes flagged and that can be used again.
    `names` are the floors' names, of before where a floor is gone.
    """

    package: PackageResult
    difference: Difference
    rows: Mapping[PlacedPiece, Piece]
    begun: frozenset[PlacedPiece]
    spare: Mapping[PlacedPiece, Piece]
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
    spare = spare_pieces(change.order, {title: floor for floor, title in titles.items()})
    return Found(
        package=package,
        difference=take_up(difference(first, pieces_of(now.floors, package)), spare),
        rows=rows,
        begun=begun,
        spare=spare,
        names={str(entry["floor"]): str(entry["name"]) for entry in (*was.floors, *now.floors)},
        floors=tuple(str(entry["floor"]) for entry in now.floors),
    )


def spare_pieces(order: Order, floors: Mapping[str, str]) -> dict[PlacedPiece, Piece]:
    """Flagged steel of an order that lies in a bundle; `floors` are what names floors for good, by their titles.

    What was flagged in an open bundle that was finished since was never rolled, and is left out.
    """
    rows = order.pieces.filter(AT_HAND, dropped_by__isnull=False, bundle__isnull=False).order_by("id")
    return {_lying(row, floors): row for row in rows}


def _lying(row: Piece, floors: Mapping[str, str]) -> PlacedPiece:
    """A piece that stands nowhere on the plan; its code is its id."""
    return PlacedPiece(
        floor=floors.get(row.floor, row.floor),
        copy=row.copy,
        id=row.code,
        mark=row.mark,
        kind=row.kind,
        profile=row.profile,
        place=("", "", 0, 0),
        low_16=0,
        length_16=row.length_16,
        holes_16=tuple(row.holes_16),
    )


def pieces_of(entries: Iterable[Mapping[str, Any]], package: PackageResult) -> list[PlacedPiece]:
    """Floors of an offer and of its package stand in the same order."""
    pairs = zip(entries, package.floors, strict=True)
    return [piece for entry, floor in pairs for piece in placed_pieces(str(entry["floor"]), floor)]
