"""Words of claims that papers, pages and refusals share."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from orders.models import Claim, Piece


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
