"""The thread of a quote: the builder asks, staff answer, by page or by mail; both get it by mail."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.conf import settings
from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor, by_link, person
from framing.common.audit import audit_record
from framing.common.errors import NotThere, Refused
from framing.common.limits import Limit
from framing.common.mail import mail_of_reply, mail_queue
from framing.common.mail_reading import Incoming, read_mail
from framing.common.mail_words import Recipient, plain_text
from framing.common.models import MailMessage
from quotes.mail_kinds import ANSWER, KINDS, QUESTION
from quotes.models import Quote, QuoteRevision, Side, ThreadMessage, Way
from quotes.selectors import revision_by_pk, revision_latest, revision_offered
from quotes.services.accepting import check_link
from quotes.services.rows import lock_quote, lock_revision
from quotes.services.sending import quote_letter
from quotes.thread_reads import people_reached

WORDS_MOST: Final = 4000
QUESTIONS: Final = Limit("question", most=20, window_s=3600)


def thread_ask(*, actor: Actor, revision: QuoteRevision, text: str, at: datetime) -> ThreadMessage:
    """Write a builder's question to the thread, and mail it to the quote's owner.

    Raises:
        Refused: no words, or too many.
        TooMany: 20 questions by one link within an hour.
        NotThere: the link is over or belongs to another revision.
    """
    words = read_words(text)
    if actor.link is None:
        raise NotThere()
    QUESTIONS.check(actor.link.public_id, at)
    with transaction.atomic():
        quote, revision = lock_revision(revision)
        require(actor, "quote", "write")
        check_link(actor, revision, at)
        message = _write(quote, Side.BUILDER, actor, words, at)
        _tell_owner(actor, revision, message)
    QUESTIONS.count(actor.link.public_id, at)
    return message


def thread_answer(*, actor: Actor, quote: Quote, text: str, at: datetime) -> ThreadMessage:
    """Write staff's words to the thread, mail them to whom the offer was sent; what stood there counts as read.

    Raises Refused for no words or too many, NotAllowed for a quote of others.
    """
    words = read_words(text)
    with transaction.atomic():
        quote = lock_quote(quote.pk)
        require(actor, "quote", "write", owner=quote.owner, owned=True)
        message = _write(quote, Side.STAFF, actor, words, at)
        _mark_seen(quote, actor, at)
        _tell_builder(actor, quote, message, at)
    return message


def thread_seen(*, actor: Actor, quote: Quote, at: datetime) -> int:
    """Mark a builder's messages as read; returns how many were not. Twice does no harm."""
    with transaction.atomic():
        quote = lock_quote(quote.pk)
        require(actor, "quote", "write", owner=quote.owner, owned=True)
        count = _mark_seen(quote, actor, at)
        if count:
            audit_record(actor, "thread_seen", quote, at=at, change={"messages": count})
    return count


def read_words(text: str) -> str:
    """What was written. Raises Refused at `text`."""
    words = plain_text(text, len(text) + 1)
    if not 1 <= len(words) <= WORDS_MOST:
        raise Refused(f"Write 1 to {WORDS_MOST:,} signs; this is {len(words):,}.", field="text")
    return words


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What became of a mail: `outcome` is taken, again (was here already), unmatched, over or empty.

    `automatic`: a machine wrote it.
    """

    outcome: str
    message: ThreadMessage | None = None
    automatic: bool = False


def mail_take_in(raw: bytes, *, at: datetime) -> TakenIn:
    """Take in one mail: a reply to one of ours goes to the thread of its quote.

    Only the token of the reply's address decides, never a sender's name. A machine's answer is kept but neither
    mailed on nor answered. Raises TooBig, Unreadable.
    """
    mail = read_mail(raw)
    ours = mail_of_reply(mail.to)
    if ours is None or ours.subject_type != Quote._meta.label_lower:
        return TakenIn("unmatched", automatic=mail.automatic)
    actor = _writer(ours, at)
    if actor is None:
        return TakenIn("over", automatic=mail.automatic)
    if not mail.text and not mail.attachments:
        return TakenIn("empty")
    with transaction.atomic():
        quote = lock_quote(ours.subject_id)
        if actor.is_staff:
            require(actor, "quote", "write", owner=quote.owner, owned=True)
        found = quote.thread.filter(mail_id=mail.message_id).exclude(mail_id="").first()
        if found is not None:
            return TakenIn("again", found)
        return TakenIn("taken", _take(quote, actor, mail, at))


def _take(quote: Quote, actor: Actor, mail: Incoming, at: datetime) -> ThreadMessage:
    side = Side.STAFF if actor.is_staff else Side.BUILDER
    words = plain_text(mail.text, WORDS_MOST) or "(no words)"
    message = _write(quote, side, actor, words, at, mail)
    if mail.automatic:
        return message
    if side == Side.STAFF:
        _mark_seen(quote, actor, at)
        _tell_builder(actor, quote, message, at)
    elif actor.link is not None:
        _tell_owner(actor, revision_by_pk(actor.link.subject_id), message)
    return message


def _writer(ours: MailMessage, at: datetime) -> Actor | None:
    """Who may write by a reply to this mail: a builder whose link lives, or a member of staff who still is one."""
    if ours.to_user is not None:
        return person(ours.to_user) if ours.to_user.is_active else None
    link = ours.link
    if link is None or link.withdrawn_at is not None or link.expires_at <= at:
        return None
    return by_link(link)


def _write(
    quote: Quote, side: Side, actor: Actor, words: str, at: datetime, mail: Incoming | None = None
) -> ThreadMessage:
    message = ThreadMessage.objects.create(
        quote=quote,
        at=at,
        side=side,
        way=Way.MAIL if mail else Way.PAGE,
        name=actor.name[:160],
        user=actor.user,
        link=actor.link,
        text=words,
        automatic=mail.automatic if mail else False,
        attachments=list(mail.attachments) if mail else [],
        from_address=mail.from_address if mail else "",
        mail_id=mail.message_id if mail else "",
    )
    verb = "thread_answer" if side == Side.STAFF else "thread_ask"
    audit_record(actor, verb, quote, at=at, change={"message": message.pk})
    return message


def _mark_seen(quote: Quote, actor: Actor, at: datetime) -> int:
    rows = quote.thread.filter(side=Side.BUILDER, seen_at=None)
    return rows.update(seen_at=at, seen_by=actor.user)


def _tell_owner(actor: Actor, revision: QuoteRevision, message: ThreadMessage) -> None:
    owner = revision.quote.owner
    if not owner.is_active:
        return
    to = Recipient(owner.name, owner.email)
    page = f"{settings.PUBLIC_URL.rstrip('/')}/quotes/{revision.quote.public_id}/thread/"
    more = {"writer": actor.name, "question": message.text, "page": page}
    letter = quote_letter(KINDS[QUESTION], revision, to, more)
    mail_queue(
        actor=actor,
        kind=QUESTION,
        about=revision.quote,
        to=to,
        letter=letter,
        takes_replies=True,
        to_user=owner,
    )


def _tell_builder(actor: Actor, quote: Quote, message: ThreadMessage, at: datetime) -> None:
    revision = revision_offered(quote) or revision_latest(quote)
    for link, to in people_reached(quote, at):
        letter = quote_letter(KINDS[ANSWER], revision, to, {"writer": actor.name, "answer": message.text})
        mail_queue(actor=actor, kind=ANSWER, about=quote, to=to, letter=letter, link=link, takes_replies=True)
