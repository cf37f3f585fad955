"""The builder's link to one issued revision."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import Clash, NotThere, Refused
from framing.common.links import link_list, link_make, link_withdraw
from framing.common.models import AccessLink, LinkPurpose
from framing.common.zones import day_words
from quotes.models import QuoteRevision
from quotes.services.rows import lock_quote, lock_revision

DAYS_AFTER_VALIDITY = 7
NAME_MOST = 160


def quote_link_make(
    *, actor: Actor, revision: QuoteRevision, for_name: str, at: datetime
) -> tuple[AccessLink, str]:
    """Make a link for a named person; returns it and its full address, which is shown once and never stored.

    Raises Refused without a name; Clash for a draft or once the link would be over already.
    """
    name = for_name.strip()
    if not 1 <= len(name) <= NAME_MOST:
        raise Refused(f"Name the person the link is for, in 1 to {NAME_MOST} signs.", field="for_name")
    with transaction.atomic():
        quote, revision = lock_revision(revision)
        require(actor, "quote_link", "make", owner=quote.owner, owned=True)
        expires_at = link_end(revision, at)
        link, secret = link_make(
            actor=actor,
            purpose=LinkPurpose.QUOTE,
            subject=revision,
            for_name=name,
            expires_at=expires_at,
            at=at,
        )
    return link, f"{settings.PUBLIC_URL.rstrip('/')}/l/{secret}/"


def link_end(revision: QuoteRevision, at: datetime) -> datetime:
    """When a link made now ends. Raises Clash for a draft or once it would be over already."""
    if revision.issued_at is None or revision.valid_until is None:
        raise Clash(f"{revision} is a draft. Issue it, then send its link.")
    expires_at = revision.valid_until + timedelta(days=DAYS_AFTER_VALIDITY)
    if expires_at <= at:
        raise Clash(over_words(revision, "Revise it first."))
    return expires_at


def over_words(revision: QuoteRevision, then: str) -> str:
    """That an offer is over, by its last day at the site, and what to do."""
    day = revision.valid_day
    return f"{revision} was valid to the end of {day_words(day)}. {then}" if day else then


def quote_link_withdraw(*, actor: Actor, revision: QuoteRevision, link: AccessLink, at: datetime) -> None:
    """Withdraw a person's link at once, with those that reminders brought him; the next act through it is refused.

    Twice does no harm.
    """
    with transaction.atomic():
        quote = lock_quote(revision.quote_id)
        require(actor, "quote_link", "withdraw", owner=quote.owner, owned=True)
        if not is_link_of(link, revision):
            raise NotThere()
        for one in link_list(revision).filter(for_name=link.for_name, withdrawn_at=None):
            link_withdraw(actor=actor, link=one, at=at)


def is_link_of(link: AccessLink, revision: QuoteRevision) -> bool:
    """Whether a link opens exactly this revision."""
    kind = (link.purpose, link.subject_type, link.subject_id)
    return kind == (LinkPurpose.QUOTE, revision._meta.label_lower, revision.pk)
