"""What every tap of the shop shares: it counts once, under the lock of its order, and leaves one row of history.

A tap's number is made where it is tapped. Sent again it changes nothing and is answered as before.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Final
from uuid import UUID, uuid4

from django.db import IntegrityError, transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.models import User
from orders.models import Bundle, Order, Piece, ShopAction
from orders.services.moves import order_locked
from orders.shop_scope import stages_for
from orders.states import OrderStage, ShopVerb

WORDS_MOST: Final = 200
RIGHTS: Final[dict[str, str]] = {
    ShopVerb.START: "roll",
    ShopVerb.FINISH: "finish",
    ShopVerb.REOPEN: "reopen",
    ShopVerb.SCRAP: "remake",
    ShopVerb.REMAKE: "remake",
    ShopVerb.WEIGH: "weigh",
}
"""The verb of the access table on a bundle that each tap needs."""


@dataclass(frozen=True, slots=True)
class Tap:
    """A tap's own number, made where it was tapped, and that clock's time, which is for people only."""

    action_id: UUID = field(default_factory=uuid4)
    tapped_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """One tap while it is counted: the locked order and bundle, who taps and when."""

    order: Order
    bundle: Bundle
    actor: Actor
    user: User
    at: datetime


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a tap came to: whether anything changed, which verb it was, and what is kept with it."""

    verb: ShopVerb
    changed: bool
    words: str = ""
    value: Decimal | None = None
    undoes: ShopAction | None = None


Change = Callable[[Turn], Outcome]


def tapped(
    *,
    actor: Actor,
    at: datetime,
    bundle: Bundle,
    right: str,
    tap: Tap | None,
    change: Change,
    piece: Piece | None = None,
) -> ShopAction:
    """Count one tap on a bundle: `change` does it on locked rows and says what it came to.

    Raises:
        NotThere: the bundle is no more (it was bundled anew).
        Refused: the tap's number stands for another tap.
        Clash: what `change` refuses.
    """
    tap = tap or Tap()
    try:
        with transaction.atomic():
            order = order_locked(bundle.order_id)
            require(actor, "bundle", right)
            user = _person(actor)
            again = ShopAction.objects.filter(action_id=tap.action_id).select_related("bundle").first()
            if again is not None:
                return _same(again, user, bundle, piece)
            turn = Turn(order, _bundle_locked(bundle), actor, user, at)
            _check_in_yard(turn.bundle)
            return _kept(turn, tap, piece, change(turn))
    except IntegrityError as error:
        if "action_id" not in str(error):
            raise
        raise _other_tap() from None


def _check_in_yard(bundle: Bundle) -> None:
    """What is on a loaded truck stays as it is, while the rest of its order is rolled."""
    if bundle.load is not None and bundle.load.loaded_at is not None:
        raise Clash(
            f"Bundle {bundle.number} is loaded with delivery {bundle.load.delivery}; what is wrong with it becomes a"
            " claim."
        )


def _person(actor: Actor) -> User:
    if actor.user is None:
        raise NotAllowed("A tap of the shop needs somebody who is signed in.")
    return actor.user


def _same(action: ShopAction, user: User, bundle: Bundle, piece: Piece | None) -> ShopAction:
    """The tap that has this number. Raises Refused where it was another's or on something else."""
    piece_id = piece.pk if piece else None
    if (action.by_id, action.bundle_id, action.piece_id) != (user.pk, bundle.pk, piece_id):
        raise _other_tap()
    return action


def _other_tap() -> Refused:
    return Refused("This tap has the number of another one. Load the page again and tap once more.")


def _bundle_locked(bundle: Bundle) -> Bundle:
    row = Bundle.objects.select_for_update().filter(pk=bundle.pk).first()
    if row is None:
        raise NotThere("This bundle is no more: its order was bundled anew. Load the page again.")
    return row


def _kept(turn: Turn, tap: Tap, piece: Piece | None, outcome: Outcome) -> ShopAction:
    action = ShopAction.objects.create(
        action_id=tap.action_id,
        verb=outcome.verb,
        bundle=turn.bundle,
        piece=piece,
        by=turn.user,
        at=turn.at,
        tapped_at=tap.tapped_at,
        value=outcome.value,
        words=outcome.words[:WORDS_MOST],
        changed=outcome.changed,
        undoes=outcome.undoes,
    )
    if outcome.changed:
        _audited(turn, piece, outcome)
    return action


def _audited(turn: Turn, piece: Piece | None, outcome: Outcome) -> None:
    change: dict[str, str] = {}
    if piece is not None:
        change["piece"] = f"{piece.mark} {piece.code}"
    if outcome.value is not None:
        change["value"] = str(outcome.value)
    if outcome.undoes is not None:
        change["taken back"] = outcome.undoes.verb
    verb = f"bundle_{outcome.verb}"
    audit_record(turn.actor, verb, turn.bundle, at=turn.at, change=change, why=outcome.words)


def stage_among(turn: Turn, stages: Collection[str], doing: str) -> None:
    """Raise Clash, saying what to do instead, where the bundle's order is at none of the stages."""
    order = turn.order
    if order.stage in stages_for(turn.bundle, stages):
        return
    if order.stage == OrderStage.HELD:
        raise Clash(f"Order {order.number} is held. Leave its bundles as they are and ask the planner.")
    possible = " or ".join(f"“{stage}”" for stage in stages)
    raise Clash(f"Order {order.number} is at “{order.stage}”; {doing} while its order is at {possible}.")
