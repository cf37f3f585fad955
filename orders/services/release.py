"""Release to the shop: what must stand before it, and the rows that it makes of the accepted snapshot (R44)."""

from __future__ import annotations

from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.outbox import outbox_add
from framing.common.zones import company_day, day_words
from framing.engine.members import Member
from framing.engine.members import Piece as Cut
from orders.change_facts import BEFORE_LOADING
from orders.models import Bundle, Carton, Order, Piece
from orders.release_reads import release_lines
from orders.services.moves import move_order, next_stage, order_locked
from orders.services.notices import notice_ask
from quotes.selectors import package_accepted
from quotes.snapshots import PackageResult

TENTH = Decimal("0.1")
HUNDREDTH = Decimal("0.01")
TAGS = "bundle_tags"


def order_release(*, actor: Actor, at: datetime, order: Order) -> Order:
    """Release to the shop: the accepted snapshot's bundles, pieces and cartons become rows; asks for tags.

    Raises:
        Clash: not at “booked” (so also the second time).
        Refused: something of the checklist is missing; the message names each line and what to do (R44).
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "release")
        stage = next_stage(row, "release")
        missing = [line for line in release_lines(row) if not line.ok]
        if missing:
            told = " ".join(f"{line.words} {line.todo}" for line in missing)
            raise Refused(f"Order {row.number} can't be released yet. {told}")
        _make_rows(row, package_accepted(row.revision))
        move_order(row, stage, actor=actor, at=at, verb="order_release")
        outbox_add(TAGS, str(row.pk), {"order": row.pk})
        notice_ask("released", row, at)
    return row


def order_deliver_on(*, actor: Actor, at: datetime, order: Order, deliver_on: date) -> Order:
    """Set the day on site that the order is due; the same day again changes nothing.

    Raises:
        Clash: loaded or over.
        Refused: a day that is over.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "order", "change", owner=row.owner, owned=True)
        if row.stage not in BEFORE_LOADING:
            raise Clash(f"Order {row.number} is at “{row.stage}”; its day is set before loading.")
        if row.deliver_on == deliver_on:
            return row
        if deliver_on < company_day(at):
            raise Refused(f"{day_words(deliver_on)} is over; name today or later.", field="deliver_on")
        was, row.deliver_on = row.deliver_on, deliver_on
        row.save(update_fields=["deliver_on"])
        change = {"deliver_on": [str(was or ""), str(deliver_on)]}
        audit_record(actor, "order_deliver_on", row, at=at, change=change)
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
    rows, floors = pieces_to_roll(order, package), [floor.plan.name[:80] for floor in package.floors]
    for row in rows:
        place = (floors.index(row.floor), row.copy, row.piece_id)
        row.bundle, row.position = places.get(place, (None, 0))
    Piece.objects.bulk_create(rows)


def pieces_to_roll(order: Order, package: PackageResult) -> list[Piece]:
    """Every piece of every copy of every floor as a row that is not stored and lies in no bundle yet."""
    rows = []
    for floor in package.floors:
        members = {member.id: member for member in floor.members}
        weights = {line.mark: line.weight_lb / line.pieces for line in floor.schedule}
        for copy in range(1, floor.plan.repeat + 1):
            for cut in floor.pieces:
                row = _piece(order, floor.plan.name, copy, cut, members[cut.member])
                row.position = 0
                row.weight_lb = _weight_of_one(weights[cut.mark])
                rows.append(row)
    return rows


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
