"""The sheets and rolls that the demo company prints its labels on."""

from __future__ import annotations

from dataclasses import asdict
from datetime import datetime

from framing.common.actors import Actor
from orders.papers.sizes import PRESETS
from orders.services import stock_make

STOCKS = ("piece-letter", "piece-roll", "bundle-roll", "carton-roll")


def tell_stocks(actor: Actor, at: datetime) -> None:
    """Letter sheets for pieces, which are usual, and rolls for the rest."""
    for key in STOCKS:
        use, name, stock = PRESETS[key]
        stock_make(actor=actor, at=at, name=name, use=use.value, sizes=asdict(stock))
