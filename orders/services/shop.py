"""From the approved drawings to the last finished bundle."""

from __future__ import annotations

from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.outbox import outbox_add
from framing.engine.members import Member
from framing.engine.members import Piece as Cut
from orders.models import Bundle, Carton, Order, Piece
from orders.services.moves import move_order, next_stage, order_locked
from orders.states import OrderStage
from quotes.selectors import package_accepted
from quotes.snapshots import PackageResult

TENTH = Decimal("0.1")
HUNDREDTH = Decimal("0.01")
TAGS = "bundle_tags"


def drawings_approve(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Record that the drawings are approved; a second time changes nothing. Raises Clash after release."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "approve")
        if row.drawings_approved_at is not None:
            return row
        if row.stage != OrderStage.BOOKED:
            raise Clash(
                f"Order {row.number} is at “{row.stage}”; drawings are approved while it is at “booked”."
            )
        row.drawings_approved_at = at
        row.drawings_approved_by = actor.name[:160]
        row.save(update_fields=["drawings_approved_at", "drawings_approved_by"])
        audit_record(actor, "drawings_approve", row, at=at)
    return row


def order_release(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Release to the shop: the accepted snapshot's bundles, pieces and cartons become rows; asks for tags.

    Raises:
        Clash: not at “booked” (so also the second time).
        Refused: the drawings are not approved (R44).
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "release")
        stage = next_stage(row, "release")
        if row.drawings_approved_at is None:
            raise Refused(f"The drawings of order {row.number} are not approved yet. Approve them first.")
        _make_rows(row, package_accepted(row.revision))
        move_order(row, stage, actor=actor, at=at, verb="order_release")
        outbox_add(TAGS, str(row.pk), {"order": row.pk})
    return row


def order_roll(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Start rolling. Raises Clash where the order is not at “released”."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "bundle", "roll")
        move_order(row, next_stage(row, "roll"), actor=actor, at=at, verb="order_roll")
    return row


def bundle_finish(*, actor: Actor, at: datetime, bundle: Bundle) -> Bundle:
    """Mark one bundle finished; the last one moves the order to “bundled”. A second time changes nothing.

    Raises Clash where the order is not at “rolling”.
    """
    with transaction.atomic():
        order = order_locked(bundle.order_id)
        require(actor, "bundle", "finish")
        row = Bundle.objects.select_for_update().get(pk=bundle.pk)
        if row.finished_at is not None:
            return row
        stage = next_stage(order, "bundle")
        row.started_at, row.finished_at = row.started_at or at, at
        row.started_by, row.finished_by = row.started_by or actor.name[:160], actor.name[:160]
        row.save(update_fields=["started_at", "started_by", "finished_at", "finished_by"])
        audit_record(actor, "bundle_finish", row, at=at)
        if not order.bundles.filter(finished_at=None).exists():
            move_order(order, stage, actor=actor, at=at, verb="order_bundle")
    return row


def order_bundle(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Mark all bundles finished that are not yet. Raises Clash where the order is not at “rolling”."""
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "bundle", "finish")
        stage = next_stage(row, "bundle")
        left = row.bundles.filter(finished_at=None)
        left.filter(started_at=None).update(started_at=at, started_by=actor.name[:160])
        left.update(finished_at=at, finished_by=actor.name[:160])
        move_order(row, stage, actor=actor, at=at, verb="order_bundle")
    return row


def _weight_of_one(pounds: float) -> Decimal:
    """Pounds of one piece to a hundredth, half up."""
    return Decimal(repr(pounds)).quantize(HUNDREDTH, ROUND_HALF_UP)


def weight(pounds: float) -> Decimal:
    """Pounds to a tenth, half up."""
    return Decimal(repr(pounds)).quantize(TENTH, ROUND_HALF_UP)


def _make_rows(order: Order, package: PackageResult) -> None:
    """Bundles with their pieces from the bottom up, then pieces too short to bundle, then cartons."""
    places: dict[tuple[int, int, str], tuple[Bundle, int]] = {}
    for bundle in package.bundles:
        made = Bundle.objects.create(
            order=order,
            number=bundle.number,
            profile=bundle.profile,
            zone=bundle.zone[:120],
            length_16=bundle.length_16,
            weight_lb=weight(bundle.weight_lb),
            short=bundle.short,
            note=bundle.note[:200],
        )
        from_bottom = sorted(bundle.pieces, key=lambda p: (-p.length_16, p.sequence, p.floor, p.copy))
        for position, piece in enumerate(from_bottom, 1):
            places[piece.floor, piece.copy, piece.piece] = (made, position)
    _make_pieces(order, package, places)
    Carton.objects.bulk_create(
        Carton(
            order=order,
            number=carton.number,
            title=carton.title[:120],
            contents=[list(line) for line in carton.contents],
            weight_lb=weight(carton.weight_lb),
        )
        for carton in package.cartons
    )


def _make_pieces(
    order: Order, package: PackageResult, places: dict[tuple[int, int, str], tuple[Bundle, int]]
) -> None:
    """Every piece to roll, of every copy of every floor; `places` has bundle and position of bundled ones."""
    rows = []
    for index, floor in enumerate(package.floors):
        members = {member.id: member for member in floor.members}
        weights = {line.mark: line.weight_lb / line.pieces for line in floor.schedule}
        for copy in range(1, floor.plan.repeat + 1):
            for cut in floor.pieces:
                bundle, position = places.get((index, copy, cut.id), (None, 0))
                row = _piece(order, floor.plan.name, copy, cut, members[cut.member])
                row.bundle, row.position = bundle, position
                row.weight_lb = _weight_of_one(weights[cut.mark])
                rows.append(row)
    Piece.objects.bulk_create(rows)


def _piece(order: Order, floor: str, copy: int, cut: Cut, member: Member) -> Piece:
    return Piece(
        order=order,
        floor=floor[:80],
        copy=copy,
        piece_id=cut.id,
        mark=cut.mark,
        kind=member.kind,
        zone=cut.zone[:80],
        profile=cut.profile,
        length_16=cut.length_16,
        holes_16=list(member.holes_16),
        sequence=cut.sequence,
    )
