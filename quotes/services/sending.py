"""Sending an offer: to each person a mail with a link of his own, written in one transaction, sent after it (R41)."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime

from django.conf import settings
from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.company import company
from framing.common.errors import Clash, Refused
from framing.common.idempotency import claim_key
from framing.common.links import link_make
from framing.common.mail import mail_queue, new_link_seed
from framing.common.mail_letter import LINK_MARK, Letter, lay
from framing.common.mail_templates import Words, template_words
from framing.common.mail_words import MailKind, Recipient, fill, plain_line, plain_text, read_recipient
from framing.common.models import LinkPurpose, MailMessage
from framing.common.templatetags.figures import money
from framing.common.zones import day_words
from quotes.mail_kinds import ANSWER, KINDS, QUESTION, REMINDER, SENT
from quotes.models import Acceptance, Quote, QuoteRevision
from quotes.selectors import revision_offered
from quotes.services.issuing import revision_issue
from quotes.services.links import link_end, over_words
from quotes.services.rows import lock_revision

PEOPLE_MOST = 10
WORD_MOST = 2000


def quote_letter(
    kind: MailKind,
    revision: QuoteRevision,
    to: Recipient,
    more: Mapping[str, str],
    words: Words | None = None,
) -> Letter:
    """The letter of a kind about a revision; `words` are tried instead of those that hold."""
    held = words or template_words(kind)
    values = {**quote_values(revision), "name": plain_line(to.name, 160), "link": LINK_MARK, **more}
    text = re.sub(r"\n{3,}", "\n\n", fill(held.text, values))
    replies = kind.name in (QUESTION, ANSWER) and bool(settings.SPANYARD_MAIL_REPLY)
    return lay(fill(held.subject, values), text, link_words=kind.button, replies=replies)


def quote_values(revision: QuoteRevision) -> dict[str, str]:
    """What the placeholders about a quote stand for."""
    quote, firm = revision.quote, company()
    return {
        "builder": plain_line(quote.project.builder.name),
        "project": plain_line(quote.project.name),
        "quote": str(revision),
        "total": money(revision.total, revision.currency),
        "valid_until": day_words(revision.valid_day) if revision.valid_day else "the day that issuing sets",
        "seller": plain_line(quote.owner.name),
        "company": firm.name,
        "phone": firm.phone,
    }


def quote_preview(
    *, actor: Actor, revision: QuoteRevision, to: Recipient, word: str = "", kind: str = SENT
) -> Letter:
    """The mail as it would go out, its link left open; writes nothing."""
    require(actor, "quote", "send", owner=revision.quote.owner, owned=True)
    return quote_letter(KINDS[kind], revision, to, {"word": read_word(word)}).with_link(
        "(the link is made when the mail is sent)"
    )


def quote_send(
    *,
    actor: Actor,
    revision: QuoteRevision,
    people: Sequence[tuple[str, str]],
    key: str,
    at: datetime,
    word: str = "",
    kind: str = SENT,
) -> list[MailMessage]:
    """Send an issued offer to people of the builder, each with a link of his own.

    Args:
        people: (name, mail address) of each; a new link ends an earlier one of the same name, but a reminder's.
        word: what the seller adds; plain text.
        key: idempotency key; the same key again sends nothing more.
        kind: SENT or REMINDER.

    Raises:
        Refused: nobody, too many, one twice, a name or an address that cannot be.
        Clash: a draft, replaced, answered, or over.
    """
    named, added = read_people(people), read_word(word)
    with transaction.atomic():
        body = {
            "revision": revision.pk,
            "people": [[p.name, p.address] for p in named],
            "word": added,
            "kind": kind,
        }
        claim = claim_key(actor=actor, verb="quote_send", key=key, body=body)
        if claim.done:
            found = MailMessage.objects.filter(pk__in=claim.result["mails"])
            return list(found.order_by("id"))
        quote, revision = lock_revision(revision)
        require(actor, "quote", "send", owner=quote.owner, owned=True)
        expires_at = _end_of_offer(quote, revision, at)
        mails = [send_one(actor, revision, to, added, kind, expires_at, at) for to in named]
        change = {
            "revision": revision.number,
            "to": [f"{to.name} <{to.address}>" for to in named],
            "kind": kind,
        }
        audit_record(actor, "quote_send", quote, at=at, change=change)
        claim.finish({"mails": [mail.pk for mail in mails]})
    return mails


def revision_issue_and_send(
    *,
    actor: Actor,
    revision: QuoteRevision,
    people: Sequence[tuple[str, str]],
    key: str,
    at: datetime,
    word: str = "",
    release_reason: str = "",
) -> list[MailMessage]:
    """Issue a draft and send it, both or nothing. Raises as `revision_issue` and `quote_send`."""
    with transaction.atomic():
        issued = revision_issue(actor=actor, revision=revision, key=key, at=at, release_reason=release_reason)
        return quote_send(
            actor=actor, revision=issued, people=people, key=f"{key[:74]}.send", at=at, word=word
        )


def send_one(
    actor: Actor,
    revision: QuoteRevision,
    to: Recipient,
    word: str,
    kind: str,
    expires_at: datetime,
    at: datetime,
) -> MailMessage:
    """Write one mail with a link in the caller's transaction. A reminder leaves the earlier link open beside its own:
    the first mail may be forwarded, kept, or answered, and a reply holds as long as that mail's link.
    """
    seed, secret = new_link_seed()
    link, _ = link_make(
        actor=actor,
        purpose=LinkPurpose.QUOTE,
        subject=revision,
        for_name=to.name,
        expires_at=expires_at,
        at=at,
        secret=secret,
        keep_earlier=kind == REMINDER,
    )
    return mail_queue(
        actor=actor,
        kind=kind,
        about=revision.quote,
        to=to,
        letter=quote_letter(KINDS[kind], revision, to, {"word": word}),
        link=link,
        link_seed=seed,
        takes_replies=True,
    )


def _end_of_offer(quote: Quote, revision: QuoteRevision, at: datetime) -> datetime:
    expires_at = link_end(revision, at)
    offered = revision_offered(quote)
    stage = "booked" if revision.after_booking else "issued"
    answered = revision.after_booking and Acceptance.objects.filter(revision=revision).exists()
    if quote.stage != stage or answered or offered is None or offered.pk != revision.pk:
        raise Clash(
            f"{revision} is not open any more; {quote.number} is {quote.get_stage_display().lower()}."
        )
    if revision.valid_until is not None and revision.valid_until <= at:
        raise Clash(over_words(revision, "Revise it first."))
    return expires_at


def read_people(people: Sequence[tuple[str, str]]) -> list[Recipient]:
    """The people as typed. Raises Refused at `people`, or at `name-2`, `email-2` for the second one."""
    if not 1 <= len(people) <= PEOPLE_MOST:
        raise Refused(f"Name 1 to {PEOPLE_MOST} people to send to, not {len(people)}.", field="people")
    found: list[Recipient] = []
    for place, (name, address) in enumerate(people, 1):
        try:
            to = read_recipient(name, address)
        except Refused as error:
            raise Refused(error.message, field=f"{error.field}-{place}") from error
        if any(to.address.lower() == other.address.lower() for other in found):
            raise Refused(f"{to.address} is named twice.", field=f"email-{place}")
        if any(to.name == other.name for other in found):
            raise Refused(f"Two people are called {to.name}; tell them apart.", field=f"name-{place}")
        found.append(to)
    return found


def read_word(word: str) -> str:
    """What the seller adds. Raises Refused at `word`."""
    added = plain_text(word)
    if len(added) > WORD_MOST:
        raise Refused(f"Your own words have at most {WORD_MOST} signs.", field="word")
    return added
