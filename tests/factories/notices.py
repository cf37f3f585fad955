"""The company's choices of notices for tests."""

from __future__ import annotations

from datetime import UTC, datetime

from framing.common.actors import Actor
from framing.common.models import Role
from orders import services
from orders.notices import MOVES
from tests.factories import people


def choose(move: str, to: str, on: bool, *, by: Actor | None = None) -> None:
    manager = by or people.actor(Role.MANAGER)
    services.notice_choose(actor=manager, at=datetime.now(UTC), move=move, to=to, on=on)


def only(move: str, to: str) -> None:
    """Nobody is told of anything but this one of this move."""
    manager = people.actor(Role.MANAGER)
    for one in MOVES.values():
        for who in one.audiences:
            choose(one.key, who, (one.key, who) == (move, to), by=manager)
