"""Orders, what the shop makes of them, its lines, and what leaves the yard."""

from __future__ import annotations

from orders.label_models import LabelStock
from orders.line_models import (
    ChangeOverTime,
    Closure,
    CoilCount,
    Line,
    LinePin,
    LinePlan,
    LineRun,
    LineSettings,
    LineShift,
)
from orders.order_models import Order, OrderMove
from orders.out_models import Delivery, TruckLoad
from orders.paper_models import ShopPaper
from orders.release_models import ChangeOrder, Deposit, DrawingSet
from orders.shop_models import Bundle, BundleChange, Carton, Piece, Remake, ShopAction

__all__ = [
    "Bundle",
    "BundleChange",
    "Carton",
    "ChangeOrder",
    "ChangeOverTime",
    "Closure",
    "CoilCount",
    "Delivery",
    "Deposit",
    "DrawingSet",
    "LabelStock",
    "Line",
    "LinePin",
    "LinePlan",
    "LineRun",
    "LineSettings",
    "LineShift",
    "Order",
    "OrderMove",
    "Piece",
    "Remake",
    "ShopAction",
    "ShopPaper",
    "TruckLoad",
]
