"""Which moves of an order may send a mail, to whom, in which words, and what is on to begin with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from orders.states import NoticeTo
from quotes.mail_kinds import (
    CLAIM_DECIDED,
    CLAIM_OPENED,
    DELIVERY_DROPPED,
    DELIVERY_LOADED,
    DELIVERY_MOVED,
    DELIVERY_PLANNED,
    DELIVERY_RECEIVED,
    ORDER_BOOKED,
    ORDER_NEWS,
    ORDER_RELEASED,
)

B, S, M, P, D = NoticeTo.BUILDER, NoticeTo.SELLER, NoticeTo.MANAGER, NoticeTo.PLANNER, NoticeTo.DISPATCHER


@dataclass(frozen=True, slots=True)
class Move:
    """A move that people may be told of.

    Attributes:
        news: what staff read, after “Order SO-2026-0001: ”.
        kind: the mail that a builder gets; "" where he is never told by this.
        begins: who is told until the company chooses otherwise.
    """

    key: str
    title: str
    news: str
    kind: str
    begins: frozenset[NoticeTo]

    @property
    def audiences(self) -> tuple[NoticeTo, ...]:
        return tuple(to for to in NoticeTo if self.kind or to != NoticeTo.BUILDER)

    def mail_kind(self, to: str) -> str:
        return self.kind if to == NoticeTo.BUILDER else ORDER_NEWS


MOVES: Final[Mapping[str, Move]] = {
    move.key: move
    for move in (
        Move("booked", "Order booked", "it is booked", ORDER_BOOKED, frozenset({P})),
        Move("drawings", "Drawings sent", "its drawings went to the builder", "", frozenset()),
        Move("released", "Released to the shop", "it is released to the shop", ORDER_RELEASED, frozenset()),
        Move("planned", "Delivery planned", "a delivery is planned", DELIVERY_PLANNED, frozenset({B})),
        Move("moved", "Delivery moved", "a delivery goes at another time", DELIVERY_MOVED, frozenset({B, S})),
        Move("dropped", "Delivery dropped", "a delivery is dropped", DELIVERY_DROPPED, frozenset({B, S})),
        Move("loaded", "Loaded, on its way", "a delivery is loaded", DELIVERY_LOADED, frozenset({B})),
        Move("delivered", "Received on site", "a delivery is received", DELIVERY_RECEIVED, frozenset({S})),
        Move("claim", "Claim opened", "a claim is open", CLAIM_OPENED, frozenset({D, M})),
        Move("decided", "Claim decided", "a claim is decided", CLAIM_DECIDED, frozenset({B, S})),
    )
}  # fmt: skip
