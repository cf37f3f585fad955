"""What the pages share."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from django.http import HttpRequest

from framing.common.models import User
from orders.models import OrderMove
from orders.states import OrderStage

DEEDS = {
    OrderStage.BOOKED: "booked the order",
    OrderStage.RELEASED: "released the order to the shop",
    OrderStage.ROLLING: "started rolling",
    OrderStage.BUNDLED: "finished the bundles",
    OrderStage.LOADED: "loaded the trucks",
    OrderStage.DELIVERED: "recorded the receipt",
    OrderStage.CLOSED: "closed the order",
    OrderStage.HELD: "held the order",
    OrderStage.CANCELLED: "cancelled the order",
}


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One line of a history: a sentence without its full stop, the reason given, and when."""

    words: str
    why: str
    at: datetime


def user_of(request: HttpRequest) -> User:
    """The signed-in member of staff; the gate lets nobody else through."""
    return cast("User", request.user)


def order_history(moves: Iterable[OrderMove]) -> list[HistoryLine]:
    """Moves of an order as sentences, newest first."""
    lines = [HistoryLine(f"{move.by} {_deed(move)}", move.why, move.at) for move in moves]
    return lines[::-1]


def _deed(move: OrderMove) -> str:
    stage = OrderStage(move.to_stage)
    if move.from_stage == OrderStage.HELD and stage != OrderStage.CANCELLED:
        return f"took the order up again, {stage.label.lower()} as before"
    return DEEDS[stage]
