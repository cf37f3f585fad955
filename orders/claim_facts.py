"""What one needs to know to decide a claim: what the thing holds, where it goes, what it is worth, what comes next."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from django.core.cache import cache
from django.db.models import Sum
from django.urls import reverse

from framing.drawing.unloading import unloading_svg
from framing.engine.result import FloorResult
from orders.claim_reads import claim_list
from orders.invoice_shares import NOTHING, running
from orders.models import Bundle, Carton, Claim, Order, Piece
from orders.release_reads import accepted_total
from orders.selectors import accepted_package
from orders.states import ClaimState, OrderStage

KEPT_S: Final = 30 * 24 * 3600
PLACES_MOST: Final = 4
FROM_STOCK: Final = (
    "It is packed from stock by its label, as every carton is; only its going on the truck is ticked."
)


@dataclass(frozen=True, slots=True)
class CreditRoom:
    """What an order comes to with its changes, and what of it is credited by now; with tax."""

    total: Decimal
    given: Decimal

    @property
    def left(self) -> Decimal:
        return self.total - self.given


def credit_room(order: Order) -> CreditRoom:
    """How much may still be credited on an order: never more than the builder accepted."""
    rows = order.claims.filter(state=ClaimState.CREDITED)
    given: Decimal | None = rows.aggregate(sum=Sum("credit"))["sum"]
    return CreditRoom(accepted_total(order), given or NOTHING)


@dataclass(frozen=True, slots=True)
class HeldRow:
    """Equal pieces of a bundle, and how many of them a claim names."""

    mark: str
    count: int
    claimed: int
    profile: str
    length_16: int
    place: str


def held_rows(claim: Claim) -> list[HeldRow]:
    """All that the claimed bundle holds, from the first to be set; a claim that names no piece is on all of it."""
    if claim.bundle is None:
        return []
    named = set(claim.pieces.values_list("pk", flat=True))
    rows: dict[tuple[str, str, int, str], list[bool]] = {}
    for piece in claim.bundle.pieces.filter(dropped_by=None).order_by("sequence", "pk"):
        place = f"{piece.floor}: {piece.zone}" if piece.zone else piece.floor
        key = (piece.mark, piece.profile, piece.length_16, place)
        rows.setdefault(key, []).append(not named or piece.pk in named)
    return [HeldRow(mark, len(is_in), sum(is_in), *rest) for (mark, *rest), is_in in rows.items()]  # type: ignore[arg-type]


def claimed_pieces(claim: Claim) -> list[Piece]:
    """The pieces that a claim on a bundle names, or all that are needed of it."""
    named = list(claim.pieces.order_by("sequence", "pk"))
    if named or claim.bundle is None:
        return named
    return list(claim.bundle.pieces.filter(dropped_by=None).order_by("sequence", "pk"))


def claimed_lb(claim: Claim) -> Decimal | None:
    """Pounds of what a claim is about; None where it is on a delivery as a whole."""
    if claim.bundle is not None:
        return sum((piece.weight_lb for piece in claimed_pieces(claim)), NOTHING)
    return claim.carton.weight_lb if claim.carton is not None else None


def worth_by_weight(claim: Claim) -> Decimal | None:
    """A guide for a credit: what the claimed things are of the accepted total by weight, as deliveries share it.

    None where nothing is weighed.
    """
    pounds, order = claimed_lb(claim), claim.order
    sums = [
        rows.filter(order=order, replaces_claim=None).aggregate(sum=Sum("weight_lb"))["sum"]
        for rows in (Bundle.objects.all(), Carton.objects.all())
    ]
    whole = sum((found or NOTHING for found in sums), NOTHING)
    if not pounds or not whole:
        return None
    return min(running(accepted_total(order), pounds, whole), accepted_total(order))


# --- where it goes ---


@dataclass(frozen=True, slots=True)
class Where:
    """A floor with the claimed pieces lit; the picture is SVG."""

    title: str
    svg: str


def where_it_goes(claim: Claim) -> list[Where]:
    """The floors that the claimed pieces belong to, at most four, each as a picture with these pieces lit."""
    lots: dict[tuple[str, int], list[str]] = {}
    for piece in claimed_pieces(claim):
        lots.setdefault((piece.floor, piece.copy), []).append(piece.piece_id)
    keys = {key: _digest(claim, key, ids) for key, ids in list(lots.items())[:PLACES_MOST]}
    kept: dict[str, str] = cache.get_many(keys.values())
    floors: Mapping[str, FloorResult] = {}
    if len(kept) < len(keys):
        floors = {floor.plan.name: floor for floor in accepted_package(claim.order).floors}
    found = []
    for (floor, copy), digest in keys.items():
        title = floor if copy == 1 else f"{floor} ({copy})"
        svg = kept.get(digest)
        if svg is None and floor in floors:
            svg = unloading_svg(floors[floor], {1: lots[floor, copy]}, title)
            cache.set(digest, svg, KEPT_S)
        if svg is not None:
            found.append(Where(title, svg))
    return found


def _digest(claim: Claim, key: tuple[str, int], ids: Iterable[str]) -> str:
    """Changes with what the picture shows; a change order may give the floors another revision."""
    facts = json.dumps([claim.order_id, claim.order.revision_id, *key, sorted(ids)])
    return f"claimed-{hashlib.sha256(facts.encode()).hexdigest()[:24]}"


# --- what comes next ---


@dataclass(frozen=True, slots=True)
class Step:
    """What a claim waits for, in words; `url` leads there, `act` is what a reader needs to go on, "" for nothing."""

    title: str
    words: str
    url: str = ""
    verb: str = ""
    act: tuple[str, str] | None = None


def next_step(claim: Claim) -> Step | None:
    """What comes next; None where a claim has ended."""
    if claim.ended_at is not None:
        return None
    if claim.state == ClaimState.OPEN:
        words = "A dispatcher has it made again or rejects it; a sales manager may also credit it."
        return Step("To decide.", words)
    if claim.order.stage == OrderStage.HELD:
        return Step(
            "On hold.", f"Order {claim.order.number} is held; nothing is made again until it goes on."
        )
    return _on_its_way(claim) or _in_the_yard(claim)


def _on_its_way(claim: Claim) -> Step | None:
    made = claim.replacement or claim.replacement_carton
    delivery = made.delivery if made is not None else None
    if made is None or delivery is None:
        return None
    url = reverse("orders:delivery_page", args=[delivery.public_id])
    day = f"{delivery.planned_for:%b} {delivery.planned_for.day}"
    what, title = _again_words(claim), _again_title(claim)
    if delivery.loaded_at is not None:
        words = f"{what} is on its way with delivery {delivery.number}; the claim ends when that is received."
        return Step(title, words, url, "See the delivery")
    if isinstance(made, Bundle) and made.finished_at is None:
        words = f"{what} is still to roll; delivery {delivery.number} on {day} waits for it."
        return Step(title, words, url, "See the delivery")
    packed = f" {FROM_STOCK}" if claim.replacement_carton else ""
    words = f"{what} goes with delivery {delivery.number} on {day}.{packed}"
    return Step(title, words, url, "See the delivery")


def _in_the_yard(claim: Claim) -> Step:
    what, title = _again_words(claim), _again_title(claim)
    made = claim.replacement
    if made is not None and made.finished_at is None:
        done = "is being rolled" if made.started_at else "waits in the shop to be rolled"
        return Step(title, f"{what} {done}. It goes on a delivery then.")
    url = reverse("orders:delivery_new", args=[claim.order.public_id])
    words = f"{what} is made; it is on no delivery yet."
    if made is None:
        words = f"{what} is on no delivery yet. {FROM_STOCK}"
    return Step(title, words, url, "Plan its delivery", ("delivery", "make"))


def _again_title(claim: Claim) -> str:
    return "Being made again." if claim.replacement is not None else "Being packed again."


def _again_words(claim: Claim) -> str:
    if claim.replacement is not None:
        return f"Bundle {claim.replacement.number}"
    assert claim.replacement_carton is not None  # noqa: S101  # one of them is there by constraint
    return f"Carton {claim.replacement_carton.number}"


def also_waiting(claim: Claim) -> list[Claim]:
    """Other claims that hold up the same order, oldest first."""
    rows = claim_list(state="waiting", order=claim.order).exclude(pk=claim.pk)
    return list(rows.order_by("id"))
