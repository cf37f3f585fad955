"""Claims read: lists, one with all that was said of it, and what a builder sees."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import F, Q, QuerySet

from framing.common.access import may, owns
from framing.common.actors import Actor
from orders.claim_words import (
    SHORTEST_WORDS,
    kind_for_builder,
    next_for_builder,
    piece_words,
    thing_for_builder,
)
from orders.models import Bundle, Carton, Claim, Delivery, Order, Piece, ReceiptAction, SitePhoto
from orders.selectors import BIG, missing
from orders.site_reads import rows_on
from orders.states import ClaimState, OrderStage

WHOLE = "whole"


def claim_list(*, state: str = "", order: Order | None = None) -> QuerySet[Claim]:
    """Claims, newest first; `state` is of `ClaimState`, or "waiting" for those that hold up their order."""
    rows = Claim.objects.select_related(
        "order__revision__quote__project__builder", "bundle", "carton", "delivery", "replacement",
        "replacement_carton", "opened_by", "decided_by", "link", "split_from",
    )  # fmt: skip
    rows = rows.defer(*(f"order__{name}" for name in BIG))
    if state == "waiting":
        rows = rows.filter(ended_at=None)
    elif state:
        rows = rows.filter(state=state)
    return rows.filter(order=order) if order else rows


def claim_get(public_id: str) -> Claim:
    """One claim. Raises NotThere."""
    return claim_list().filter(public_id=public_id).first() or missing()


def claim_by_pk(pk: int) -> Claim:
    return claim_list().get(pk=pk)


def claims_to_deliver() -> QuerySet[Claim]:
    """Claims whose replacement is made, or is a carton, and on no delivery yet, oldest first.

    A carton is packed from stock, as those of the order are: nobody ticks that, so it may go as soon as it is decided.
    """
    made = Q(replacement__finished_at__isnull=False, replacement__delivery=None)
    packed = Q(replacement_carton__isnull=False, replacement_carton__delivery=None)
    return claim_list(state=ClaimState.REPLACING).filter(made | packed).order_by("id")


def cartons_to_pack() -> QuerySet[Claim]:
    """Claims whose carton is packed again and on no loaded truck yet: what goes first is first, then the oldest."""
    rows = claim_list(state=ClaimState.REPLACING).filter(
        replacement_carton__isnull=False, replacement_carton__load__loaded_at=None
    )
    rows = rows.exclude(order__stage=OrderStage.HELD).select_related("replacement_carton__delivery")
    return rows.order_by(F("replacement_carton__delivery__planned_for").asc(nulls_last=True), "id")


@dataclass(frozen=True, slots=True)
class PieceRow:
    """Equal pieces of a claim."""

    mark: str
    count: int
    profile: str
    length_16: int
    zone: str


def claim_pieces(claim: Claim) -> list[PieceRow]:
    """The pieces that a claim names, equal ones together; none where it is on a whole bundle or a carton."""
    return piece_rows(claim.pieces.order_by("mark", "pk"))


def piece_rows(pieces: Iterable[Piece]) -> list[PieceRow]:
    counts: dict[tuple[str, str, int, str], int] = {}
    for piece in pieces:
        key = (piece.mark, piece.profile, piece.length_16, piece.zone)
        counts[key] = counts.get(key, 0) + 1
    return [
        PieceRow(mark, count, profile, length, zone)
        for (mark, profile, length, zone), count in counts.items()
    ]


def claim_reports(claim: Claim) -> QuerySet[ReceiptAction]:
    """All that was said on site of the thing that a claim is about, oldest first."""
    rows = ReceiptAction.objects.select_related("link", "by")
    if claim.bundle_id is None and claim.carton_id is None:
        return rows.none()
    return rows.filter(bundle=claim.bundle, carton=claim.carton).order_by("id")


def claim_photos(claim: Claim) -> QuerySet[SitePhoto]:
    """Photos that came with what was said on site."""
    acts = claim_reports(claim).values("action_id")
    return SitePhoto.objects.filter(action_id__in=acts).order_by("id")


def things_of(delivery: Delivery) -> list[tuple[str, str]]:
    """What a claim on a delivery can be about, as choices: bundles, cartons, the delivery as a whole."""
    bundles = Bundle.objects.filter(rows_on(delivery)).order_by("number")
    cartons = Carton.objects.filter(rows_on(delivery)).order_by("number")
    return [
        *((f"bundle-{row.public_id}", f"Bundle {row.number}: {row.zone}") for row in bundles),
        *((f"carton-{row.number}", f"Carton {row.number}: {row.title}") for row in cartons),
        (WHOLE, "The delivery as a whole"),
    ]


def thing_of(delivery: Delivery, key: str) -> tuple[Bundle | None, Carton | None]:
    """The bundle or carton of a choice, or neither. Raises NotThere for what is not on the delivery."""
    kind, _, name = key.partition("-")
    if kind == "bundle":
        return Bundle.objects.filter(rows_on(delivery), public_id=name).first() or missing(), None
    if kind == "carton" and name.isdecimal():
        return None, Carton.objects.filter(rows_on(delivery), number=int(name)).first() or missing()
    return None, None


@dataclass(frozen=True, slots=True)
class BuilderClaim:
    """A claim as the builder reads it, in his language: what about, how it stands, what comes next, why."""

    number: str
    thing: str
    pieces: str
    kind: str
    words: str
    state: str
    next: str
    why: str


def claims_for_builder(delivery: Delivery) -> list[BuilderClaim]:
    """Claims on a delivery and those that it brings something for, newest first.

    No word of what staff say among themselves and no amount: who stands on site is not who pays.
    """
    brought = Q(replacement__delivery=delivery) | Q(replacement_carton__delivery=delivery)
    rows = claim_list().filter(Q(delivery=delivery) | brought).prefetch_related("pieces")
    rows = rows.select_related("replacement__delivery", "replacement_carton__delivery")
    return [
        BuilderClaim(
            row.number,
            thing_for_builder(row),
            piece_words(row.pieces.all()),
            kind_for_builder(row),
            "" if row.words in SHORTEST_WORDS.values() else row.words,
            row.state,
            next_for_builder(row, delivery),
            "" if row.state == ClaimState.REPLACING else row.why,
        )
        for row in rows
    ]


def may_open(actor: Actor, delivery: Delivery) -> bool:
    """Whether somebody may open a claim on a delivery now."""
    settled = delivery.order.stage in (OrderStage.CLOSED, OrderStage.CANCELLED)
    own = owns(actor, delivery.order.owner)
    return delivery.loaded_at is not None and not settled and may(actor.audience, "claim", "open", own=own)
