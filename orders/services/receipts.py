"""Receipt on site: ticks, what is short, damaged or wrong, and the signature, each counted once (R48)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused
from orders.models import Bundle, Carton, Delivery, ReceiptAction, ReceiptLine
from orders.services.claims import claim_from_receipt
from orders.services.deliveries import delivery_deliver
from orders.services.moves import order_locked
from orders.site_reads import Thing, is_on, not_of_this_delivery, open_things, same_hand
from orders.site_terms import SiteTerms, ended_words, over_words, site_terms, whom_to_call
from orders.states import ReceiptState, ReceiptVerb

WORDS_MOST: Final = 400
NAME_MOST: Final = 160
MARKS_MOST: Final = 60
COUNT_MOST: Final = 10_000
REPORTS: Final = (ReceiptVerb.SHORT, ReceiptVerb.DAMAGED, ReceiptVerb.WRONG)
SHOWN_MOST: Final = 6


@dataclass(frozen=True, slots=True)
class SiteAct:
    """One act on site. `action_id` is made on the telephone; `tapped_at` is its clock, for people only.

    Attributes:
        verb: of `ReceiptVerb`.
        thing: the bundle or carton; None to sign.
        marks: how many pieces of which mark are short, damaged or wrong; none for the whole thing.
    """

    action_id: UUID
    verb: str
    thing: Thing | None = None
    marks: Mapping[str, int] = field(default_factory=dict)
    words: str = ""
    name: str = ""
    tapped_at: datetime | None = None


def receipt_act(*, actor: Actor, at: datetime, delivery: Delivery, act: SiteAct) -> ReceiptAction:
    """Count one act on a delivery. The same `action_id` again changes nothing and is answered as before.

    A tick marks a thing as received; a report opens or feeds a claim (R49) and stays, whatever is ticked afterwards;
    signing ends the ticking, and the receipt where the driver's proof has not ended it before. Reports are taken by
    link until the last day of `SiteTerms`, from staff until the order is closed.

    Raises:
        Refused: no such verb, no name, marks that can't be, a thing that is not of this delivery, or a number that
            stands for another act.
        Clash: not loaded yet, signed already, reported too late, closed or cancelled, or things left to tick before
            signing.
    """
    try:
        with transaction.atomic():
            order = order_locked(delivery.order_id)
            require(actor, "receipt", "act")
            _check_link(actor, delivery)
            again = ReceiptAction.objects.filter(action_id=act.action_id).first()
            if again is not None:
                return _same(again, actor, delivery, act)
            _check(act)
            row = Delivery.objects.get(pk=delivery.pk)
            row.order = order
            _check_state(row, site_terms(row, at), act, by_link=actor.link is not None)
            if act.verb == ReceiptVerb.SIGN:
                return _signed(actor, at, row, act)
            return _counted(actor, at, row, act)
    except IntegrityError as error:
        if "action_id" not in str(error):
            raise
        raise _other_act() from None


def _check_link(actor: Actor, delivery: Delivery) -> None:
    """A link acts on its own delivery alone."""
    link = actor.link
    if link is not None and (link.subject_type, link.subject_id) != (Delivery._meta.label_lower, delivery.pk):
        raise NotThere()


def _same(action: ReceiptAction, actor: Actor, delivery: Delivery, act: SiteAct) -> ReceiptAction:
    """The act that has this number. Raises Refused where it was another's or something else."""
    bundle, carton = _parts(act)
    was = (action.delivery_id, action.verb, action.bundle_id, action.carton_id)
    here = (delivery.pk, act.verb, bundle.pk if bundle else None, carton.pk if carton else None)
    if was != here or not same_hand(actor, action.link, action.by):
        raise _other_act()
    return action


def _other_act() -> Refused:
    return Refused(
        _("This has the number of something else that was sent. Load the page again and tap once more.")
    )


def _parts(act: SiteAct) -> tuple[Bundle | None, Carton | None]:
    thing = act.thing
    return (thing if isinstance(thing, Bundle) else None, thing if isinstance(thing, Carton) else None)


def _check(act: SiteAct) -> None:
    """Raise Refused for what makes no sense whatever the delivery is."""
    if act.verb not in ReceiptVerb.values:
        raise Refused(_("Tick, report or sign; there is nothing else to do here."), field="verb")
    signs = act.verb == ReceiptVerb.SIGN
    if signs != (act.thing is None):
        missing = _("Sign for the whole delivery.") if signs else _("Name the bundle or carton.")
        raise Refused(missing, field="code")
    if signs and not act.name.strip():
        raise Refused(_("Write the name of whoever received the delivery."), field="name")
    for text, most, where in ((act.words, WORDS_MOST, "words"), (act.name, NAME_MOST, "name")):
        if len(text.strip()) > most:
            words = _("At most %(most)s signs here; these are %(count)s.")
            raise Refused(words % {"most": most, "count": len(text.strip())}, field=where)
    _check_marks(act)


def _check_marks(act: SiteAct) -> None:
    if act.marks and act.verb not in REPORTS:
        raise Refused(_("Marks go with what is short, damaged or wrong."), field="marks")
    if len(act.marks) > MARKS_MOST:
        words = _("At most %(most)s marks at once; these are %(count)s.")
        raise Refused(words % {"most": MARKS_MOST, "count": len(act.marks)}, field="marks")
    for mark, count in act.marks.items():
        if not 0 < count <= COUNT_MOST:
            raise Refused(_("%(mark)s: say how many, 1 or more.") % {"mark": mark}, field="marks")


def _check_state(delivery: Delivery, terms: SiteTerms, act: SiteAct, *, by_link: bool) -> None:
    if terms.ended:
        raise Clash(ended_words(delivery))
    if act.verb not in REPORTS and not terms.ticks:
        raise _signed_already(delivery, terms)
    thing, left = act.thing, terms.left
    if thing is not None:
        if not is_on(thing, delivery):
            raise not_of_this_delivery()
        left = left or (thing.load is not None and thing.load.loaded_at is not None)
    if not left:
        raise Clash(
            _("We have not noted yet that this left the yard. Keep it here, or call us; then send it again.")
        )
    if act.verb in REPORTS and by_link and terms.last_day is not None and terms.over:
        raise Clash(over_words(delivery, terms.last_day))


def _signed_already(delivery: Delivery, terms: SiteTerms) -> Clash:
    words = _(
        "Delivery %(number)s is signed for by %(name)s, so nothing more is ticked or signed here. Report what you find"
        " wrong; else call %(call)s."
    )
    call = whom_to_call(delivery.order)
    return Clash(words % {"number": delivery.number, "name": terms.signed_by, "call": call})


def _counted(actor: Actor, at: datetime, delivery: Delivery, act: SiteAct) -> ReceiptAction:
    bundle, carton = _parts(act)
    line = ReceiptLine.objects.select_for_update().filter(bundle=bundle, carton=carton).first()
    now = line.state if line else ReceiptState.OPEN
    after = _after(now, act)
    action = _row(actor, at, delivery, act, changed=after != now or act.verb in REPORTS)
    if line is None:
        ReceiptLine.objects.create(delivery=delivery, bundle=bundle, carton=carton, state=after, last=action)
    elif action.changed:
        line.state, line.last = after, action
        line.save(update_fields=["state", "last"])
    if act.verb in REPORTS:
        claim_from_receipt(action)
    return action


def _after(now: str, act: SiteAct) -> str:
    """The state that an act leads to. Raises Clash where a report would be taken back."""
    if act.verb in REPORTS:
        return str(act.verb)
    reported = now not in (ReceiptState.OPEN, ReceiptState.RECEIVED)
    if act.verb == ReceiptVerb.TICK:
        return now if reported else ReceiptState.RECEIVED.value
    if reported:
        raise Clash(
            _(
                "What was reported is with us already and can't be taken back here. Call us if it was a mistake."
            )
        )
    return ReceiptState.OPEN.value


def _signed(actor: Actor, at: datetime, delivery: Delivery, act: SiteAct) -> ReceiptAction:
    left = open_things(delivery)
    if left:
        shown = ", ".join(left[:SHOWN_MOST]) + (", …" if len(left) > SHOWN_MOST else "")
        words = _(
            "%(count)s not ticked yet: %(things)s. Tick each one, or report it short, damaged or wrong; then sign."
        )
        raise Clash(words % {"count": len(left), "things": shown})
    action = _row(actor, at, delivery, act, changed=True)
    if delivery.delivered_at is None:
        delivery_deliver(actor=actor, at=at, delivery=delivery, received_by=act.name)
    return action


def _row(actor: Actor, at: datetime, delivery: Delivery, act: SiteAct, *, changed: bool) -> ReceiptAction:
    bundle, carton = _parts(act)
    action = ReceiptAction.objects.create(
        action_id=act.action_id,
        verb=act.verb,
        delivery=delivery,
        load=act.thing.load if act.thing is not None else None,
        bundle=bundle,
        carton=carton,
        marks=dict(act.marks),
        words=act.words.strip(),
        name=act.name.strip(),
        link=actor.link,
        by=actor.user,
        at=at,
        tapped_at=act.tapped_at,
        changed=changed,
    )
    if changed:
        _audited(actor, at, delivery, act)
    return action


def _audited(actor: Actor, at: datetime, delivery: Delivery, act: SiteAct) -> None:
    bundle, carton = _parts(act)
    change: dict[str, Any] = {}
    if bundle is not None:
        change["bundle"] = bundle.number
    if carton is not None:
        change["carton"] = carton.number
    if act.marks:
        change["marks"] = dict(act.marks)
    if act.name.strip():
        change["name"] = act.name.strip()
    audit_record(actor, f"receipt_{act.verb}", delivery, at=at, change=change, why=act.words.strip())
