"""Taking a tap back: the newest on its bundle, by who tapped, within two minutes."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final
from uuid import UUID

from framing.common.actors import Actor
from framing.common.errors import Clash, NotThere
from orders.models import ShopAction
from orders.services.moves import move_back
from orders.services.taps import RIGHTS, Outcome, Tap, Turn, tapped
from orders.shop_scope import is_again
from orders.states import OrderStage, ShopVerb

UNDO_FOR: Final = timedelta(minutes=2)
"""Pages offer it for ten seconds; a slow line may bring it later."""


def tap_undo(*, actor: Actor, at: datetime, undoes: UUID, tap: Tap | None = None) -> ShopAction:
    """Take a tap back, as if it had not been. One that changed nothing, or is taken back already, stays as it is.

    Raises:
        NotThere: no such tap of this person was counted.
        Clash: something else was done on the bundle since, or it is too late.
    """
    action = ShopAction.objects.select_related("bundle", "piece").filter(action_id=undoes).first()
    if action is None or actor.user is None or action.by_id != actor.user.pk:
        raise NotThere("That tap was not counted, so there is nothing to take back.")

    def undo(turn: Turn) -> Outcome:
        if not action.changed or ShopAction.objects.filter(undoes=action).exists():
            return Outcome(ShopVerb.UNDO, changed=False)
        _may_go(action, turn)
        _UNDO[ShopVerb(action.verb)](turn, action)
        return Outcome(ShopVerb.UNDO, changed=True, undoes=action)

    right = RIGHTS.get(action.verb, "finish")
    return tapped(
        actor=actor, at=at, bundle=action.bundle, right=right, tap=tap, change=undo, piece=action.piece
    )


def _may_go(action: ShopAction, turn: Turn) -> None:
    """Raise Clash, saying what to do instead, where a tap can't be taken back by itself any more."""
    if action.verb not in _UNDO:
        raise Clash(f"“{action.get_verb_display()}” is not taken back; do the next step instead.")
    done = turn.bundle.actions.filter(changed=True, taken_back=None).exclude(verb=ShopVerb.UNDO)
    newest = done.select_related("by").last()
    if newest is not None and newest.pk != action.pk:
        raise Clash(
            f"{newest.by.name} did something on bundle {turn.bundle.number} since"
            f" ({newest.get_verb_display().lower()}), so this is not taken back any more."
        )
    if turn.at - action.at > UNDO_FOR:
        raise Clash(
            f"It is too late to take that back. Open bundle {turn.bundle.number} again, or ask the planner."
        )


def _started_not(turn: Turn, action: ShopAction) -> None:
    """Not started; the order goes back to “released” where this very tap had moved it on."""
    turn.bundle.started_at, turn.bundle.started_by = None, ""
    turn.bundle.save(update_fields=["started_at", "started_by"])
    moved = turn.order.moves.order_by("id").last()
    if moved is None or (moved.at, moved.to_stage) != (action.at, OrderStage.ROLLING):
        return
    if not turn.order.bundles.filter(started_at__isnull=False).exists():
        move_back(
            turn.order, "unroll", actor=turn.actor, at=turn.at, verb="tap_undo", why="tapped by mistake"
        )


def _finished_not(turn: Turn, action: ShopAction) -> None:
    """Not finished; nor started where the finish alone had said so."""
    row = turn.bundle
    started = row.actions.filter(verb=ShopVerb.START, changed=True, taken_back=None).exists()
    if not started and row.started_at == action.at:
        row.started_at, row.started_by = None, ""
    row.finished_at, row.finished_by = None, ""
    row.save(update_fields=["started_at", "started_by", "finished_at", "finished_by"])
    if turn.order.stage == OrderStage.BUNDLED and not is_again(row):
        move_back(
            turn.order, "reopen", actor=turn.actor, at=turn.at, verb="tap_undo", why="tapped by mistake"
        )


def _scrapped_not(turn: Turn, action: ShopAction) -> None:
    """The piece is not asked for again; the tap and the audit keep that it was."""
    del turn
    assert action.piece is not None  # noqa: S101  # a scrap has one
    action.piece.remakes.filter(made_at=None).delete()


def _remade_not(turn: Turn, action: ShopAction) -> None:
    del turn
    assert action.piece is not None  # noqa: S101  # a remake has one
    row = action.piece.remakes.filter(made_at__isnull=False).latest("id")
    row.made_at, row.made_by = None, None
    row.save(update_fields=["made_at", "made_by"])


def _weighed_not(turn: Turn, action: ShopAction) -> None:
    """The weight before, if one was taken since the bundle was last opened."""
    earlier = turn.bundle.actions.filter(pk__lt=action.pk, changed=True, taken_back=None)
    opened = earlier.filter(verb=ShopVerb.REOPEN).last()
    weighed = earlier.filter(verb=ShopVerb.WEIGH, pk__gt=opened.pk if opened else 0).last()
    turn.bundle.weighed_lb = weighed.value if weighed else None
    turn.bundle.save(update_fields=["weighed_lb"])


_UNDO: Final = {
    ShopVerb.START: _started_not,
    ShopVerb.FINISH: _finished_not,
    ShopVerb.SCRAP: _scrapped_not,
    ShopVerb.REMAKE: _remade_not,
    ShopVerb.WEIGH: _weighed_not,
}
