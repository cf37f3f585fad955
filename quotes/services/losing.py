"""Offers that are lost: declined with a reason, or lapsed and asked about later (R41, R44)."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from quotes.lost_models import LostOffer, LostReason
from quotes.models import Quote, QuoteRevision
from quotes.selectors import revision_offered
from quotes.services.accepting import check_link, check_offered
from quotes.services.approvals import REASON_MOST
from quotes.services.rows import lock_quote, lock_revision, move_quote


def quote_decline(
    *,
    actor: Actor,
    revision: QuoteRevision,
    at: datetime,
    reason: str = LostReason.OTHER,
    why: str = "",
) -> Quote:
    """Record that the builder does not want the offer, and why.

    Args:
        reason: a LostReason; SILENT is staff's word only.
        why: in words; needed where the reason is OTHER.

    Raises as `quote_accept`.
    """
    named, words = read_lost(actor, reason, why)
    with transaction.atomic():
        quote, revision = lock_revision(revision)
        require(actor, "quote", "decline")
        check_link(actor, revision, at)
        stage = check_offered(quote, revision, "decline", at)
        move_quote(quote, stage, actor=actor, at=at, why=lost_words(named, words))
        _keep(actor, quote, revision, stage, named, words, at)
        change = {"revision": revision.number, "reason": named.value}
        audit_record(actor, "quote_decline", quote, at=at, change=change, why=words)
    return quote


def lost_name(*, actor: Actor, quote: Quote, at: datetime, reason: str, why: str = "") -> LostOffer:
    """Name why an offer lapsed; once a revision. Until then it counts as SILENT.

    Raises:
        Refused: no such reason, or OTHER without words.
        Clash: the quote is at another stage, or the reason is named already.
    """
    named, words = read_lost(actor, reason, why)
    with transaction.atomic():
        quote = lock_quote(quote.pk)
        require(actor, "quote", "explain", owner=quote.owner, owned=True)
        revision = revision_offered(quote)
        if quote.stage != "lapsed" or revision is None:
            raise Clash(
                f"{quote.number} is {quote.get_stage_display().lower()}; only a lapsed offer is asked about."
            )
        told = LostOffer.objects.filter(revision=revision).select_related("recorded_by").first()
        if told is not None:
            who = told.recorded_by.name if told.recorded_by else "The builder"
            raise Clash(
                f"{who} named it on {told.at:%b %d, %Y} already: {told.get_reason_display().lower()}."
            )
        row = _keep(actor, quote, revision, quote.stage, named, words, at)
        change = {"revision": revision.number, "reason": named.value}
        audit_record(actor, "lost_name", quote, at=at, change=change, why=words)
    return row


def _keep(
    actor: Actor,
    quote: Quote,
    revision: QuoteRevision,
    ended: str,
    reason: LostReason,
    words: str,
    at: datetime,
) -> LostOffer:
    return LostOffer.objects.create(
        quote=quote,
        revision=revision,
        ended=ended,
        reason=reason,
        words=words,
        at=at,
        link=actor.link,
        recorded_by=actor.user,
    )


def lost_words(reason: LostReason, words: str) -> str:
    """A reason as one line: “The price: 4 % over.”; OTHER speaks by its words alone."""
    if reason == LostReason.OTHER:
        return words
    return f"{reason.label}: {words}" if words else str(reason.label)


def read_lost(actor: Actor, reason: str, why: str) -> tuple[LostReason, str]:
    """The reason and the words as typed. Raises Refused at `reason` or `why`."""
    words = why.strip()
    if reason not in LostReason.values or (actor.link is not None and reason == LostReason.SILENT):
        raise Refused("Choose what decided against the offer.", field="reason")
    if reason == LostReason.OTHER and not words:
        raise Refused("Say in a word why, so that the next offer fits better.", field="why")
    if len(words) > REASON_MOST:
        raise Refused(f"Say it in at most {REASON_MOST} signs; this is {len(words)}.", field="why")
    return LostReason(reason), words
