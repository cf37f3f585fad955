"""What a scan does: a bundle's tag is its next step, a piece's label tells where the piece belongs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import NotThere, Refused
from orders.floor_codes import code_read
from orders.models import Bundle, Carton, Piece, ShopAction
from orders.past_codes import flagged_words, past_code
from orders.services.shop import finish, start
from orders.services.shop_pieces import piece_remade
from orders.services.taps import Outcome, Tap, Turn, tapped
from orders.states import ShopVerb

REST: Final = timedelta(seconds=20)
"""A tag read twice, or on two tablets at once, starts its bundle and does not finish it too."""


@dataclass(frozen=True, slots=True)
class Scanned:
    """What was scanned, and the tap that it was counted as; a piece that is only looked up has none.

    `told` is what to do about an old tag, "" where there is nothing to do.
    """

    bundle: Bundle
    piece: Piece | None = None
    action: ShopAction | None = None
    told: str = ""


def code_scan(
    *, actor: Actor, at: datetime, text: str, hand: Bundle | None = None, tap: Tap | None = None
) -> Scanned:
    """Do what a scan asks for. `hand` is the bundle whose page is open.

    A tag starts its bundle, then finishes it; a label of a piece that is to be made again says that it is made;
    any other piece is only looked up. A tag from before its bundle changed leads to the bundle and counts as no step.

    Raises:
        Refused: no code, a foreign one, one of a bundle that is no more, a carton's, a piece of another bundle than
            the one in hand.
        Clash: the step is not possible now.
    """
    require(actor, "bundle", "finish")
    code = code_read(text)
    bundle = Bundle.objects.select_related("order").filter(code=code).first()
    if bundle is not None:
        return Scanned(bundle, action=_next_step(actor, at, bundle, tap), told=flagged_words(bundle))
    piece = Piece.objects.select_related("order", "bundle__order").filter(code=code).first()
    if piece is None:
        past = past_code(code)
        if past is None:
            raise _unknown(code)
        return Scanned(past.bundle, told=past.words)
    home = _home(piece)
    if hand is not None and home.pk != hand.pk:
        raise Refused(
            f"{piece.mark} belongs to {_named(home, hand)}, not to bundle {hand.number}."
            f" Put it there, and take a piece that stands on the list of bundle {hand.number}.",
            field="code",
        )
    if tap is not None and ShopAction.objects.filter(action_id=tap.action_id).exists():
        return Scanned(home, piece, piece_remade(actor=actor, at=at, piece=piece, tap=tap))
    if piece.remakes.filter(made_at=None).exists():
        return Scanned(home, piece, piece_remade(actor=actor, at=at, piece=piece, tap=tap))
    return Scanned(home, piece)


def _next_step(actor: Actor, at: datetime, bundle: Bundle, tap: Tap | None) -> ShopAction:
    def step(turn: Turn) -> Outcome:
        row = turn.bundle
        if row.started_at is None:
            return start(turn)
        if row.finished_at is None and turn.at - row.started_at < REST:
            return Outcome(ShopVerb.START, changed=False)
        return finish(turn)

    return tapped(actor=actor, at=at, bundle=bundle, right="finish", tap=tap, change=step)


def _unknown(code: str) -> Refused:
    carton = Carton.objects.select_related("order").filter(code=code).first()
    if carton is not None:
        words = f"This is carton {carton.number} of order {carton.order.number}; cartons are not rolled."
        return Refused(f"{words} Scan a bundle's tag or a piece's label.", field="code")
    return Refused(
        f"No bundle or piece has the code {code}. The tag may be an old one from before the order was bundled anew:"
        " find the bundle in the list and ask the planner for a new tag.",
        field="code",
    )


def _home(piece: Piece) -> Bundle:
    """The bundle that a piece belongs to. Raises Refused where it belongs to none."""
    if piece.dropped_by_id is not None:
        words = f"{piece.mark} of order {piece.order.number} is no longer needed after a change."
        raise Refused(f"{words} Put it aside and tell the planner.", field="code")
    if piece.bundle is None:
        words = f"{piece.mark} of order {piece.order.number} is in no bundle:"
        raise Refused(f"{words} pieces this short are packed in cartons.", field="code")
    return piece.bundle


def _named(bundle: Bundle, hand: Bundle) -> str:
    same = bundle.order_id == hand.order_id
    return f"bundle {bundle.number}" if same else f"bundle {bundle.number} of order {bundle.order.number}"


def piece_of_bundle(bundle: Bundle, code: str) -> Piece:
    """A piece of a bundle by the code on its label. Raises NotThere."""
    piece = bundle.pieces.select_related("bundle").filter(code=code).first()
    if piece is None:
        raise NotThere(f"Bundle {bundle.number} has no such piece; it was bundled anew. Load the page again.")
    return piece
