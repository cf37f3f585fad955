"""How claims end: made again, credited, or rejected with a reason (R49)."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.outbox import outbox_add
from orders.claim_words import claim_thing, piece_words
from orders.models import Bundle, Carton, Claim, Delivery, Order, Piece
from orders.release_reads import accepted_total
from orders.services.invoices import invoice_credit
from orders.services.moves import order_locked, reason_given
from orders.services.notices import notice_ask
from orders.services.release import TENTH
from orders.states import ClaimState, OrderStage

TAGS = "bundle_tags"


def claim_replace(
    *, actor: Actor, at: datetime, claim: Claim, why: str = "", contents: Sequence[Sequence[object]] = ()
) -> Claim:
    """Give it back to the shop: a small bundle of the same pieces with the same marks, or a carton.

    Args:
        contents: what the new carton holds, as `Carton.contents`; none for all that the claimed one held.

    Raises:
        Clash: decided already, or the order is closed or cancelled.
        Refused: the claim is on neither a bundle nor a carton.
    """
    with transaction.atomic():
        order, row = _to_decide(claim, actor, "replace")
        if row.bundle is not None:
            row.replacement = _bundle_again(order, row, row.bundle)
            made = f"bundle {row.replacement.number}: {piece_words(row.replacement.pieces.all())}"
        elif row.carton is not None:
            row.replacement_carton = _carton_again(order, row, row.carton, contents)
            made = f"carton {row.replacement_carton.number}"
        else:
            raise Refused("Name the bundle or carton in a claim of its own; then it can be made again.")
        _decided(row, ClaimState.REPLACING, actor, at, why.strip()[:400])
        row.save()
        change = {"state": [ClaimState.OPEN, ClaimState.REPLACING], "made": made}
        audit_record(actor, "claim_replace", row, at=at, change=change, why=row.why)
        if row.replacement is not None:
            outbox_add(TAGS, f"{order.pk}-{row.number}", {"order": order.pk})
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
    given = sum(
        (row.credit or Decimal(0) for row in order.claims.filter(state=ClaimState.CREDITED)), Decimal(0)
    )
    total = accepted_total(order)
    if given + amount > total:
        raise Refused(
            f"With {amount} more, {given + amount} would be credited; order {order.number} comes to {total}.",
            field="amount",
        )


def _bundle_again(order: Order, claim: Claim, bundle: Bundle) -> Bundle:
    """A short bundle of what the claim names, longest at the bottom; the marks stay."""
    pieces = list(claim.pieces.all()) or list(bundle.pieces.filter(dropped_by=None))
    if not pieces:
        raise Refused(f"Bundle {bundle.number} holds no piece that can be made again.")
    pieces.sort(key=lambda piece: (-piece.length_16, piece.sequence, piece.pk))
    made = Bundle.objects.create(
        order=order,
        number=_next(order.bundles.aggregate(last=Max("number"))["last"]),
        profile=bundle.profile,
        zone=bundle.zone,
        length_16=pieces[0].length_16,
        weight_lb=sum((piece.weight_lb for piece in pieces), Decimal(0)).quantize(TENTH),
        short=True,
        fixed=True,
        note=f"Replacement, claim {claim.number}",
    )
    Piece.objects.bulk_create(_piece_again(piece, made, place) for place, piece in enumerate(pieces, 1))
    return made


def _piece_again(piece: Piece, bundle: Bundle, place: int) -> Piece:
    return Piece(
        order_id=piece.order_id,
        bundle=bundle,
        floor=piece.floor,
        copy=piece.copy,
        piece_id=piece.piece_id,
        mark=piece.mark,
        kind=piece.kind,
        zone=piece.zone,
        profile=piece.profile,
        length_16=piece.length_16,
        weight_lb=piece.weight_lb,
        holes_16=piece.holes_16,
        sequence=piece.sequence,
        position=place,
        replaces=piece,
    )


def _carton_again(order: Order, claim: Claim, carton: Carton, contents: Sequence[Sequence[object]]) -> Carton:
    held = [list(line) for line in contents] or carton.contents
    return Carton.objects.create(
        order=order,
        number=_next(order.cartons.aggregate(last=Max("number"))["last"]),
        title=f"{carton.title} (claim {claim.number})"[:120],
        contents=held,
        weight_lb=carton.weight_lb,
    )


def _next(last: int | None) -> int:
    return (last or 0) + 1
