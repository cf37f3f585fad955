"""Which bundles are for the shop: those of orders in work, and what replaces something that a claim found (R49)."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from django.db.models import Exists, OuterRef, Q

from orders.models import Bundle, Piece
from orders.states import ClaimState, OrderStage

AGAIN_AT: Final = (
    OrderStage.RELEASED,
    OrderStage.ROLLING,
    OrderStage.BUNDLED,
    OrderStage.LOADED,
    OrderStage.DELIVERED,
)
"""Stages of an order at which a replacement is made: any but held, closed and cancelled."""


def for_the_shop(stages: Collection[str]) -> Q:
    """Bundles of orders at these stages, and replacements that are not delivered, wherever their order stands."""
    again = Q(replaces_claim__state=ClaimState.REPLACING, order__stage__in=AGAIN_AT)
    return Q(order__stage__in=stages) | again


def is_again(bundle: Bundle) -> bool:
    """Whether a bundle replaces something: it never moves its order's stage."""
    return bundle.pk is not None and hasattr(bundle, "replaces_claim")


def stages_for(bundle: Bundle, stages: Collection[str]) -> Collection[str]:
    """The stages of its order at which something may be done to this bundle."""
    return (*stages, *(stage for stage in AGAIN_AT if stage not in stages)) if is_again(bundle) else stages


def still_wanted() -> Exists:
    """Bundles with at least one piece that the order needs; steel that changes dropped altogether stays in the yard."""
    return Exists(Piece.objects.filter(bundle=OuterRef("pk"), dropped_by=None))
