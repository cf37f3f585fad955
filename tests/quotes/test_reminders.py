"""Reminders: on their days, in the daytime of the site, once each, and never once there is no need of one (R41)."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core import mail as outbox
from hypothesis import given
from hypothesis import strategies as st

from framing.common import mail_sending
from framing.common.actors import by_link, person
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed
from framing.common.links import link_open
from framing.common.mail import mail_bounced
from framing.common.models import AccessLink, MailMessage, MailState, Role
from quotes import selectors, services, tasks
from quotes.history import history
from quotes.mail_kinds import REMINDER
from quotes.models import QuoteRevision, Reminder
from quotes.reminder_reads import mark_due, next_mark, reminder_part
from quotes.services import sending
from quotes.thread_reads import mail_rows, mails_not_arrived
from tests.factories import people, projects, quotes
from tests.quotes.reminding import ONE, RAE, SAM, THREE, remind, sent, utc, work

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


# --- the rule of days ---


@pytest.mark.parametrize(
    ("left", "held", "done", "due"),
    [
        (4, 30, (), None),  # too early
        (3, 30, (), 3),
        (2, 30, (), 3),  # the third day was missed: made good
        (2, 30, (3,), None),
        (1, 30, (), 1),  # a later mark has come: only that one
        (1, 30, (3,), 1),
        (0, 30, (3,), 1),
        (0, 30, (3, 1), None),
        (-1, 30, (), None),
        (3, 3, (), None),  # mailed on that very day
        (2, 3, (), None),  # mailed after it began
        (1, 2, (), 1),
        (1, 1, (), None),
    ],
)
def test_which_reminder_is_due(left: int, held: int, done: tuple[int, ...], due: int | None) -> None:
    assert mark_due(left, held, (1, 3), done) == due
    assert mark_due(left, held, (), done) is None


@pytest.mark.parametrize(
    ("left", "held", "done", "days"),
    [
        (30, 30, (), 3),
        (3, 30, (3,), 1),
        (2, 30, (), 2),
        (1, 30, (3, 1), None),
        (2, 2, (), 1),
        (0, 9, (3,), 0),
    ],
)
def test_when_the_next_one_goes(left: int, held: int, done: tuple[int, ...], days: int | None) -> None:
    assert next_mark(left, held, (1, 3), done) == days


@given(
    held=st.integers(0, 40),
    marks=st.sets(st.integers(0, 30), max_size=5),
    down=st.sets(st.integers(0, 40)),
)
def test_whatever_days_are_missed_each_mark_goes_once_and_none_before_its_day(
    held: int, marks: set[int], down: set[int]
) -> None:
    order, done = sorted(marks), set[int]()
    for left in range(held, -2, -1):
        mark = None if left in down else mark_due(left, held, order, done)
        if mark is not None:
            assert left <= mark < held
            assert mark not in done
            done.add(mark)
            assert next_mark(left, held, order, done) != left
    if not down:
        assert done == {mark for mark in marks if mark < held}


# --- by themselves ---


def test_reminders_go_on_their_days_in_the_daytime_once_each(clock: list[datetime]) -> None:
    revision = quotes.issued()
    sent(revision, RAE, SAM)
    both = ["Rae Winter <Rae@winter.example>", "Sam Löwe <sam@winter.example>"]
    assert remind(utc(29, 18), clock) == []  # four days before
    assert remind(THREE - timedelta(seconds=1), clock) == []  # 7:59:59 there
    assert remind(THREE, clock) == both
    assert remind(THREE + HOUR, clock) == remind(THREE + DAY, clock) == []
    assert remind(utc(2, 22, month=12), clock) == []  # 17:00 there
    assert remind(ONE, clock) == both
    assert remind(utc(3, 18, month=12), clock) == []
    text = outbox.outbox[-1].body
    assert "holds to the end of December 3, 2026" in text
    assert "{" not in text
    assert list(Reminder.objects.filter(address="rae@winter.example").values_list("days", flat=True)) == [
        3,
        1,
    ]
    deeds = [line.words for line in history(revision.quote, list(selectors.revision_list(revision.quote)))]
    assert deeds[0] == f"Spanyard reminded {', '.join(both)}, 1 day before the last day of the offer"
    assert [row.title for row in mail_rows(revision.quote)][:2] == ["Reminder", "Reminder"]


def test_the_link_of_a_reminder_opens_beside_the_first_one_and_both_are_withdrawn_at_once(
    clock: list[datetime],
) -> None:
    revision = quotes.issued()
    (first,) = sent(revision)
    remind(THREE, clock)
    secrets = [re.findall(r"/l/([\w-]{43})/", str(one.body))[0] for one in outbox.outbox]
    links = [link_open(secret, THREE) for secret in secrets]
    assert len({link.pk for link in links}) == 2
    assert first.link is not None
    actor = person(revision.quote.owner)
    services.quote_link_withdraw(actor=actor, revision=revision, link=first.link, at=THREE)
    assert not AccessLink.objects.filter(withdrawn_at=None).exists()
    assert remind(ONE, clock) == []


Ending = Callable[[QuoteRevision, MailMessage], Any]


def _accept(revision: QuoteRevision, mail: MailMessage) -> None:
    assert mail.link is not None
    services.quote_accept(actor=by_link(mail.link), revision=revision, name="Rae", key="k", at=quotes.AT)


def _decline(revision: QuoteRevision, mail: MailMessage) -> None:
    assert mail.link is not None
    services.quote_decline(actor=by_link(mail.link), revision=revision, reason="price", at=quotes.AT)


def _revise(revision: QuoteRevision, _: MailMessage) -> None:
    services.revision_revise(actor=person(revision.quote.owner), quote=revision.quote, at=quotes.AT)


def _withdraw(revision: QuoteRevision, mail: MailMessage) -> None:
    assert mail.link is not None
    services.quote_link_withdraw(
        actor=person(revision.quote.owner), revision=revision, link=mail.link, at=quotes.AT
    )


def _bounce(_: QuoteRevision, mail: MailMessage) -> None:
    mail_bounced(message_id=mail.message_id, words="no such box", at=quotes.AT)


def _switch_off(revision: QuoteRevision, _: MailMessage) -> None:
    services.reminders_switch(
        actor=person(revision.quote.owner), quote=revision.quote, on=False, at=quotes.AT
    )


ENDINGS = (_accept, _decline, _revise, _withdraw, _bounce, _switch_off)


@pytest.mark.parametrize("ending", ENDINGS)
def test_no_reminder_goes_once_there_is_no_need_of_one(ending: Ending, clock: list[datetime]) -> None:
    revision = quotes.issued()
    (mail,) = sent(revision)
    ending(revision, mail)
    assert remind(THREE, clock) == remind(ONE, clock) == []


@pytest.mark.parametrize("ending", [_accept, _decline, _revise, _withdraw, _switch_off])
def test_what_happens_between_asking_and_sending_holds_the_reminder_back(
    ending: Ending, clock: list[datetime]
) -> None:
    revision = quotes.issued()
    (mail,) = sent(revision)
    assert services.reminders_due(at=THREE) == 1
    ending(revision, mail)
    clock[0] = THREE + HOUR
    work()
    assert len(outbox.outbox) == 1
    row = MailMessage.objects.get(kind=REMINDER)
    assert (row.state, row.sent_at) == (MailState.FAILED, None)
    assert row.answer
    if ending is not _withdraw:
        assert mails_not_arrived(revision.quote) == []  # nothing to worry about
        shown = mail_rows(revision.quote)[0]
        assert (shown.words, shown.repeatable) == ("Held back", False)


def test_a_worker_that_comes_at_night_mails_nobody_and_the_next_day_still_reminds(
    clock: list[datetime],
) -> None:
    revision = quotes.issued()
    sent(revision)
    assert services.reminders_due(at=utc(30, 21, 59)) == 1
    clock[0] = utc(1, 7, month=12)  # two at night there
    work()
    assert len(outbox.outbox) == 1
    assert "night at the site" in MailMessage.objects.get(kind=REMINDER).answer
    assert remind(ONE, clock) == ["Rae Winter <Rae@winter.example>"]


def test_two_rounds_and_jumping_clocks_remind_once(clock: list[datetime]) -> None:
    revision = quotes.issued()
    sent(revision)
    assert [services.reminders_due(at=at) for at in (THREE, THREE)] == [1, 0]
    clock[0] = THREE
    work()
    steps = (2 * HOUR, -2 * HOUR, timedelta(0), timedelta(days=400), -400 * DAY)
    assert [services.reminders_due(at=THREE + step) for step in steps] == [0] * 5
    assert remind(ONE + 400 * DAY, clock) == []
    assert Reminder.objects.count() == 1


def test_the_beats_clock_is_the_databases(monkeypatch: pytest.MonkeyPatch) -> None:
    revision = quotes.issued()
    sent(revision)
    monkeypatch.setattr("django.utils.timezone.now", lambda: ONE)
    monkeypatch.setattr(tasks, "database_now", lambda: quotes.AT)
    tasks.reminders_due()
    assert not Reminder.objects.exists()
    monkeypatch.setattr(tasks, "database_now", lambda: THREE)
    tasks.reminders_due()
    assert Reminder.objects.count() == 1


# Eight in the morning at the site, by the offset that holds on the day: the last day is a Sunday of a clock change.
@pytest.mark.parametrize(
    ("zone", "issued", "eight"),
    [
        ("America/Denver", datetime(2026, 2, 6, 19, tzinfo=UTC), datetime(2026, 3, 7, 15, tzinfo=UTC)),  # -7
        ("America/Denver", datetime(2026, 2, 7, 19, tzinfo=UTC), datetime(2026, 3, 8, 14, tzinfo=UTC)),  # -6
        (
            "America/Denver",
            datetime(2026, 10, 3, 19, tzinfo=UTC),
            datetime(2026, 11, 1, 15, tzinfo=UTC),
        ),  # -7
        ("America/Phoenix", datetime(2026, 10, 3, 19, tzinfo=UTC), datetime(2026, 11, 1, 15, tzinfo=UTC)),
        ("Pacific/Kiritimati", datetime(2026, 10, 3, 5, tzinfo=UTC), datetime(2026, 10, 31, 18, tzinfo=UTC)),
    ],
)
def test_daytime_is_that_of_the_site_also_when_clocks_change(
    zone: str, issued: datetime, eight: datetime, clock: list[datetime], settings: Any
) -> None:
    settings.SPANYARD_REMINDER_DAYS = [1]
    quotes.price_book(valid_from="2026-01-01")
    home = projects.project(site=replace(projects.SITE, time_zone=zone))
    projects.floor(home)
    draft = services.quote_create(actor=person(home.owner), project=home, at=issued)
    revision = services.revision_issue(actor=person(home.owner), revision=draft, key=quotes.key(), at=issued)
    clock[0] = issued
    sent(revision, at=issued)
    assert remind(eight - timedelta(minutes=1), clock) == []
    assert remind(eight, clock) == ["Rae Winter <Rae@winter.example>"]


def test_a_company_without_days_reminds_nobody(clock: list[datetime], settings: Any) -> None:
    revision = quotes.issued()
    sent(revision)
    settings.SPANYARD_REMINDER_DAYS = []
    assert remind(THREE, clock) == []
    part = reminder_part(revision, THREE)
    assert part is not None
    assert (part.marks, part.next_day, part.mark_words) == ((), None, "")


def test_one_quote_that_fails_keeps_no_other_from_its_reminder(
    monkeypatch: pytest.MonkeyPatch, clock: list[datetime]
) -> None:
    owner = people.user(Role.SELLER)
    rows = [quotes.issued(owner) for _ in range(3)]
    for row in rows:
        sent(row)
    real = sending.send_one

    def broken(actor: Any, revision: QuoteRevision, *rest: Any) -> MailMessage:
        mail = real(actor, revision, *rest)
        if revision.pk == rows[0].pk:
            raise OSError("the disk is gone")
        return mail

    monkeypatch.setattr("quotes.services.reminding.send_one", broken)
    assert len(remind(THREE, clock)) == 2
    monkeypatch.undo()
    monkeypatch.setattr(mail_sending, "database_now", lambda: THREE)
    assert services.reminders_due(at=THREE) == 1


# --- by hand ---


def by_hand(revision: QuoteRevision, at: datetime, actor: Any = None, **more: Any) -> list[MailMessage]:
    key = more.pop("key", None) or quotes.key()
    return services.quote_remind(
        actor=actor or person(revision.quote.owner), revision=revision, key=key, at=at, **more
    )


def test_a_seller_reminds_at_any_hour_and_the_one_of_that_day_is_left_out(clock: list[datetime]) -> None:
    revision = quotes.issued()
    sent(revision, RAE, SAM)
    clock[0] = utc(30, 9)  # four in the morning there
    mails = by_hand(revision, clock[0], key="k", word="The crew waits.")
    assert by_hand(revision, clock[0], key="k", word="The crew waits.") == mails
    work()
    assert [one.to[0] for one in outbox.outbox[2:]] == [
        "Rae Winter <Rae@winter.example>", "Sam Löwe <sam@winter.example>",
    ]  # fmt: skip
    assert "The crew waits." in outbox.outbox[-1].body
    assert remind(THREE, clock) == []
    assert remind(ONE, clock) != []


def test_nobody_is_reminded_by_hand_of_what_nobody_was_mailed_or_of_what_is_over() -> None:
    revision = quotes.issued()
    with pytest.raises(Clash, match="send the offer instead"):
        by_hand(revision, quotes.AT)
    (mail,) = sent(revision)
    _decline(revision, mail)
    fresh = selectors.revision_get(revision.public_id)
    with pytest.raises(Clash, match="nothing to remind of"):
        by_hand(fresh, quotes.AT)
    with pytest.raises(Clash, match="nothing to remind of"):
        services.quote_remind_preview(actor=person(fresh.quote.owner), revision=fresh, at=quotes.AT)
    with pytest.raises(Clash, match="is declined"):  # the row is looked at again, whatever the page knew
        by_hand(revision, quotes.AT)


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR, Role.SELLER])
def test_only_the_owner_his_team_and_managers_remind_and_switch(role: Role) -> None:
    revision = quotes.issued()
    other = people.actor(role)
    with pytest.raises(NotAllowed):  # said before that nobody was mailed
        services.quote_remind_preview(actor=other, revision=revision, at=quotes.AT)
    sent(revision)
    with pytest.raises(NotAllowed):
        by_hand(revision, quotes.AT, other)
    with pytest.raises(NotAllowed):
        services.quote_remind_preview(actor=other, revision=revision, at=quotes.AT)
    with pytest.raises(NotAllowed):
        services.reminders_switch(actor=other, quote=revision.quote, on=False, at=quotes.AT)
    manager = people.actor(Role.MANAGER)
    assert (
        services.reminders_switch(actor=manager, quote=revision.quote, on=False, at=quotes.AT).reminders
        is False
    )
    assert len(by_hand(revision, quotes.AT, manager)) == 1


def test_switching_twice_is_one_entry_and_may_be_taken_back(clock: list[datetime]) -> None:
    revision = quotes.issued()
    sent(revision)
    actor = person(revision.quote.owner)
    for on in (False, False, True):
        services.reminders_switch(actor=actor, quote=revision.quote, on=on, at=quotes.AT)
    changes = [entry.change for entry in audit_list(revision.quote).filter(verb="reminders_switch")]
    assert changes == [{"on": False}, {"on": True}]
    assert remind(THREE, clock) == ["Rae Winter <Rae@winter.example>"]
