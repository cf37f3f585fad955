"""The thread of a quote: asked and answered by page and by mail, by token only, unread until marked (item 5)."""

from __future__ import annotations

import io
from email.message import EmailMessage
from typing import Any

import pytest
from django.core import mail as outbox
from django.core.management import CommandError, call_command
from django.db import DatabaseError, transaction

from framing.common.actors import by_link, person
from framing.common.errors import NotAllowed, NotThere, Refused, TooMany
from framing.common.mail import SEND, reply_address
from framing.common.models import AccessLink, MailMessage, OutboxEntry, Role
from framing.common.outbox import outbox_run
from quotes import services
from quotes.models import QuoteRevision, Side, ThreadMessage, Way
from quotes.thread_reads import people_reached, quotes_unread, unread_of
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def clocked(monkeypatch):
    from framing.common import mail_sending

    monkeypatch.setattr(mail_sending, "database_now", lambda: quotes.AT)


def sent() -> tuple[QuoteRevision, MailMessage]:
    """An offer mailed to Rae Winter."""
    revision = quotes.issued()
    (mail,) = services.quote_send(
        actor=person(revision.quote.owner),
        revision=revision,
        people=[("Rae Winter", "rae@winter.example")],
        key=quotes.key(),
        at=quotes.AT,
    )
    work()
    outbox.outbox.clear()
    mail.refresh_from_db()
    return revision, mail


def work() -> None:
    for entry in OutboxEntry.objects.filter(kind=SEND, done_at=None):
        outbox_run(entry.pk)


def reply(to: MailMessage, text: str = "Can the stair move?", **heads: Any) -> bytes:
    message = EmailMessage()
    fields = {"From": "Rae <rae@winter.example>", "To": reply_address(to), "Message-ID": "<one@x.example>"}
    for name, value in (fields | {key.replace("_", "-"): value for key, value in heads.items()}).items():
        message[name] = value
    message.set_content(text)
    return message.as_bytes()


def take(raw: bytes) -> services.TakenIn:
    return services.mail_take_in(raw, at=quotes.AT)


def ask(revision: QuoteRevision, mail: MailMessage, text: str = "Can the stair move?") -> ThreadMessage:
    assert mail.link is not None
    return services.thread_ask(actor=by_link(mail.link), revision=revision, text=text, at=quotes.AT)


def test_a_question_reaches_the_owner_by_mail_and_waits_unread():
    revision, mail = sent()
    ask(revision, mail, "Can the <stair> move?")
    work()
    (told,) = outbox.outbox
    assert told.to == [f"{revision.quote.owner.name} <{revision.quote.owner.email}>"]
    assert "Rae Winter asks about" in told.subject
    assert "Can the <stair> move?" in told.body
    assert "&lt;stair&gt;" in told.alternatives[0][0]
    assert told.reply_to[0].count("+") == 1
    assert unread_of(revision.quote) == 1
    assert [quote.unread for quote in quotes_unread(revision.quote.owner)] == [1]
    assert not quotes_unread(people.user()).exists()


def test_an_answer_reaches_everyone_with_a_live_link_and_marks_as_read():
    revision, mail = sent()
    ask(revision, mail)
    services.thread_answer(
        actor=person(revision.quote.owner), quote=revision.quote, text="By 6 in, yes.", at=quotes.AT
    )
    work()
    told = outbox.outbox[-1]
    assert told.to == ["Rae Winter <rae@winter.example>"]
    assert "By 6 in, yes." in told.body
    assert unread_of(revision.quote) == 0
    services.quote_link_withdraw(
        actor=person(revision.quote.owner), revision=revision, link=mail.link, at=quotes.AT
    )
    assert people_reached(revision.quote, quotes.AT) == []


def test_a_reply_by_mail_comes_in_once_and_goes_on_to_the_owner():
    revision, mail = sent()
    raw = reply(mail, "Yes please.\n\nOn Monday Lark wrote:\n> old\n")
    assert (take(raw).outcome, take(raw).outcome) == ("taken", "again")
    (message,) = revision.quote.thread.all()
    assert (message.side, message.way, message.name) == (Side.BUILDER, Way.MAIL, "Rae Winter")
    assert message.text == "Yes please."
    work()
    assert len(outbox.outbox) == 1
    answer = reply(
        MailMessage.objects.latest("id"), "Done.", Message_ID="<two@x.example>", From="any@one.example"
    )
    taken = take(answer)
    assert taken.message is not None
    assert (taken.outcome, taken.message.side, taken.message.user) == (
        "taken",
        Side.STAFF,
        revision.quote.owner,
    )
    assert unread_of(revision.quote) == 0
    work()
    assert outbox.outbox[-1].to == ["Rae Winter <rae@winter.example>"]


def test_only_the_token_decides_whose_mail_it_is():
    revision, mail = sent()
    stranger = reply(mail, From="boss@larkmeadow.example", Message_ID="<three@x.example>")
    taken = take(stranger)
    assert taken.message is not None
    assert (taken.message.name, taken.message.from_address) == ("Rae Winter", "boss@larkmeadow.example")
    address = reply_address(mail)
    wrong = address[:30] + ("0" if address[30] != "0" else "1") + address[31:]
    assert take(reply(mail, To=wrong)).outcome == "unmatched"
    assert (
        take(reply(mail, To="reply@larkmeadow.example", In_Reply_To=mail.message_id)).outcome == "unmatched"
    )
    assert revision.quote.thread.count() == 1


def test_a_withdrawn_link_and_one_who_left_write_no_more():
    revision, mail = sent()
    ask(revision, mail)
    told = MailMessage.objects.latest("id")
    owner = revision.quote.owner
    services.quote_link_withdraw(actor=person(owner), revision=revision, link=mail.link, at=quotes.AT)
    assert take(reply(mail)).outcome == "over"
    owner.is_active = False
    owner.save()
    assert take(reply(told)).outcome == "over"
    with pytest.raises(NotThere):
        ask(revision, mail)


def test_a_machines_answer_is_kept_and_mailed_to_nobody():
    revision, mail = sent()
    taken = take(reply(mail, "I am away.", Auto_Submitted="auto-replied"))
    assert taken.message is not None
    assert (taken.outcome, taken.message.automatic) == ("taken", True)
    work()
    assert outbox.outbox == []
    assert unread_of(revision.quote) == 1


def test_the_command_reads_one_mail_from_its_input(monkeypatch):
    revision, mail = sent()
    out = io.StringIO()
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(reply(mail))))
    monkeypatch.setattr("quotes.management.commands.take_in_mail.database_now", lambda: quotes.AT)
    call_command("take_in_mail", stdout=out)
    assert "taken" in out.getvalue()
    assert revision.quote.thread.count() == 1


@pytest.mark.parametrize(
    ("case", "code"), [("stranger", 67), ("over", 67), ("machine", None), ("broken", 65)]
)
def test_what_a_person_wrote_in_vain_goes_back_to_him(monkeypatch, case, code):
    """The exit code makes the mail server return the mail with our words; a machine's mail ends in silence."""
    _, mail = sent()
    raw = reply(mail)
    if case == "over":
        AccessLink.objects.update(withdrawn_at=quotes.AT)
    elif case == "broken":
        raw = b"\x00\xff"
    else:
        raw = raw.replace(mail.public_id.encode(), b"0" * 20)
    if case == "machine":
        raw = b"Auto-Submitted: auto-replied\r\n" + raw
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(raw)))
    monkeypatch.setattr("quotes.management.commands.take_in_mail.database_now", lambda: quotes.AT)
    if code is None:
        call_command("take_in_mail", stdout=io.StringIO())
        return
    with pytest.raises(CommandError) as caught:
        call_command("take_in_mail", stdout=io.StringIO())
    assert caught.value.returncode == code
    assert ("quotes@larkmeadow.example" in str(caught.value)) == (code == 67)


def test_words_have_a_size_and_a_link_a_measure():
    revision, mail = sent()
    for bad in ("", "  \u202e ", "x" * 4001):
        with pytest.raises(Refused) as caught:
            ask(revision, mail, bad)
        assert caught.value.field == "text"
    for number in range(20):
        ask(revision, mail, f"Question {number}")
    with pytest.raises(TooMany):
        ask(revision, mail)
    assert revision.quote.thread.count() == 20


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR, Role.SELLER])
def test_only_the_owner_his_team_and_managers_write(role):
    revision, mail = sent()
    ask(revision, mail)
    for act in (
        lambda who: services.thread_answer(actor=who, quote=revision.quote, text="Hi", at=quotes.AT),
        lambda who: services.thread_seen(actor=who, quote=revision.quote, at=quotes.AT),
    ):
        with pytest.raises(NotAllowed):
            act(people.actor(role))
    assert services.thread_seen(actor=people.actor(Role.MANAGER), quote=revision.quote, at=quotes.AT) == 1
    assert services.thread_seen(actor=people.actor(Role.MANAGER), quote=revision.quote, at=quotes.AT) == 0


def test_the_thread_is_kept_as_written_by_the_database():
    revision, mail = sent()
    message = ask(revision, mail)
    rows = ThreadMessage.objects.filter(pk=message.pk)
    for act in (lambda: rows.update(text="x"), lambda: rows.update(name="x"), rows.delete):
        with pytest.raises(DatabaseError), transaction.atomic():
            act()
    rows.update(seen_at=quotes.AT)
