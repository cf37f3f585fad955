"""Tags and labels from before a bundle or carton changed: where they lead now, and what to do about them."""

from __future__ import annotations

from dataclasses import dataclass

from framing.common.errors import Refused
from orders.models import Bundle, PastCode, Piece


@dataclass(frozen=True, slots=True)
class OldTag:
    """The bundle that has an old tag's number now, and what to say to who scanned it."""

    bundle: Bundle
    words: str


def past_code(code: str) -> OldTag | None:
    """What an old tag leads to; None for a code that never stood on one. Raises Refused where its bundle is no more."""
    row = PastCode.objects.select_related("order").filter(code=code).first()
    if row is None:
        return None
    if row.is_carton:
        raise Refused(
            f"This is the label of carton {row.number} of order {row.order.number} from before {row.why}. Print its"
            " label again; cartons are not rolled.",
            field="code",
        )
    joined = Bundle.objects.select_related("order__revision__quote__project")
    bundle = joined.filter(order=row.order, number=row.number).first()
    if bundle is None:
        raise Refused(
            f"Bundle {row.number} of order {row.order.number} is no more since {row.why}. {_where(row)} Throw this tag"
            " away.",
            field="code",
        )
    return OldTag(
        bundle,
        f"This tag is old: since {row.why}, bundle {row.number} of {row.order.number} holds other pieces. No step was"
        " counted. Go by the pieces on its page, print the tag again, and scan the new one.",
    )


def _where(row: PastCode) -> str:
    """In which bundles the pieces of a bundle that is no more lie now."""
    pieces = Piece.objects.filter(pk__in=row.pieces, dropped_by=None, bundle__isnull=False)
    numbers = sorted(set(pieces.values_list("bundle__number", flat=True)))
    if not numbers:
        return "Its pieces are needed no more."
    listed = ", ".join(map(str, numbers[:-1]))
    several = f"bundles {listed} and {numbers[-1]}" if listed else f"bundle {numbers[0]}"
    return f"Its pieces are in {several}; scan the tag there."


def flagged_words(bundle: Bundle) -> str:
    """That a tag printed before a change lists pieces which are needed no more; "" where the bundle has none."""
    row = (
        bundle.pieces.filter(dropped_by__isnull=False)
        .select_related("dropped_by")
        .order_by("dropped_by")
        .last()
    )
    if row is None or row.dropped_by is None:
        return ""
    return (
        f"Change {row.dropped_by.number} needs some of its pieces no more: a tag printed before it is outdated, print"
        " it again."
    )
