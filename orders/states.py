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
