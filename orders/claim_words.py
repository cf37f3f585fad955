"""Words of claims that papers, pages and refusals share, and what a builder reads, in his language."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from orders.models import Claim, Delivery, Piece
from orders.states import ClaimKind, ClaimState

SHORTEST_WORDS: Final = {
    ClaimKind.SHORT: "Short on site",
    ClaimKind.DAMAGED: "Damaged on site",
    ClaimKind.WRONG: "Wrong on site",
    ClaimKind.OTHER: "Reported on site",
}
"""What stands for words where somebody on site wrote none."""


def claim_thing(claim: Claim) -> str:
    """What a claim is about: a bundle, a carton, or the delivery as a whole."""
    if claim.bundle is not None:
        return f"bundle {claim.bundle.number}"
    if claim.carton is not None:
        return f"carton {claim.carton.number}"
    return f"delivery {claim.delivery}" if claim.delivery else "the order"


def piece_words(pieces: Iterable[Piece]) -> str:
    """Pieces by mark with their count, in the order of their marks: “2J07 x 3, 2J08”."""
    counts: dict[str, int] = {}
    for piece in pieces:
        counts[piece.mark] = counts.get(piece.mark, 0) + 1
    return marks_words(counts)


def marks_words(counts: Mapping[str, int]) -> str:
    """Marks with their counts: “2J07 x 3, 2J08”."""
    return ", ".join(mark if count == 1 else f"{mark} x {count}" for mark, count in sorted(counts.items()))


def thing_for_builder(claim: Claim) -> str:
    """What a claim is about, in the reader's language."""
    if claim.bundle is not None:
        return _("bundle %(number)s") % {"number": claim.bundle.number}
    if claim.carton is not None:
        return _("carton %(number)s") % {"number": f"C{claim.carton.number}"}
    return _("the whole delivery")


def kind_for_builder(claim: Claim) -> str:
    """What is wrong, in the reader's language."""
    kinds = {
        ClaimKind.SHORT: _("Short"),
        ClaimKind.DAMAGED: _("Damaged"),
        ClaimKind.WRONG: _("Wrong"),
    }
    return kinds.get(ClaimKind(claim.kind), _("Reported"))


def next_for_builder(claim: Claim, here: Delivery) -> str:
    """What came or comes of a claim, in the reader's language; `here` is the delivery whose page he reads."""
    if claim.state == ClaimState.REPLACING:
        return _coming(claim, here)
    told = {
        ClaimState.OPEN: _("We look at it and tell you here what comes of it."),
        ClaimState.REPLACED: _("What was made again is received."),
        ClaimState.CREDITED: _("It goes off your invoice; nothing more comes."),
        ClaimState.REJECTED: _("We see it otherwise and send nothing. Call us if that can't be."),
    }
    return told[ClaimState(claim.state)]


def _coming(claim: Claim, here: Delivery) -> str:
    made = claim.replacement or claim.replacement_carton
    delivery = made.delivery if made is not None else None
    if delivery is None:
        return _("We make it again; which delivery brings it is not settled yet.")
    if delivery.pk == here.pk:
        return _("It comes with this delivery.")
    told = _("It comes with delivery %(number)s, planned for %(day)s.")
    return told % {"number": delivery.number, "day": date_format(delivery.planned_for, "DATE_FORMAT")}
