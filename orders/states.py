"""Stages of an order and the listed moves between them (R44, from booking on). Imports nothing of ours."""

from __future__ import annotations

from django.db import models


class OrderStage(models.TextChoices):
    BOOKED = "booked", "Booked"
    RELEASED = "released", "Released"
    ROLLING = "rolling", "Rolling"
    BUNDLED = "bundled", "Bundled"
    LOADED = "loaded", "Loaded"
    DELIVERED = "delivered", "Delivered"
    CLOSED = "closed", "Closed"
    HELD = "held", "Held"
    CANCELLED = "cancelled", "Cancelled"


STAGE_LINE = ("bid", "issued", "booked", "released", "rolling", "bundled", "loaded", "delivered", "closed")

_BEFORE_LOADING = ("booked", "released", "rolling", "bundled")

# action -> {from: to}; `resume` goes back to the stage that was held, see services
ORDER_MOVES: dict[str, dict[str, str]] = {
    "release": {"booked": "released"},
    "roll": {"released": "rolling"},
    "bundle": {"rolling": "bundled"},
    "load": {"bundled": "loaded"},
    "deliver": {"loaded": "delivered"},
    "close": {"delivered": "closed"},
    "hold": dict.fromkeys(_BEFORE_LOADING, "held"),
    "cancel": dict.fromkeys((*_BEFORE_LOADING, "held"), "cancelled"),
}

# What happens to a bundle takes its order back a stage; nobody asks for these moves by themselves
ORDER_BACK: dict[str, dict[str, str]] = {
    "reopen": {"bundled": "rolling"},
    "unroll": {"rolling": "released"},
}


class BundleEdit(models.TextChoices):
    """A step of the planner on bundles."""

    SPLIT = "split", "Split"
    MERGE = "merge", "Merged"
    MOVE = "move", "Moved"
    FIX = "fix", "Fixed"
    FREE = "free", "Freed"
    AGAIN = "again", "Bundled anew"


class ShopVerb(models.TextChoices):
    """A tap on the shop's tablet."""

    START = "start", "Started"
    FINISH = "finish", "Finished"
    REOPEN = "reopen", "Opened again"
    SCRAP = "scrap", "Scrapped"
    REMAKE = "remake", "Made again"
    WEIGH = "weigh", "Weighed"
    UNDO = "undo", "Taken back"


class RemakeReason(models.TextChoices):
    """Why a piece is made again."""

    BENT = "bent", "Bent or twisted"
    LENGTH = "length", "Wrong length"
    HOLES = "holes", "Holes wrong"
    COIL = "coil", "Fault of the coil"
    LOST = "lost", "Not found"
    OTHER = "other", "Other"


class LinePlanState(models.TextChoices):
    """Where a line plan stands; the one in force stays until another is taken."""

    ASKED = "asked", "Waiting for the worker"
    MAKING = "making", "Being made"
    PROPOSED = "proposed", "To look at"
    IN_FORCE = "in_force", "In force"
    PAST = "past", "Replaced"
    REFUSED = "refused", "Not taken"
    STOPPED = "stopped", "Stopped"
    FAILED = "failed", "Failed"


class LabelUse(models.TextChoices):
    """What a sheet or roll is for."""

    PIECE = "piece", "Piece labels"
    BUNDLE = "bundle", "Bundle tags"
    CARTON = "carton", "Carton labels"


class ShopPaperKind(models.TextChoices):
    """A paper of the shop."""

    CUT_LIST = "cut_list", "Cut list"
    PIECE_LABELS = "piece_labels", "Piece labels"
    BUNDLE_TAGS = "bundle_tags", "Bundle tags"
    CARTON_LABELS = "carton_labels", "Carton labels"
    PACKING_LIST = "packing_list", "Packing list"


LABEL_PAPERS: dict[str, LabelUse] = {
    ShopPaperKind.PIECE_LABELS: LabelUse.PIECE,
    ShopPaperKind.BUNDLE_TAGS: LabelUse.BUNDLE,
    ShopPaperKind.CARTON_LABELS: LabelUse.CARTON,
}


class Gear(models.TextChoices):
    """What unloads on site."""

    TELEHANDLER = "telehandler", "Telehandler"
    FORKLIFT = "forklift", "Rough-terrain forklift"
    CRANE = "crane", "Crane"
    HAND = "hand", "By hand"


class LoadPlanState(models.TextChoices):
    """Where a plan of trucks stands."""

    ASKED = "asked", "Waiting for the worker"
    MAKING = "making", "Being made"
    PROPOSED = "proposed", "To look at"
    TAKEN = "taken", "Taken"
    REFUSED = "refused", "Not taken"
    STOPPED = "stopped", "Stopped"
    FAILED = "failed", "Failed"


class ReceiptVerb(models.TextChoices):
    """What somebody on site says of a bundle, a carton or the whole delivery."""

    TICK = "tick", "Ticked"
    UNTICK = "untick", "Tick taken back"
    SHORT = "short", "Short"
    DAMAGED = "damaged", "Damaged"
    WRONG = "wrong", "Wrong"
    SIGN = "sign", "Signed"


class ReceiptState(models.TextChoices):
    """Where a bundle or carton stands on site."""

    OPEN = "open", "Not ticked"
    RECEIVED = "received", "Received"
    SHORT = "short", "Short"
    DAMAGED = "damaged", "Damaged"
    WRONG = "wrong", "Wrong"


class ClaimKind(models.TextChoices):
    """What a claim is about."""

    SHORT = "short", "Short"
    DAMAGED = "damaged", "Damaged"
    WRONG = "wrong", "Wrong"
    OTHER = "other", "Other"


class ClaimState(models.TextChoices):
    """Where a claim stands (R49)."""

    OPEN = "open", "Open"
    REPLACING = "replacing", "Being replaced"
    REPLACED = "replaced", "Replaced"
    CREDITED = "credited", "Credited"
    REJECTED = "rejected", "Rejected"


class InvoiceKind(models.TextChoices):
    """What an item to invoice is for."""

    DEPOSIT = "deposit", "Deposit"
    DELIVERY = "delivery", "Delivery"
    CHANGE = "change", "Change order"
    CREDIT = "credit", "Credit"
    CANCELLED = "cancelled", "Cancelled order"


class NoticeTo(models.TextChoices):
    """Who is told of a move."""

    BUILDER = "builder", "Builder"
    SELLER = "seller", "Seller of the order"
    MANAGER = "manager", "Sales managers"
    PLANNER = "planner", "Planners"
    DISPATCHER = "dispatcher", "Dispatchers"
