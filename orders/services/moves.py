"""What every order verb shares: the locked row and the recorded move (R44)."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Refused
from framing.common.transitions import check_transition
from orders.models import Order, OrderMove
from orders.states import ORDER_BACK, ORDER_MOVES

REASON_MOST = 400


def order_locked(pk: int) -> Order:
    """The order's row, locked until the caller's transaction ends; every verb begins here.

    Locked first and joined then: a change order may give the row another revision while we wait for it.
    """
    Order.objects.select_for_update().only("pk").get(pk=pk)
    rows = Order.objects.select_related("revision__quote", "owner")
    return rows.defer("revision__result", "revision__floors").get(pk=pk)


def next_stage(order: Order, action: str) -> str:
    """The stage that `action` leads to. Raises Clash where the move is not listed."""
    return check_transition(ORDER_MOVES, order.stage, action, f"Order {order.number}")


def move_order(
    order: Order,
    to_stage: str,
    *,
    actor: Actor,
    at: datetime,
    verb: str,
    why: str = "",
    more: Mapping[str, Any] | None = None,
) -> None:
    """Set the stage of a locked order and record the move and the audit entry, which takes `more` facts."""
    from_stage = order.stage
    order.stage = to_stage
    order.save(update_fields=["stage", "held_from", "drawings_approved_at", "drawings_approved_by"])
    OrderMove.objects.create(
        order=order, at=at, from_stage=from_stage, to_stage=to_stage, by=actor.name[:160], why=why
    )
    change = {"stage": [from_stage, to_stage], **(more or {})}
    audit_record(actor, verb, order, at=at, change=change, why=why)


def move_back(order: Order, action: str, *, actor: Actor, at: datetime, verb: str, why: str = "") -> None:
    """Take a locked order back a stage, as what happened to a bundle asks for. Raises Clash where it isn't listed."""
    stage = check_transition(ORDER_BACK, order.stage, action, f"Order {order.number}")
    move_order(order, stage, actor=actor, at=at, verb=verb, why=why)


def reason_given(why: str) -> str:
    """A reason in words. Raises Refused where there is none, or one that is too long to keep."""
    reason = why.strip()
    if not reason:
        raise Refused("Say why, in a few words; it is kept with the move.", field="why")
    if len(reason) > REASON_MOST:
        raise Refused(f"A reason has at most {REASON_MOST} signs; this one has {len(reason)}.", field="why")
    return reason
