"""Claims: something short, damaged or wrong on site, opened by who found it (R49)."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from framing.common.access import require
from framing.common.actors import Actor, by_link, person
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.numbering import next_number
from orders.claim_words import SHORTEST_WORDS, marks_words, piece_words
from orders.models import Bundle, Carton, Claim, Delivery, Order, Piece, ReceiptAction
from orders.services.moves import order_locked
from orders.services.notices import notice_ask
from orders.states import ClaimKind, ClaimState, OrderStage

SERIES = "C"
WORDS_MOST = 400


def claim_open(
    *,
    actor: Actor,
    at: datetime,
    order: Order,
    kind: str,
    words: str,
    bundle: Bundle | None = None,
    carton: Carton | None = None,
    pieces: Collection[Piece] = (),
    delivery: Delivery | None = None,
    reported: ReceiptAction | None = None,
) -> Claim:
    """Open a claim on what has left the yard. While one of its kind is open for the same thing, that one grows.

    Args:
        kind: of `ClaimKind`.
        pieces: which pieces of the bundle; none for the whole bundle or carton.
        reported: the act on site that it comes from.

    Raises:
        Clash: the order is closed or cancelled, or the thing has not left the yard.
        Refused: no such kind, no words, both a bundle and a carton, or pieces that are not of the bundle.
    """
    with transaction.atomic():
        row = order_locked(order.pk)
        require(actor, "claim", "open", owner=row.owner, owned=True)
        said = _checked(row, kind, words, bundle, carton, pieces)
        thing = bundle or carton
        delivery = delivery or (thing.delivery if thing else None)
        _check_left(row, bundle, carton, delivery)
        known = _same_open(row, kind, bundle, carton)
        if known is not None:
            return _grown(known, actor, at, said, pieces)
        claim = Claim.objects.create(
            number=next_number(SERIES, at),
            order=row,
            delivery=delivery,
            kind=kind,
            words=said,
            bundle=bundle,
            carton=carton,
            reported=reported,
            link=actor.link,
            opened_by=actor.user,
            created_at=at,
        )
        claim.pieces.set(pieces)
        change = {"kind": kind, "order": row.number, "pieces": piece_words(pieces)}
        audit_record(actor, "claim_open", claim, at=at, change=change, why=said)
        notice_ask("claim", row, at, about=claim)
    return claim


def claim_from_receipt(action: ReceiptAction) -> Claim:
    """The claim of something reported on site; the same act again gives the same claim.

    Runs in the transaction of the act. `marks` of the act name pieces of the bundle by mark, those first that no
    other open claim has. Raises what `claim_open` raises.
    """
    known = Claim.objects.filter(reported=action).first()
    if known is not None:
        return known
    kind = ClaimKind(action.verb)
    of_carton = action.carton is not None
    words = action.words.strip() or SHORTEST_WORDS[kind]
    if of_carton and action.marks:
        words = f"{marks_words(action.marks)}: {words}"[:WORDS_MOST]
    return claim_open(
        actor=_who(action),
        at=action.at,
        order=action.delivery.order,
        kind=kind,
        words=words,
        bundle=action.bundle,
        carton=action.carton,
        pieces=pieces_by_mark(action.bundle, action.marks) if action.bundle else (),
        delivery=action.delivery,
        reported=action,
    )


def pieces_by_mark(bundle: Bundle, marks: Mapping[str, int]) -> list[Piece]:
    """So many pieces of each mark, from the top of the bundle down, those first that are in no open claim.

    Raises Refused where a mark is not in the bundle, or not so often.
    """
    rows = list(bundle.pieces.filter(dropped_by=None).order_by("-position"))
    claimed = set(
        Piece.objects.filter(claims__bundle=bundle, claims__ended_at=None).values_list("pk", flat=True)
    )
    found: list[Piece] = []
    for mark, count in marks.items():
        here = sorted((row for row in rows if row.mark == mark), key=lambda row: row.pk in claimed)
        if not 0 < count <= len(here):
            told = _(
                "Bundle %(number)s holds %(held)s of %(mark)s; %(count)s can't be reported. Count again."
            )
            facts = {"number": bundle.number, "held": len(here), "mark": mark, "count": count}
            raise Refused(told % facts, field="marks")
        found.extend(here[:count])
    return found


def _who(action: ReceiptAction) -> Actor:
    if action.link is not None:
        return by_link(action.link)
    assert action.by is not None  # noqa: S101  # one of the two is there by constraint
    return person(action.by)


def _checked(
    order: Order,
    kind: str,
    words: str,
    bundle: Bundle | None,
    carton: Carton | None,
    pieces: Collection[Piece],
) -> str:
    """The words, stripped. Raises as `claim_open`."""
    if kind not in ClaimKind.values:
        raise Refused(f"Say what it is: {', '.join(ClaimKind.labels).lower()}.", field="kind")
    said = words.strip()
    if not said:
        raise Refused(_("Say in a few words what is short, damaged or wrong."), field="words")
    if len(said) > WORDS_MOST:
        told = _("At most %(most)s signs here; these are %(count)s.")
        raise Refused(told % {"most": WORDS_MOST, "count": len(said)}, field="words")
    if bundle is not None and carton is not None:
        raise Refused("A claim is on a bundle or on a carton; open one for each.", field="carton")
    thing = bundle or carton
    if thing is not None and thing.order_id != order.pk:
        raise Refused(f"That is not of order {order.number}.", field="bundle" if bundle else "carton")
    strange = [piece for piece in pieces if bundle is None or piece.bundle_id != bundle.pk]
    if strange:
        raise Refused(_("%(mark)s is not in that bundle.") % {"mark": strange[0].mark}, field="pieces")
    return said


def _check_left(
    order: Order, bundle: Bundle | None, carton: Carton | None, delivery: Delivery | None
) -> None:
    if order.stage in (OrderStage.CLOSED, OrderStage.CANCELLED):
        told = _(
            "Order %(number)s is closed or cancelled, so nothing is reported on it here any more. Call us."
        )
        raise Clash(told % {"number": order.number})
    thing = bundle or carton
    if thing is None and delivery is None:
        raise Refused("Name the bundle, the carton or the delivery.", field="bundle")
    on_truck = thing.load if thing is not None else None
    left = on_truck is not None and on_truck.loaded_at is not None
    if not left and (delivery is None or delivery.loaded_at is None):
        raise Clash(_("That has not left the yard yet; what is wrong with it is mended in the shop."))


def _same_open(order: Order, kind: str, bundle: Bundle | None, carton: Carton | None) -> Claim | None:
    if bundle is None and carton is None:
        return None
    rows = Claim.objects.select_for_update(of=("self",)).filter(order=order, kind=kind, state=ClaimState.OPEN)
    return rows.filter(bundle=bundle, carton=carton).first()


def _grown(claim: Claim, actor: Actor, at: datetime, words: str, pieces: Collection[Piece]) -> Claim:
    """The open claim with more pieces; a claim on the whole bundle stays one."""
    if claim.pieces.exists():
        claim.pieces.add(*pieces) if pieces else claim.pieces.clear()
    change = {"pieces": piece_words(pieces)}
    audit_record(actor, "claim_report", claim, at=at, change=change, why=words)
    return claim
