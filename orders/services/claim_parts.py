"""A claim of which a part is made again: the rest stays open in a claim of its own, to credit or reject (R49)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Refused
from framing.common.numbering import next_number
from orders.claim_facts import claimed_pieces
from orders.claim_words import piece_words
from orders.models import Claim, Piece
from orders.services.claims import SERIES


def set_apart(claim: Claim, marks: Mapping[str, int]) -> list[Piece]:
    """Leave in a locked claim on a bundle so many pieces of each mark; returns those that it names no more.

    Raises Refused at `marks` for a mark that the claim does not name, or not so often.
    """
    named = claimed_pieces(claim)
    stay: list[Piece] = []
    for mark, count in marks.items():
        here = [piece for piece in named if piece.mark == mark]
        if not 0 < count <= len(here):
            raise Refused(
                f"Claim {claim.number} names {len(here)} of {mark}; {count} can't be made again for it.",
                field="marks",
            )
        stay.extend(here[:count])
    if len(stay) == len(named):
        return []
    claim.pieces.set(stay)
    return [piece for piece in named if piece not in stay]


def claim_of_rest(actor: Actor, at: datetime, claim: Claim, rest: Sequence[Piece]) -> Claim:
    """An open claim on the pieces that are not made again with the first one, as it was reported then."""
    made = Claim.objects.create(
        number=next_number(SERIES, at),
        order=claim.order,
        delivery=claim.delivery,
        kind=claim.kind,
        words=claim.words,
        bundle=claim.bundle,
        split_from=claim,
        link=claim.link,
        opened_by=claim.opened_by,
        created_at=claim.created_at,
    )
    made.pieces.set(rest)
    change = {"from": claim.number, "pieces": piece_words(rest)}
    audit_record(actor, "claim_split", made, at=at, change=change, why=claim.words)
    return made
