"""What the shop's pages say: facts in, words out."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from orders.shop_models import Bundle, Piece, ShopAction
from orders.states import ShopVerb

OFF_PERCENT: Final = (
    3  # more than this off the computed weight is said (the scale and the mill's tolerance stay below)
)


def weight_words(weighed_lb: Decimal, computed_lb: Decimal, limit_lb: Decimal) -> str:
    """The warnings on a weight, both figures in them; "" where it is within the lift limit and 3 % of computed."""
    words = []
    if weighed_lb > limit_lb:
        words.append(
            f"{pounds(weighed_lb)} is over the lift limit of {pounds(limit_lb)}:"
            " don't lift it, tell the planner."
        )
    off = weighed_lb - computed_lb
    if abs(off) * 100 > OFF_PERCENT * computed_lb:
        words.append(
            f"{pounds(weighed_lb)} on the scale, {pounds(computed_lb)} computed:"
            f" {_share(abs(off), computed_lb)} {'more' if off > 0 else 'less'}. Count the pieces."
        )
    return " ".join(words)


def pounds(value: Decimal) -> str:
    """“1,940.5 lb”, “2,000 lb”."""
    text = f"{value:,.1f}"
    return f"{text.removesuffix('.0')} lb"


def _share(part: Decimal, whole: Decimal) -> str:
    """In per cent; never rounded down to the limit that it is over."""
    if whole <= 0:
        return "all of it"
    share = (part * 100 / whole).quantize(Decimal("0.1"), ROUND_HALF_UP)
    return f"{share} %" if share > OFF_PERCENT else f"over {OFF_PERCENT} %"


def said(action: ShopAction) -> tuple[str, str]:
    """What a tap came to, in a sentence, and its tone: good, care or note."""
    bundle = action.bundle
    name = f"Bundle {bundle.number} of {bundle.order.number}"
    if not action.changed:
        return _stood(action, name), "note"
    if action.verb == ShopVerb.WEIGH:
        weight = f"{name} weighs {pounds(action.value or Decimal(0))}."
        return (f"{weight} {action.words}", "care") if action.words else (weight, "good")
    mark = action.piece.mark if action.piece else ""
    sentences = {
        ShopVerb.START: f"{name} is started.",
        ShopVerb.FINISH: f"{name} is finished.",
        ShopVerb.REOPEN: f"{name} is open again.",
        ShopVerb.SCRAP: f"{mark} is scrapped and asked for again.",
        ShopVerb.REMAKE: f"{mark} is made again.",
        ShopVerb.UNDO: f"Taken back: {name} stands as before.",
    }
    return sentences[ShopVerb(action.verb)], "good"


def scan_said(action: ShopAction | None, bundle: Bundle, piece: Piece | None, told: str) -> tuple[str, str]:
    """What a scan came to and its tone; `told` is what to do about an old tag, "" where it is none."""
    if action is None:
        return (told, "care") if told else (looked_up(bundle, piece), "note")
    words, tone = said(action)
    return (f"{words} {told}", "care") if told else (words, tone)


def looked_up(bundle: Bundle, piece: Piece | None) -> str:
    """Where a piece that was scanned belongs."""
    if piece is None:
        return f"Bundle {bundle.number} of {bundle.order.number}."
    return f"{piece.mark} is of bundle {bundle.number}, piece {piece.position} from the bottom."


def _stood(action: ShopAction, name: str) -> str:
    """That things stood that way already, and through whom."""
    bundle = action.bundle
    if action.verb == ShopVerb.FINISH and bundle.finished_at is not None:
        return f"{name} was finished already, by {bundle.finished_by}. Counted once."
    if action.verb == ShopVerb.START and bundle.started_at is not None:
        return f"{name} was started already, by {bundle.started_by}. Counted once."
    return f"{name} stood that way already. Counted once."
