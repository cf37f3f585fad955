"""Pieces that go wrong: scrapped and asked for again, and made again."""

from __future__ import annotations

from datetime import datetime

from framing.common.actors import Actor
from framing.common.errors import Clash, Refused
from orders.models import Bundle, Piece, Remake, ShopAction
from orders.services.taps import WORDS_MOST, Outcome, Tap, Turn, stage_among, tapped
from orders.states import OrderStage, RemakeReason, ShopVerb

IN_WORK = (OrderStage.ROLLING,)


def piece_scrap(
    *, actor: Actor, at: datetime, piece: Piece, reason: str, words: str = "", tap: Tap | None = None
) -> ShopAction:
    """Scrap a piece and ask for it again; its bundle can't be finished until it is made.

    Raises:
        Refused: no such reason, another reason without words, a piece in no bundle or no longer needed.
        Clash: its order is not at “rolling”, its bundle not started or finished.
    """
    why, said = _reason(reason, words.strip())
    bundle = _bundle_of(piece)

    def scrap(turn: Turn) -> Outcome:
        stage_among(turn, IN_WORK, "a piece is scrapped")
        _still_here(turn, piece)
        if piece.remakes.filter(made_at=None).exists():
            return Outcome(ShopVerb.SCRAP, changed=False, words=said)
        _started_not_finished(turn.bundle)
        Remake.objects.create(piece=piece, reason=why, words=said, asked_by=turn.user, created_at=at)
        return Outcome(ShopVerb.SCRAP, changed=True, words=said or why.label)

    return tapped(actor=actor, at=at, bundle=bundle, right="remake", tap=tap, change=scrap, piece=piece)


def piece_remade(*, actor: Actor, at: datetime, piece: Piece, tap: Tap | None = None) -> ShopAction:
    """Mark a scrapped piece made again. One that was made already stays as it is.

    Raises:
        Refused: nobody asked for it again.
        Clash: its order is not at “rolling”.
    """
    bundle = _bundle_of(piece)

    def remake(turn: Turn) -> Outcome:
        row = piece.remakes.filter(made_at=None).first()
        if row is None:
            if piece.remakes.exists():
                return Outcome(ShopVerb.REMAKE, changed=False)
            raise Refused(f"Nobody asked for {piece.mark} again. If it is spoilt, scrap it first.")
        stage_among(turn, IN_WORK, "a piece is made again")
        _still_here(turn, piece)
        row.made_at, row.made_by = at, turn.user
        row.save(update_fields=["made_at", "made_by"])
        return Outcome(ShopVerb.REMAKE, changed=True)

    return tapped(actor=actor, at=at, bundle=bundle, right="remake", tap=tap, change=remake, piece=piece)


def _reason(reason: str, words: str) -> tuple[RemakeReason, str]:
    if reason not in RemakeReason.values:
        listed = ", ".join(RemakeReason.labels).lower()
        raise Refused(f"Say why the piece is scrapped: {listed}.", field="reason")
    if reason == RemakeReason.OTHER and not words:
        raise Refused("Say in a few words what is wrong with the piece.", field="words")
    if len(words) > WORDS_MOST:
        raise Refused(f"At most {WORDS_MOST} signs; these are {len(words)}.", field="words")
    return RemakeReason(reason), words


def _bundle_of(piece: Piece) -> Bundle:
    """The piece's bundle. Raises Refused where it has none, or a change order no longer needs the piece."""
    if piece.dropped_by_id is not None:
        raise Refused(f"{piece.mark} is no longer needed after a change. Put it aside and tell the planner.")
    if piece.bundle is None:
        raise Refused(f"{piece.mark} is in no bundle: pieces this short are packed in cartons.")
    return piece.bundle


def _still_here(turn: Turn, piece: Piece) -> None:
    """Raise Clash where the planner moved the piece, or a change dropped it, while the tap was on its way."""
    if not turn.bundle.pieces.filter(pk=piece.pk, dropped_by=None).exists():
        raise Clash(f"{piece.mark} is no longer in bundle {turn.bundle.number}. Load the page again.")


def _started_not_finished(bundle: Bundle) -> None:
    if bundle.started_at is None:
        raise Clash(f"Bundle {bundle.number} is not started, so nothing of it is rolled yet. Start it first.")
    if bundle.finished_at is not None:
        raise Clash(f"Bundle {bundle.number} is finished. Open it again first, then scrap the piece.")
