"""Orders, what the shop makes of them, its lines, and what leaves the yard."""

from __future__ import annotations

from orders.calendar_models import CalendarEntry
from orders.claim_models import Claim, InvoiceFile, InvoiceItem
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
from orders.notice_models import NoticeChoice, NoticeMissed
from orders.order_models import Order, OrderMove
from orders.out_models import (
    Delivery,
    DeliveryMove,
    LinkLanguage,
    LoadPlan,
    Trip,
    TripChange,
    Truck,
    TruckLoad,
)
from orders.paper_models import ShopPaper
from orders.receipt_models import ReceiptAction, ReceiptLine, SitePhoto
from orders.release_models import ChangeOrder, Deposit, DrawingSet
from orders.shop_models import Bundle, BundleChange, Carton, PastCode, Piece, Remake, ShopAction
from orders.trip_models import LoadTick

__all__ = [
    "Bundle",
    "BundleChange",
    "CalendarEntry",
    "Carton",
    "ChangeOrder",
    "ChangeOverTime",
    "Claim",
    "Closure",
    "CoilCount",
    "Delivery",
    "DeliveryMove",
    "Deposit",
    "DrawingSet",
    "InvoiceFile",
    "InvoiceItem",
    "LabelStock",
    "Line",
    "LinePin",
    "LinePlan",
    "LineRun",
    "LineSettings",
    "LineShift",
    "LinkLanguage",
    "LoadPlan",
    "LoadTick",
    "NoticeChoice",
    "NoticeMissed",
    "Order",
    "OrderMove",
    "PastCode",
    "Piece",
    "ReceiptAction",
    "ReceiptLine",
    "Remake",
    "ShopAction",
    "ShopPaper",
    "SitePhoto",
    "Trip",
    "TripChange",
    "Truck",
    "TruckLoad",
]
