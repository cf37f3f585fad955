"""Change orders (R45): asked for, taken back, and put into the order once the builder accepted them."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotAllowed
from framing.common.outbox import outbox_add
from orders.change_facts import change_closed_words, change_found
from orders.change_reads import difference_json, shown_of
from orders.models import ChangeOrder, Order
from orders.services.change_rows import Arranged, rearrange
from orders.services.invoices import invoice_change
from orders.services.moves import move_back, move_order, next_stage, order_locked, reason_given
from orders.states import OrderStage
from quotes.change_reads import agreed_offer
from quotes.models import Acceptance
from quotes.services import change_draft, change_end

TAGS = "bundle_tags"


def change_ask(*, actor: Actor, at: datetime, order: Order, why: str) -> ChangeOrder:
    """Draft a change of an order from its project's floors as they are saved now.

    The order goes on as agreed until the builder accepts the change; it is not released meanwhile.

    Raises:
        Clash: loaded, over, on a planned delivery, or a change is open already.
        Refused: no reason, no floor, one that can't be built, or missing prices.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "change_order", "ask", owner=row.owner, owned=True)
        reason = reason_given(why)
        _refuse_closed(row)
        known = _open(row)
        if known is not None:
            raise Clash(
                f"Change {known.number} of order {row.number} is open. Finish it, or take it back, then ask again."
            )
        if actor.user is None:
            raise NotAllowed("A change is asked for by a person.")
        draft = change_draft(actor=actor, quote=row.revision.quote, at=at, why=reason)
        last = row.changes.aggregate(last=Max("number"))["last"] or 0
        change = ChangeOrder.objects.create(
            order=row,
            number=last + 1,
            was=row.revision,
            revision=draft,
            why=reason,
            asked_by=actor.user,
            created_at=at,
        )
        told = {"change": change.number, "revision": str(draft)}
        audit_record(actor, "change_ask", row, at=at, change=told, why=reason)
    return change


def change_withdraw(*, actor: Actor, at: datetime, change: ChangeOrder, why: str) -> ChangeOrder:
    """Take a change back: its offer can't be accepted any more and the order stays as agreed.

    Raises:
        Clash: in the order already, taken back before, or accepted, unless the order has gone too far for it.
        Refused: no reason.
    """
    with transaction.atomic():
        row = order_locked(change.order_id)
        require(actor, "change_order", "withdraw", owner=row.owner, owned=True)
        reason = reason_given(why)
        mine = _still_open(row, change)
        too_late = bool(change_closed_words(row))
        if _accepted(mine) is not None and not too_late:
            raise Clash(f"The builder accepted change {mine.number}; put it into the order.")
        _end(actor, at, row, mine, reason, too_late=too_late)
    return mine


def changes_end(*, actor: Actor, at: datetime, order: Order, why: str) -> None:
    """Take back the open change of a locked order that ends."""
    known = _open(order)
    if known is not None:
        _end(actor, at, order, known, why, too_late=True)


def change_apply(*, actor: Actor, at: datetime, change: ChangeOrder) -> ChangeOrder:
    """Put an accepted change into its order; a second time changes nothing.

    What was begun stays: its pieces that are needed no more are flagged. The order goes by the change's revision
    from here on. Before release the drawings want a new yes; after it the accepted offer, which holds them, is one.

    Raises Clash: not accepted, taken back, or the order has gone too far.
    """
    with transaction.atomic():
        row = order_locked(change.order_id)
        require(actor, "change_order", "apply", owner=row.owner, owned=True)
        mine = ChangeOrder.objects.select_for_update(of=("self",)).get(pk=change.pk)
        if mine.applied_at is not None:
            return mine
        mine = _still_open(row, mine)
        accepted = _accepted(mine)
        if accepted is None:
            raise Clash(f"The builder has not accepted change {mine.number}; it can't go into the order yet.")
        _refuse_closed(row)
        _apply(actor, at, row, mine, accepted)
    return mine


def _apply(actor: Actor, at: datetime, row: Order, mine: ChangeOrder, accepted: Acceptance) -> None:
    """Everything of `change_apply` on locked rows."""
    found, was = change_found(mine), agreed_offer(row.revision)
    shown = shown_of(found)
    now = agreed_offer(mine.revision)
    price = now.total - was.total
    row.revision = mine.revision
    row.save(update_fields=["revision"])
    is_booked = (row.held_from or row.stage) == OrderStage.BOOKED
    arranged = Arranged() if is_booked else rearrange(row, mine, found)
    mine.applied_at, mine.price_change = at, price
    mine.difference = difference_json(shown) | {"bundles": arranged.as_json}
    mine.save(update_fields=["applied_at", "price_change", "difference"])
    invoice_change(at=at, change=mine, tax=now.tax - was.tax)
    _drawings(row, mine, accepted, at, is_booked=is_booked)
    told = {
        "change": mine.number,
        "revision": [str(mine.was), str(mine.revision)],
        "bundles": arranged.as_json,
    }
    audit_record(actor, "change_apply", row, at=at, change=told, why=mine.why)
    if not is_booked:
        _stage(actor, at, row, mine)
        outbox_add(TAGS, f"{row.pk} change {mine.pk}", {"order": row.pk, "change_order": mine.pk})


def _drawings(row: Order, mine: ChangeOrder, accepted: Acceptance, at: datetime, *, is_booked: bool) -> None:
    """Whose yes the drawings have from here on."""
    row.drawings_approved_at = None if is_booked else accepted.at
    row.drawings_approved_by = "" if is_booked else accepted.name[:160]
    row.save(update_fields=["drawings_approved_at", "drawings_approved_by"])
    waiting = row.drawing_sets.filter(answered_at=None).first()
    if waiting is None:
        return
    waiting.answered_at, waiting.approved, waiting.name = at, False, accepted.name
    waiting.words = f"Change {mine.number} was accepted; these drawings show the floors before it."
    waiting.recorded_by, waiting.heard = mine.asked_by, f"The change's acceptance, {accepted.revision}."
    waiting.save(update_fields=["answered_at", "approved", "name", "words", "recorded_by", "heard"])


def _stage(actor: Actor, at: datetime, row: Order, mine: ChangeOrder) -> None:
    """An order whose bundles are all finished is bundled; new bundles take it back to rolling."""
    left = row.bundles.filter(finished_at=None, pieces__dropped_by=None).exists()
    why = f"change {mine.number}"
    here = row.held_from or row.stage
    if here == OrderStage.BUNDLED and left:
        to = OrderStage.ROLLING
    elif here == OrderStage.ROLLING and not left:
        to = OrderStage.BUNDLED
    else:
        return
    if row.held_from:
        row.held_from = to
        row.save(update_fields=["held_from"])
    elif to == OrderStage.ROLLING:
        move_back(row, "reopen", actor=actor, at=at, verb="change_apply", why=why)
    else:
        move_order(row, next_stage(row, "bundle"), actor=actor, at=at, verb="change_apply", why=why)


def _open(row: Order) -> ChangeOrder | None:
    return row.changes.filter(applied_at=None, withdrawn_at=None).select_related("revision__quote").first()


def _still_open(row: Order, change: ChangeOrder) -> ChangeOrder:
    """The change read afresh. Raises Clash where it is over."""
    joined: Any = ChangeOrder.objects.select_related("revision__quote", "was__quote", "asked_by")
    mine: ChangeOrder = joined.get(pk=change.pk)
    mine.order = row
    if mine.withdrawn_at is not None:
        raise Clash(f"Change {mine.number} of order {row.number} was taken back.")
    if mine.applied_at is not None:
        raise Clash(f"Change {mine.number} is in order {row.number} already. Ask for another change.")
    return mine


def _accepted(change: ChangeOrder) -> Acceptance | None:
    return Acceptance.objects.filter(revision=change.revision_id).select_related("revision__quote").first()


def _refuse_closed(row: Order) -> None:
    words = change_closed_words(row)
    if words:
        raise Clash(words)


def _end(actor: Actor, at: datetime, row: Order, mine: ChangeOrder, why: str, *, too_late: bool) -> None:
    mine.withdrawn_at = at
    mine.save(update_fields=["withdrawn_at"])
    change_end(actor=actor, revision=mine.revision, at=at, why=why, accepted_too=too_late)
    audit_record(actor, "change_withdraw", row, at=at, change={"change": mine.number}, why=why)
