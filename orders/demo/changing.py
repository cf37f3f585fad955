"""What changed after an order was booked in the demo company's story (R45)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from framing.common.actors import SYSTEM, Actor
from framing.projects import services as projects
from framing.projects.selectors import floor_version
from orders import services as orders
from orders.models import Order
from quotes import services as quotes

STAIR: Final = "The stair gets two steps more: its opening grows by 1 ft."
LONGER_STAIR: Final = ["3' 6\"", "11'"]
ROOM: Final = "The studio grows by 4 ft along the yard."
LONGER_ROOM: Final = [["0", "0"], ["34'", "0"], ["34'", "17' 4\""], ["0", "17' 4\""]]


def tell_change(seller: Actor, order: Order, contact: str, days: Iterator[datetime], how: str) -> None:
    """Draft and issue a change: a stair's is accepted on the phone and “applied”, a room's is “offered” and waits."""
    applied = how == "applied"
    _redraw(seller, order, next(days), stair=applied)
    why = STAIR if applied else ROOM
    change = orders.change_ask(actor=seller, at=next(days), order=order, why=why)
    key = f"demo-change-{change.pk}"
    offer = quotes.revision_issue(actor=seller, revision=change.revision, key=key, at=next(days))
    if not applied:
        return
    at, said = next(days), "Said yes on the phone; the site waits."
    quotes.quote_accept(actor=seller, revision=offer, name=contact, key=f"{key}-yes", at=at, why=said)
    orders.change_apply(actor=SYSTEM, at=at, change=change)


def _redraw(seller: Actor, order: Order, at: datetime, *, stair: bool) -> None:
    """Save the first floor with a longer stair, or with a longer room."""
    floor = order.revision.quote.project.floors.get(position=1)
    document = dict(floor_version(floor).document)
    if stair:
        first, *others = document["openings"]
        document["openings"] = [{**first, "size": LONGER_STAIR}, *others]
    else:
        document["outline"] = LONGER_ROOM
    projects.floor_save(actor=seller, at=at, floor=floor, document=document, base_version=floor.version)
