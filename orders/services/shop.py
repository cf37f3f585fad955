"""Rolling and finishing: what the shop does between release and the last bundle."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Final

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import Clash, Refused
from orders.floor_words import weight_words
from orders.models import Bundle, Order, Remake, ShopAction
from orders.services.moves import move_back, move_order, next_stage, order_locked, reason_given
from orders.services.taps import Outcome, Tap, Turn, stage_among, tapped
from orders.shop_limits import lift_limit_lb
from orders.shop_scope import is_again
from orders.states import OrderStage, ShopVerb

NAME_MOST: Final = 160
REASON_MOST: Final = 200
SCALE_MOST_LB: Final = Decimal(100_000)
WORK: Final = (OrderStage.RELEASED, OrderStage.ROLLING)
MADE: Final = (OrderStage.ROLLING, OrderStage.BUNDLED)


def order_roll(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Start rolling. Raises Clash where the order is not at “released”."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "bundle", "roll")
        move_order(row, next_stage(row, "roll"), actor=actor, at=at, verb="order_roll")
    return row


def bundle_start(*, actor: Actor, at: datetime, bundle: Bundle, tap: Tap | None = None) -> ShopAction:
    """Start one bundle; the first of an order moves it to “rolling”. A started one stays as it is.

    Raises Clash where the order is neither at “released” nor at “rolling”.
    """
    return tapped(actor=actor, at=at, bundle=bundle, right="roll", tap=tap, change=start)


def start(turn: Turn) -> Outcome:
    """The change of `bundle_start` on locked rows."""
    row = turn.bundle
    if row.started_at is not None:
        return Outcome(ShopVerb.START, changed=False)
    stage_among(turn, WORK, "a bundle is started")
    row.started_at, row.started_by = turn.at, turn.actor.name[:NAME_MOST]
    row.save(update_fields=["started_at", "started_by"])
    if turn.order.stage == OrderStage.RELEASED:
        stage = next_stage(turn.order, "roll")
        move_order(turn.order, stage, actor=turn.actor, at=turn.at, verb="order_roll")
    return Outcome(ShopVerb.START, changed=True)


def bundle_finish(*, actor: Actor, at: datetime, bundle: Bundle, tap: Tap | None = None) -> ShopAction:
    """Mark one bundle finished; the last one moves the order to “bundled”. A finished one stays as it is.

    Raises Clash where the order is not at “rolling”, or a piece of the bundle is to be made again.
    """
    return tapped(actor=actor, at=at, bundle=bundle, right="finish", tap=tap, change=finish)


def finish(turn: Turn) -> Outcome:
    """The change of `bundle_finish` on locked rows."""
    row = turn.bundle
    if row.finished_at is not None:
        return Outcome(ShopVerb.FINISH, changed=False)
    stage_among(turn, (OrderStage.ROLLING,), "a bundle is finished")
    _nothing_to_remake([row])
    name = turn.actor.name[:NAME_MOST]
    row.started_at, row.started_by = row.started_at or turn.at, row.started_by or name
    # two tablets: the earlier clock reading may get the lock later
    row.finished_at, row.finished_by = max(turn.at, row.started_at), name
    row.save(update_fields=["started_at", "started_by", "finished_at", "finished_by"])
    left = turn.order.bundles.filter(finished_at=None, replaces_claim=None, pieces__dropped_by=None)
    if turn.order.stage == OrderStage.ROLLING and not left.exists():
        stage = next_stage(turn.order, "bundle")
        move_order(turn.order, stage, actor=turn.actor, at=turn.at, verb="order_bundle")
    return Outcome(ShopVerb.FINISH, changed=True)


def _nothing_to_remake(bundles: list[Bundle]) -> None:
    waiting = Remake.objects.filter(piece__bundle__in=bundles, piece__dropped_by=None, made_at=None)
    waiting = waiting.select_related("piece__bundle")
    first = waiting.first()
    if first is None or first.piece.bundle is None:
        return
    count = len(waiting)
    pieces = "1 piece" if count == 1 else f"{count} pieces"
    raise Clash(
        f"Bundle {first.piece.bundle.number} waits for {pieces} to be made again, {first.piece.mark} among them."
        " Mark each as made, then finish the bundle."
    )


def order_bundle(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Mark all bundles finished that are not yet. Raises Clash as `bundle_finish`, and where none is left to do."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "bundle", "finish")
        stage = next_stage(row, "bundle")
        left = list(row.bundles.filter(finished_at=None, replaces_claim=None))
        _nothing_to_remake(left)
        for bundle in left:
            bundle_finish(actor=actor, at=at, bundle=bundle)
        row.refresh_from_db(fields=["stage"])
        if row.stage != stage:  # all were finished one by one before
            move_order(row, stage, actor=actor, at=at, verb="order_bundle")
    return row


def bundle_reopen(
    *, actor: Actor, at: datetime, bundle: Bundle, why: str, tap: Tap | None = None
) -> ShopAction:
    """Open a finished bundle again; a bundled order goes back to “rolling”. Its weight is asked for anew.

    Raises:
        Refused: no reason.
        Clash: the order is loaded already.
    """
    reason = reason_given(why)
    if len(reason) > REASON_MOST:
        words = f"A reason has at most {REASON_MOST} signs here; this one has {len(reason)}."
        raise Refused(words, field="why")

    def reopen(turn: Turn) -> Outcome:
        row = turn.bundle
        if row.finished_at is None:
            return Outcome(ShopVerb.REOPEN, changed=False, words=reason)
        stage_among(turn, MADE, "a bundle is opened again")
        row.finished_at, row.finished_by, row.weighed_lb = None, "", None
        row.save(update_fields=["finished_at", "finished_by", "weighed_lb"])
        if turn.order.stage == OrderStage.BUNDLED and not is_again(row):
            move_back(turn.order, "reopen", actor=turn.actor, at=turn.at, verb="bundle_reopen", why=reason)
        return Outcome(ShopVerb.REOPEN, changed=True, words=reason)

    return tapped(actor=actor, at=at, bundle=bundle, right="reopen", tap=tap, change=reopen)


def bundle_weigh(
    *, actor: Actor, at: datetime, bundle: Bundle, weighed_lb: Decimal, tap: Tap | None = None
) -> ShopAction:
    """Keep what the scale says, to a tenth of a pound; the tap's words warn where it is over or off.

    Raises:
        Refused: no weight.
        Clash: the order is not in work, or the bundle not started.
    """
    if not (weighed_lb.is_finite() and 0 < weighed_lb <= SCALE_MOST_LB):
        raise Refused(
            f"A bundle weighs more than 0 and at most {SCALE_MOST_LB:,} lb. Type what the scale says.",
            field="weighed_lb",
        )
    if weighed_lb != weighed_lb.quantize(Decimal("0.1")):
        raise Refused(f"“{weighed_lb}” is finer than a tenth of a pound.", field="weighed_lb")

    def weigh(turn: Turn) -> Outcome:
        row = turn.bundle
        words = weight_words(weighed_lb, row.weight_lb, lift_limit_lb(turn.order))
        if row.weighed_lb == weighed_lb:
            return Outcome(ShopVerb.WEIGH, changed=False, words=words, value=weighed_lb)
        stage_among(turn, MADE, "a bundle is weighed")
        if row.started_at is None:
            raise Clash(f"Bundle {row.number} is not started, so there is nothing to weigh. Start it first.")
        row.weighed_lb = weighed_lb
        row.save(update_fields=["weighed_lb"])
        return Outcome(ShopVerb.WEIGH, changed=True, words=words, value=weighed_lb)

    return tapped(actor=actor, at=at, bundle=bundle, right="weigh", tap=tap, change=weigh)
