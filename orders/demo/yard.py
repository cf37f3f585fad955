"""The demo company's trucks."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from framing.common.actors import Actor
from orders import services as orders

TRUCKS: Final = (
    ("Long flatbed", "KRL 481", "48 ft", "8 ft 6 in", "8 ft", 4, 48_000),
    ("Short flatbed", "KRL 207", "32 ft", "8 ft 6 in", "7 ft", 4, 26_000),
    ("Crane truck", "KRL 633", "24 ft", "8 ft", "6 ft 6 in", 3, 18_000),
)
"""Invented, of the sizes that such trucks have."""


def tell_trucks(dispatcher: Actor, now: datetime) -> None:
    """Three trucks, entered long ago."""
    for name, plate, length, width, height, tiers, payload_lb in TRUCKS:
        orders.truck_save(
            actor=dispatcher,
            at=now - timedelta(days=90),
            truck=None,
            name=name,
            plate=plate,
            deck_length=length,
            deck_width=width,
            stack_height=height,
            tiers=tiers,
            payload_lb=payload_lb,
        )
