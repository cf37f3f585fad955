"""How claims end: made again, credited, or rejected with a reason (R49)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.outbox import outbox_add
from framing.common.templatetags.figures import money
from orders.claim_facts import credit_room
from orders.claim_words import claim_thing, piece_words
from orders.models import Claim, Delivery, Order
from orders.services.claim_again import Line, bundle_again, carton_again
from orders.services.claim_parts import claim_of_rest, set_apart
from orders.services.invoices import invoice_credit
from orders.services.moves import order_locked, reason_given
from orders.services.notices import notice_ask
from orders.states import ClaimState, OrderStage

AGAIN_LABEL = "again_label"


def claim_replace(
    *,
    actor: Actor,
    at: datetime,
    claim: Claim,
    why: str = "",
    contents: Sequence[Line] = (),
    marks: Mapping[str, int] | None = None,
) -> Claim:
    """Give it back to the shop: a small bundle of the same pieces with the same marks, or a carton.

    Args:
        contents: what of the claimed carton is packed again, as `Carton.contents`; none for all of it.
        marks: which of the claimed pieces are made again; none for all. The others stay open in a claim of their own.

    Raises:
        Clash: decided already, or the order is closed or cancelled.
        Refused: the claim is on neither a bundle nor a carton, the carton does not hold so much, or the claim does
            not name so many of a mark.
    """
    with transaction.atomic():
        order, row = _to_decide(claim, actor, "replace")
        if contents and row.carton is None:
            raise Refused(
                "Only a carton is packed in part; of a bundle goes again what its claim names.",
                field="contents",
            )
        if marks and row.bundle is None:
            raise Refused("Marks are of a bundle; say what of the carton goes again.", field="marks")
        rest = set_apart(row, marks) if marks else []
        if row.bundle is not None:
            row.replacement = bundle_again(order, row, row.bundle)
            made = f"bundle {row.replacement.number}: {piece_words(row.replacement.pieces.all())}"
        elif row.carton is not None:
            row.replacement_carton = carton_again(order, row, row.carton, contents)
            made = f"carton {row.replacement_carton.number}"
        else:
            raise Refused("Name the bundle or carton in a claim of its own; then it can be made again.")
        _decided(row, ClaimState.REPLACING, actor, at, why.strip()[:400])
        row.save()
        change = {"state": [ClaimState.OPEN, ClaimState.REPLACING], "made": made}
        audit_record(actor, "claim_replace", row, at=at, change=change, why=row.why)
        if rest:
            claim_of_rest(actor, at, row, rest)
        outbox_add(AGAIN_LABEL, row.number, {"claim": row.pk})
    return row


def claim_credit(*, actor: Actor, at: datetime, claim: Claim, amount: Decimal, why: str) -> Claim:
    """Credit an amount with tax in the offer's currency.

    Raises:
        Clash: decided already.
        Refused: no whole cents, nothing, more than the order comes to with what is credited by then, or no reason.
    """
    with transaction.atomic():
        order, row = _to_decide(claim, actor, "credit")
        _check_credit(order, amount)
        _decided(row, ClaimState.CREDITED, actor, at, reason_given(why))
        row.credit, row.ended_at = amount, at
        row.save()
        invoice_credit(at=at, claim=row)
        change = {"state": [ClaimState.OPEN, ClaimState.CREDITED], "credit": str(amount)}
        audit_record(actor, "claim_credit", row, at=at, change=change, why=row.why)
    return row


def claim_reject(*, actor: Actor, at: datetime, claim: Claim, why: str) -> Claim:
    """Reject it with a reason that the builder reads. Raises Clash where it is decided, Refused without a reason."""
    with transaction.atomic():
        _order, row = _to_decide(claim, actor, "reject")
        _decided(row, ClaimState.REJECTED, actor, at, reason_given(why))
        row.ended_at = at
        row.save()
        change = {"state": [ClaimState.OPEN, ClaimState.REJECTED]}
        audit_record(actor, "claim_reject", row, at=at, change=change, why=row.why)
    return row


def claims_replaced(*, actor: Actor, at: datetime, delivery: Delivery) -> None:
    """End the claims whose replacement came with a delivery; within the transaction that receives it."""
    open_rows = Claim.objects.select_for_update(of=("self",)).filter(state=ClaimState.REPLACING)
    for field in ("replacement", "replacement_carton"):
        for row in open_rows.filter(**{f"{field}__delivery": delivery}):
            row.state, row.ended_at = ClaimState.REPLACED, at
            row.save(update_fields=["state", "ended_at"])
            change = {"state": [ClaimState.REPLACING, ClaimState.REPLACED], "delivery": delivery.number}
            audit_record(actor, "claim_replaced", row, at=at, change=change)


def check_no_open_claim(order: Order) -> None:
    """Raise Clash, naming the claims, where one of a locked order still waits for its end."""
    rows = order.claims.filter(ended_at=None).order_by("id")
    waiting = [
        f"{row.number} on {claim_thing(row)}" for row in rows.select_related("bundle", "carton", "delivery")
    ]
    if waiting:
        raise Clash(
            f"Order {order.number} can't close while a claim is open: {', '.join(waiting)}. Replace, credit or"
            " reject each; a replacement ends when it is received."
        )


def _to_decide(claim: Claim, actor: Actor, verb: str) -> tuple[Order, Claim]:
    order = order_locked(claim.order_id)
    require(actor, "claim", verb)
    row = Claim.objects.select_for_update(of=("self",)).get(pk=claim.pk)
    if row.state != ClaimState.OPEN:
        raise Clash(f"Claim {row.number} is {row.get_state_display().lower()} already; load the page again.")
    if order.stage in (OrderStage.CLOSED, OrderStage.CANCELLED):
        raise Clash(f"Order {order.number} is at “{order.stage}”; its claims are settled.")
    return order, row


def _decided(claim: Claim, state: ClaimState, actor: Actor, at: datetime, why: str) -> None:
    claim.state, claim.decided_at, claim.decided_by, claim.why = state, at, actor.user, why
    notice_ask("decided", claim.order, at, about=claim, why=why)


def _check_credit(order: Order, amount: Decimal) -> None:
    if not amount.is_finite() or amount <= 0 or amount != round(amount, 2):
        raise Refused("Give the amount in whole cents, more than nothing.", field="amount")
    room = credit_room(order)
    if amount > room.left:
        more, given, total, left = (
            money(value, order.revision.currency)
            for value in (amount, room.given + amount, room.total, room.left)
        )
        raise Refused(
            f"With {more} more, {given} would be credited; order {order.number} comes to {total}, of which {left} is"
            " left.",
            field="amount",
        )
