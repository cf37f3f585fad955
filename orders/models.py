"""Orders, what the shop makes of them, its lines, and what leaves the yard."""

from __future__ import annotations

from orders.label_models import LabelStock
from orders.line_models import Closure, CoilCount, Line, LinePin, LinePlan, LineRun, LineShift
from orders.order_models import Order, OrderMove
from orders.out_models import Delivery, TruckLoad
from orders.release_models import ChangeOrder, Deposit, DrawingSet
from orders.shop_models import Bundle, BundleChange, Carton, Piece, Remake, ShopAction

__all__ = [
    "Bundle",
    "BundleChange",
    "Carton",
    "ChangeOrder",
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
    "LineShift",
    "Order",
    "OrderMove",
    "Piece",
    "Remake",
    "ShopAction",
    "TruckLoad",
]
