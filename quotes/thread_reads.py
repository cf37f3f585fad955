"""What is read of a quote's thread and mails."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Max, Q, QuerySet

from framing.common.mail import mail_given_up, mail_list
from framing.common.mail_letter import LINK_MARK
from framing.common.mail_words import Recipient
from framing.common.models import AccessLink, MailMessage, MailState, User
from quotes.mail_kinds import KINDS, REMINDER
from quotes.models import Quote, Side, ThreadMessage


def thread_of(quote: Quote) -> QuerySet[ThreadMessage]:
    """All messages, oldest first."""
    return quote.thread.select_related("user", "seen_by").order_by("id")


def unread_of(quote: Quote) -> int:
    """How many of the builder's messages nobody marked as read."""
    return quote.thread.filter(side=Side.BUILDER, seen_at=None).count()


def quotes_unread(owner: User | None = None) -> QuerySet[Quote]:
    """Quotes with `unread` messages since `last_at`, oldest first; an owner's and his team's, or all."""
    waits = Q(thread__side=Side.BUILDER, thread__seen_at=None)
    rows = Quote.objects.filter(waits)
    if owner is not None:
        rows = rows.filter(Q(owner=owner) | (Q(owner__team=owner.team) if owner.team else Q()))
    return (
        rows.select_related("project__builder", "owner")
        .annotate(unread=Count("thread", filter=waits), last_at=Max("thread__at", filter=waits))
        .order_by("last_at")
    )


def people_reached(quote: Quote, at: datetime) -> list[tuple[AccessLink, Recipient]]:
    """Whom a link was mailed that still lives: the newest of each address."""
    found: dict[str, tuple[AccessLink, Recipient]] = {}
    rows = mail_list(quote).filter(link__withdrawn_at=None, link__expires_at__gt=at)
    for mail in rows:
        if mail.link is not None:
            to = Recipient(mail.to_name, mail.to_address)
            found.setdefault(mail.to_address.lower(), (mail.link, to))
    return list(reversed(found.values()))


@dataclass(frozen=True, slots=True)
class MailRow:
    """A mail as the page shows it."""

    mail: MailMessage
    title: str
    words: str
    tone: str
    repeatable: bool

    @property
    def shown_text(self) -> str:
        """The text without the link, which is nowhere kept."""
        return self.mail.text.replace(LINK_MARK, "(the link)")


_TONES = {
    MailState.QUEUED: "going",
    MailState.SENT: "good",
    MailState.UNSURE: "care",
    MailState.BOUNCED: "bad",
    MailState.FAILED: "bad",
}


def mail_rows(quote: Quote) -> list[MailRow]:
    """What was mailed about a quote, newest first."""
    return [mail_row(mail) for mail in mail_list(quote)]


def mail_row(mail: MailMessage) -> MailRow:
    """A mail in words; one that the worker gave up counts as not sent."""
    state = MailState.FAILED if mail_given_up(mail) else MailState(mail.state)
    kind = KINDS.get(mail.kind)
    if is_held_back(mail):
        return MailRow(mail, kind.title if kind else mail.kind, "Held back", "plain", repeatable=False)
    return MailRow(
        mail, kind.title if kind else mail.kind, state.label, _TONES[state], state == MailState.FAILED
    )


def is_held_back(mail: MailMessage) -> bool:
    """A reminder that was not tried, for there was no need of it any more when the worker came to it."""
    return mail.kind == REMINDER and mail.state == MailState.FAILED and not (mail.attempts or mail.in_doubt)


def mails_not_arrived(quote: Quote) -> list[MailMessage]:
    """Mails that came back or were not sent and that no later one to the same address made good, newest first.

    One that the worker gave up without a word counts as not sent.
    """
    found: dict[str, MailMessage] = {}
    for mail in mail_list(quote):
        if not is_held_back(mail):
            found.setdefault(mail.to_address.lower(), mail)
    over = (MailState.BOUNCED, MailState.FAILED)
    return [mail for mail in found.values() if mail.state in over or mail_given_up(mail)]
