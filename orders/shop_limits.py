"""Limits of the shop that an order's practice set fixes."""

from __future__ import annotations

from decimal import Decimal

from framing.projects.selectors import practice_of
from orders.order_models import Order


def lift_limit_lb(order: Order) -> Decimal:
    """The most that a bundle of the order may weigh, by the practice set of its accepted revision (R33)."""
    return Decimal(repr(practice_of(order.revision.practice_set).lift_limit_lb))
