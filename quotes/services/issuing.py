"""Issuing: the draft becomes an offer that never changes."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db import transaction

from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Refused
from framing.common.idempotency import claim_key
from framing.common.outbox import outbox_add
from framing.common.transitions import check_transition
from framing.common.zones import day_in, end_of_day
from quotes.models import QuoteRevision
from quotes.selectors import alternates_fit, approval_holds, approval_reasons
from quotes.services.approvals import REASON_MOST
from quotes.services.changing import check_change_open
from quotes.services.rows import lock_draft, move_quote
from quotes.states import QUOTE_MOVES


def revision_issue(
    *, actor: Actor, revision: QuoteRevision, key: str, at: datetime, release_reason: str = ""
) -> QuoteRevision:
    """Issue a draft: fixed for ever, valid for the price book's days, its paper asked for.

    Args:
        key: idempotency key; the same key again returns the same revision.
        release_reason: the engineer's recorded release where a member fails its checks (R18).

    Raises:
        Clash: issued meanwhile, or the quote is at another stage.
        Refused: a member fails without a release, or no approval holds for this total (R39).
    """
    released = release_reason.strip()
    with transaction.atomic():
        body = {"revision": revision.pk, "release_reason": released}
        claim = claim_key(actor=actor, verb="revision_issue", key=key, body=body)
        if claim.done:
            return QuoteRevision.objects.select_related("quote").get(pk=revision.pk)
        quote, draft = lock_draft(revision, actor, "quote", "issue")
        if draft.after_booking:
            check_change_open(draft)
        else:
            stage = check_transition(QUOTE_MOVES, quote.stage, "issue", quote.number)
        fits = draft.fits and alternates_fit(draft)
        _refuse_unfit(draft, released, fits=fits)
        draft.release_reason = "" if fits else released
        draft.issued_at, draft.issued_by = at, actor.name[:160]
        _set_validity(draft, quote.project.site.time_zone, at)
        draft.save(
            update_fields=[
                "release_reason",
                "issued_at",
                "issued_by",
                "valid_until",
                "valid_day",
                "valid_zone",
            ]
        )
        if not draft.after_booking:  # a booked quote stays booked
            move_quote(quote, stage, actor=actor, at=at, why=draft.release_reason)
        change = {
            "revision": draft.number,
            "total": str(draft.total),
            "valid_until": str(draft.valid_day),
        }
        audit_record(actor, "revision_issue", quote, at=at, change=change, why=draft.release_reason)
        outbox_add("quote_paper", str(draft.pk), {"revision": draft.pk})
        claim.finish({"revision": draft.public_id})
    return draft


def _set_validity(draft: QuoteRevision, zone: str, at: datetime) -> None:
    """The offer holds for the book's days after the day of issue, to the end of the last one at the site (R41)."""
    draft.valid_zone = zone
    draft.valid_day = day_in(at, zone) + timedelta(days=draft.price_book.valid_days)
    draft.valid_until = end_of_day(draft.valid_day, zone)


def _refuse_unfit(draft: QuoteRevision, released: str, *, fits: bool) -> None:
    if not fits and not released:
        who = "an alternate with" if draft.fits else ""
        raise Refused(
            f"{draft} has {who} members that fail. ".replace("  ", " ")
            + "Change the floor, or record the engineer's release.",
            field="release_reason",
        )
    if len(released) > REASON_MOST:
        raise Refused(f"A release has at most {REASON_MOST} signs.", field="release_reason")
    reasons = approval_reasons(draft)
    if reasons and not approval_holds(draft):
        raise Refused(
            " ".join((*reasons, f"A manager must approve {draft} at its total of {draft.total} first."))
        )
