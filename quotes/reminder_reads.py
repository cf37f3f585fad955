"""Who is to be reminded of an offer, and when: reads and the rule of days, which is pure."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db.models import Q

from framing.common.mail_words import Recipient
from framing.common.models import MailMessage, MailState
from framing.common.zones import day_in
from quotes.mail_kinds import REMINDER, SENT
from quotes.models import Quote, QuoteRevision, Reminder
from quotes.states import QuoteStage

FROM: Final = time(8)
UNTIL: Final = time(17)
MARK_MOST: Final = 60


def reminder_marks() -> tuple[int, ...]:
    """So many days before an offer's last day people are reminded, the company's setting; the nearest day first."""
    return tuple(sorted({days for days in settings.SPANYARD_REMINDER_DAYS if 0 <= days <= MARK_MOST}))


def mark_due(left: int, held: int, marks: Sequence[int], done: Collection[int]) -> int | None:
    """Which reminder is due today, if any.

    What was missed is made good while no later mark has come; one that is done is done.

    Args:
        left: days from today to the last day of the offer.
        held: days from the day of the last mail to the last day; who was mailed on or after a mark's day, or less
            than that before the end, has heard.
        marks, done: days before the last day, and those already sent to this address.
    """
    if left < 0:
        return None
    mark = min((mark for mark in marks if mark >= left), default=None)
    return mark if mark is not None and held > mark and mark not in done else None


def next_mark(left: int, held: int, marks: Sequence[int], done: Collection[int]) -> int | None:
    """So many days before the last day the next reminder goes, if one will: due now, or to come."""
    due = mark_due(left, held, marks, done)
    if due is not None:
        return min(due, left)
    return max((mark for mark in marks if mark < min(left, held) and mark not in done), default=None)


def is_waking(at: datetime, zone: str) -> bool:
    """Whether it is between 8 and 17 at the site."""
    return FROM <= at.astimezone(ZoneInfo(zone)).time() < UNTIL


def days_left(revision: QuoteRevision, at: datetime) -> int:
    """Days from an instant's day at the site to the last day of an issued offer; 0 on it, below 0 after it."""
    if revision.valid_day is None:
        raise ValueError(f"{revision} was never issued")
    return (revision.valid_day - day_in(at, revision.valid_zone)).days


def is_open(quote: Quote, revision: QuoteRevision, at: datetime) -> bool:
    """Whether a revision, the newest issued one, can still be answered."""
    return quote.stage == QuoteStage.ISSUED and revision.valid_until is not None and revision.valid_until > at


@dataclass(frozen=True, slots=True)
class Reached:
    """A person who got a revision by mail, by a link that still opens, and when he was mailed last."""

    to: Recipient
    mailed_at: datetime


def people_mailed(revision: QuoteRevision, at: datetime) -> list[Reached]:
    """Whom a revision was mailed to and can be reminded.

    Left out are those whose last mail came back, and those whose link was withdrawn or is over. One query.
    """
    newest: dict[str, MailMessage] = {}
    rows = MailMessage.objects.filter(
        Q(sent_at__isnull=False),
        kind__in=(SENT, REMINDER),
        link__subject_type=QuoteRevision._meta.label_lower,
        link__subject_id=revision.pk,
    )
    for mail in rows.select_related("link").order_by("-id"):
        newest.setdefault(mail.to_address.lower(), mail)
    return [
        Reached(Recipient(mail.to_name, mail.to_address), mail.sent_at)
        for mail in reversed(newest.values())
        if mail.sent_at and mail.state != MailState.BOUNCED and _opens(mail, at)
    ]


def _opens(mail: MailMessage, at: datetime) -> bool:
    link = mail.link
    return link is not None and link.withdrawn_at is None and link.expires_at > at


def reminded(revision: QuoteRevision) -> dict[str, set[int]]:
    """Marks that are done, by address in small letters."""
    done: dict[str, set[int]] = {}
    for address, days in Reminder.objects.filter(revision=revision).values_list("address", "days"):
        done.setdefault(address, set()).add(days)
    return done


def quotes_to_remind(at: datetime) -> list[int]:
    """Ids of issued quotes whose offer ends within the days of the earliest reminder."""
    marks = reminder_marks()
    if not marks:
        return []
    until = at + timedelta(days=marks[-1] + 2)  # a day may have 25 hours, and begins elsewhere earlier
    rows = Quote.objects.filter(stage=QuoteStage.ISSUED, reminders=True)
    rows = rows.filter(revisions__valid_until__gt=at, revisions__valid_until__lte=until).distinct()
    return list(rows.order_by("id").values_list("pk", flat=True))


@dataclass(frozen=True, slots=True)
class ReminderPart:
    """How reminders of an open offer stand: whom they reach, and the day of the next one by itself."""

    on: bool
    marks: tuple[int, ...]
    people: tuple[Recipient, ...]
    next_day: date | None

    @property
    def mark_words(self) -> str:
        """“3 days and 1 day”; “” where the company wants none."""
        words = [f"{days} day{'' if days == 1 else 's'}" for days in reversed(self.marks)]
        return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


def reminder_part(revision: QuoteRevision, at: datetime) -> ReminderPart | None:
    """For the revision's page; None where the offer is not open."""
    quote, day = revision.quote, revision.valid_day
    if not is_open(quote, revision, at) or day is None:
        return None
    people, marks, done = people_mailed(revision, at), reminder_marks(), reminded(revision)
    left = days_left(revision, at)
    coming = [
        next_mark(left, days_left(revision, one.mailed_at), marks, done.get(one.to.address.lower(), ()))
        for one in people
    ]
    soonest = max((mark for mark in coming if mark is not None), default=None) if quote.reminders else None
    return ReminderPart(
        quote.reminders,
        marks,
        tuple(one.to for one in people),
        None if soonest is None else day - timedelta(days=soonest),
    )
