"""What the shop did at an order that is being rolled: taps, scales, scrap and pieces made again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from typing import Final

from framing.common.actors import Actor
from orders import services as orders
from orders.models import Bundle, Order, Piece
from orders.states import RemakeReason

ON_THE_SCALE: Final = (Decimal("1.006"), Decimal("1.067"))
"""Weighed against computed: the first nearly so, the second off by more than a scale is."""


def tell_rolling(shop: Actor, order: Order, days: Iterator[datetime], finished: int) -> None:
    """Finish the first bundles, each weighed, a piece of the first made again; of the next one a piece is missing."""
    bundles = list(order.bundles.order_by("number")[: finished + 1])
    for place, bundle in enumerate(bundles[:finished]):
        orders.bundle_start(actor=shop, at=next(days), bundle=bundle)
        if place == 0:
            _made_again(shop, bundle, days)
        orders.bundle_finish(actor=shop, at=next(days), bundle=bundle)
        weighed = (Decimal(bundle.weight_lb) * ON_THE_SCALE[place % 2]).quantize(Decimal("0.1"))
        orders.bundle_weigh(actor=shop, at=next(days), bundle=bundle, weighed_lb=weighed)
    if len(bundles) > finished:
        _waits(shop, bundles[finished], days)


def _made_again(shop: Actor, bundle: Bundle, days: Iterator[datetime]) -> None:
    piece = _piece(bundle, 0)
    orders.piece_scrap(actor=shop, at=next(days), piece=piece, reason=RemakeReason.BENT)
    orders.piece_remade(actor=shop, at=next(days), piece=piece)


def _waits(shop: Actor, bundle: Bundle, days: Iterator[datetime]) -> None:
    orders.bundle_start(actor=shop, at=next(days), bundle=bundle)
    piece, words = _piece(bundle, 1), "The hole came 2 in off its place."
    orders.piece_scrap(actor=shop, at=next(days), piece=piece, reason=RemakeReason.HOLES, words=words)


def _piece(bundle: Bundle, place: int) -> Piece:
    return bundle.pieces.select_related("bundle").order_by("position")[place]
