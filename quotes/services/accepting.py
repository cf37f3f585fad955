"""The builder's answer: accepted once, declined, or lapsed by the database's clock (R41)."""

from __future__ import annotations

import logging
from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import SYSTEM, Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere, Refused
from framing.common.idempotency import claim_key
from framing.common.models import AccessLink
from framing.common.outbox import outbox_add
from framing.common.transitions import check_transition
from framing.common.zones import day_words
from quotes.models import Acceptance, Alternate, Quote, QuoteRevision
from quotes.selectors import quotes_due_to_lapse, revision_offered
from quotes.services.approvals import read_reason
from quotes.services.changing import check_change_open
from quotes.services.links import is_link_of, over_words
from quotes.services.rows import lock_quote, lock_revision, move_quote
from quotes.states import QUOTE_MOVES

NAME_MOST = 120
CHANGE = "change_apply"
logger = logging.getLogger(__name__)


def quote_accept(
    *,
    actor: Actor,
    revision: QuoteRevision,
    name: str,
    key: str,
    at: datetime,
    title: str = "",
    why: str = "",
    alternate: str = "",
) -> Acceptance:
    """Accept an issued revision, by the builder's link or by staff with a reason; asks for the order.

    Args:
        alternate: the letter of the alternate that is picked (R42); "" is the base offer.
        name, title: the person who accepts, as typed.
        key: idempotency key; the same key again returns the same acceptance.
        why: how staff heard it (a call, a signed paper); needed unless a link accepts.

    Raises:
        Refused: no name, no reason from staff, or an alternate that is not offered.
        Clash: accepted before, replaced by a newer revision, a draft, over its validity, or at another stage.
        NotThere: a link to another revision, or one withdrawn meanwhile.
    """
    person = _read_name(name)
    reason = "" if actor.link else read_reason(why, "why", "Say how the builder told you.")
    with transaction.atomic():
        body = {"revision": revision.pk, "name": person, "title": title.strip(), "why": reason}
        body |= {"alternate": alternate} if alternate else {}
        claim = claim_key(actor=actor, verb="quote_accept", key=key, body=body)
        if claim.done:
            return Acceptance.objects.get(pk=claim.result["acceptance"])
        quote, revision = lock_revision(revision)
        require(actor, "quote", "accept")
        check_link(actor, revision, at)
        stage = check_offered(quote, revision, "accept", at)
        picked = _read_pick(revision, alternate)
        acceptance = Acceptance.objects.create(
            quote=quote,
            revision=revision,
            after_booking=revision.after_booking,
            alternate=picked,
            name=person,
            title=title.strip()[:NAME_MOST],
            at=at,
            link=actor.link,
            recorded_by=actor.user,
            why=reason,
        )
        if not revision.after_booking:
            move_quote(quote, stage, actor=actor, at=at, why=f"accepted by {person}")
        change = {"revision": revision.number, "name": person, "total": str((picked or revision).total)}
        change |= {"alternate": picked.letter} if picked else {}
        audit_record(actor, "quote_accept", quote, at=at, change=change, why=reason)
        _ask_for_order(revision)
        claim.finish({"acceptance": acceptance.pk})
    return acceptance


def _ask_for_order(revision: QuoteRevision) -> None:
    """The first yes asks for the order, that of a change to put it into the order."""
    if revision.after_booking:
        outbox_add(CHANGE, str(revision.pk), {"revision": revision.pk})
    else:
        outbox_add("order_book", str(revision.quote_id), {"quote": revision.quote_id})


def quotes_lapse_due(*, at: datetime, actor: Actor = SYSTEM) -> int:
    """Let lapse what was not answered in time; each quote in its own transaction. Returns how many.

    `at` is the database's time: a wrong clock on one machine lets nothing lapse. What fails is logged, tried again
    at the next round, and stops no other.
    """
    return sum(_tried(pk, at, actor) for pk in quotes_due_to_lapse(at))


def _tried(pk: int, at: datetime, actor: Actor) -> bool:
    try:
        return _lapse(pk, at, actor)
    except Exception:
        logger.exception("quote %s could not lapse", pk)
        return False


def _lapse(pk: int, at: datetime, actor: Actor) -> bool:
    with transaction.atomic():
        quote = lock_quote(pk)
        offered = revision_offered(quote)
        if quote.stage not in QUOTE_MOVES["lapse"] or offered is None or not _over(offered, at):
            return False  # accepted, declined or issued anew while we came
        day = offered.valid_day
        why = f"valid to the end of {day_words(day)}" if day else ""
        move_quote(quote, QUOTE_MOVES["lapse"][quote.stage], actor=actor, at=at, why=why)
        audit_record(actor, "quote_lapse", quote, at=at, change={"revision": offered.number})
        return True


def check_link(actor: Actor, revision: QuoteRevision, at: datetime) -> None:
    """A link acts only on its own revision and only while it lives; read afresh in the transaction."""
    if actor.link is None:
        return
    link = AccessLink.objects.filter(pk=actor.link.pk, withdrawn_at=None, expires_at__gt=at).first()
    if link is None or not is_link_of(link, revision):
        raise NotThere()


def check_offered(quote: Quote, revision: QuoteRevision, action: str, at: datetime) -> str:
    """The stage that an answer leads to. Raises Clash, in words for the builder, where the offer is not open."""
    of = {"revision": revision} if revision.after_booking else {"quote": quote, "after_booking": False}
    done = Acceptance.objects.filter(**of).select_related("revision__quote").first()
    if done is not None:
        raise Clash(f"{done.revision} was accepted by {done.name} on {done.at:%b %d, %Y} already.")
    if revision.issued_at is None:
        raise Clash(f"{revision} is a draft and was never offered.")
    if revision.withdrawn_at is not None:
        raise Clash(f"{revision} was taken back; the order stays as it was agreed.")
    offered = revision_offered(quote)
    if offered is not None and offered.pk != revision.pk:
        raise Clash(f"{revision} was replaced by {offered}; only {offered} can be answered.")
    if quote.stage == "bid":
        raise Clash(f"{quote.number} is being revised; wait for the new offer.")
    if revision.after_booking:
        stage = _check_change(quote, revision, action)
    else:
        stage = check_transition(QUOTE_MOVES, quote.stage, action, quote.number)
    if _over(revision, at):
        raise Clash(over_words(revision, "Ask for a new offer."))
    return stage


def _check_change(quote: Quote, revision: QuoteRevision, action: str) -> str:
    """A change after booking is accepted or left: the quote stays booked, and what was agreed holds meanwhile."""
    if action != "accept":
        raise Clash(
            f"{revision} is a change of an order. Leave it unanswered, or write why; the order stays as it was agreed."
        )
    check_change_open(revision)
    return quote.stage


def _over(revision: QuoteRevision, at: datetime) -> bool:
    return revision.valid_until is not None and revision.valid_until <= at


def _read_pick(revision: QuoteRevision, letter: str) -> Alternate | None:
    if not letter:
        return None
    picked = revision.alternates.filter(letter=letter).first()
    if picked is None:
        raise Refused(f"{revision} offers no alternate “{letter[:4]}”.", field="alternate")
    return picked


def _read_name(name: str) -> str:
    person = name.strip()
    if not 1 <= len(person) <= NAME_MOST:
        raise Refused(f"Name the person who accepts, in 1 to {NAME_MOST} signs.", field="name")
    return person
