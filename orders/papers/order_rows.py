"""The rows of orders that their shop papers are made of, read for many orders at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from orders.models import Bundle, Carton, Order, Piece, Remake


@dataclass(frozen=True)
class OrderRows:
    """An order with its bundles by number, the pieces that are still wanted, its cartons, and what is made again.

    `pieces` lie bundle by bundle from the bottom up, then those that go in packs; `again` is by bundle, as asked.
    """

    order: Order
    bundles: tuple[Bundle, ...]
    pieces: tuple[Piece, ...]
    cartons: tuple[Carton, ...]
    again: Mapping[int, list[Remake]] = field(default_factory=dict)

    @cached_property
    def held(self) -> tuple[tuple[Bundle, list[Piece]], ...]:
        """Bundles that hold a piece which is still wanted, with those pieces from the bottom up."""
        by_bundle: dict[int | None, list[Piece]] = {}
        for piece in self.pieces:
            by_bundle.setdefault(piece.bundle_id, []).append(piece)
        return tuple((bundle, by_bundle[bundle.pk]) for bundle in self.bundles if bundle.pk in by_bundle)

    @cached_property
    def loose(self) -> list[Piece]:
        """Pieces that go in packs."""
        return [piece for piece in self.pieces if piece.bundle_id is None]


def rows_of(order: Order) -> OrderRows:
    """The rows of one order."""
    return rows_of_orders([order])[order.pk]


def rows_of_orders(orders: Iterable[Order]) -> dict[int, OrderRows]:
    """The rows of some orders by their keys; four queries for all of them."""
    known = {order.pk: order for order in orders}
    bundles: dict[int, list[Bundle]] = {pk: [] for pk in known}
    for bundle in Bundle.objects.filter(order__in=known).order_by("number"):
        bundles[bundle.order_id].append(bundle)
    numbers = {bundle.pk: bundle.number for rows in bundles.values() for bundle in rows}
    last = max(numbers.values(), default=0) + 1
    pieces: dict[int, list[Piece]] = {pk: [] for pk in known}
    wanted = Piece.objects.filter(order__in=known, dropped_by=None)
    for piece in sorted(wanted, key=lambda p: (numbers.get(p.bundle_id or 0, last), p.position, p.pk)):
        pieces[piece.order_id].append(piece)
    cartons: dict[int, list[Carton]] = {pk: [] for pk in known}
    for carton in Carton.objects.filter(order__in=known).order_by("number"):
        cartons[carton.order_id].append(carton)
    again = remakes_open(numbers)
    return {
        pk: OrderRows(order, tuple(bundles[pk]), tuple(pieces[pk]), tuple(cartons[pk]), again)
        for pk, order in known.items()
    }


def remakes_open(bundles: Iterable[int]) -> dict[int, list[Remake]]:
    """Pieces of bundles that are to be made again and are still wanted, by bundle, as asked for."""
    rows = Remake.objects.filter(piece__bundle__in=list(bundles), piece__dropped_by=None, made_at=None)
    found: dict[int, list[Remake]] = {}
    for row in rows.select_related("piece").order_by("id"):
        found.setdefault(row.piece.bundle_id or 0, []).append(row)
    return found
