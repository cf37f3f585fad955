"""Sending an offer: a link of his own for each, both or nothing with issuing, no secret in the database (R41, C3)."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail as outbox
from django.core import serializers

from framing.common.actors import person
from framing.common.audit import audit_list
from framing.common.errors import Clash, NotAllowed, Refused, StaleSave
from framing.common.links import link_open
from framing.common.mail import SEND, mail_list
from framing.common.mail_templates import template_change, template_versions, template_words
from framing.common.mail_words import Recipient
from framing.common.models import AccessLink, IdempotencyKey, MailMessage, MailState, OutboxEntry, Role
from framing.common.outbox import outbox_run
from quotes import services
from quotes.mail_kinds import KINDS, SENT
from quotes.models import QuoteRevision
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db
RAE, SAM = ("Rae Winter", "rae@winter.example"), ("Sam Löwe", "sam@winter.example")


@pytest.fixture(autouse=True)
def clocked(monkeypatch):
    """The worker's clock, standing at the factories' day."""
    from framing.common import mail_sending

    monkeypatch.setattr(mail_sending, "database_now", lambda: quotes.AT)


def send(revision: QuoteRevision, *to: tuple[str, str], actor: Any = None, **more: Any) -> list[MailMessage]:
    fields = {"key": quotes.key(), "at": quotes.AT} | more
    return services.quote_send(
        actor=actor or person(revision.quote.owner), revision=revision, people=to or (RAE,), **fields
    )


def work() -> None:
    """Let the worker send all that waits."""
    for entry in OutboxEntry.objects.filter(kind=SEND, done_at=None):
        outbox_run(entry.pk)


def secret_in(body: str) -> str:
    (found,) = set(re.findall(r"/l/([\w-]{43})/", body))
    return str(found)


def test_each_person_gets_a_mail_with_a_link_of_his_own():
    revision = quotes.issued()
    mails = send(revision, RAE, SAM, word="As talked over.\nThe stair moved.")
    assert outbox.outbox == []  # nothing before the worker
    work()
    assert [one.to for one in outbox.outbox] == [
        ["Rae Winter <rae@winter.example>"], ["Sam Löwe <sam@winter.example>"],
    ]  # fmt: skip
    for row, sent in zip(mails, outbox.outbox, strict=True):
        assert link_open(secret_in(sent.body), quotes.AT).pk == row.link_id
        assert secret_in(sent.body) == secret_in(sent.alternatives[0][0])
        assert f"${revision.total:,.2f}" in sent.body
        assert str(revision) in sent.subject
        assert "As talked over.\nThe stair moved." in sent.body
        assert "{" not in sent.body
        row.refresh_from_db()
        assert row.state == MailState.SENT
    assert mails[0].link_id != mails[1].link_id
    entry = audit_list(revision.quote).filter(verb="quote_send").get()
    assert entry.change["to"] == ["Rae Winter <rae@winter.example>", "Sam Löwe <sam@winter.example>"]


def test_neither_a_waiting_nor_a_sent_mail_leaves_a_usable_secret_in_the_database():
    revision = quotes.issued()
    send(revision)
    models = (AccessLink, MailMessage, OutboxEntry, IdempotencyKey)
    waiting = "".join(serializers.serialize("json", model.objects.all()) for model in models)
    work()
    secret = secret_in(outbox.outbox[0].body)
    after = "".join(serializers.serialize("json", model.objects.all()) for model in models)
    assert secret not in waiting + after
    assert MailMessage.objects.get().link_seed == ""


def test_a_second_try_says_the_same_link(monkeypatch):
    send(quotes.issued())
    OutboxEntry.objects.filter(kind=SEND).update(attempts=1)  # a worker died after the text went out
    row = MailMessage.objects.get()
    from framing.common.mail_sending import message_of

    first = message_of(row).body
    work()
    assert secret_in(outbox.outbox[0].body) == secret_in(first)
    row.refresh_from_db()
    assert row.state == MailState.UNSURE


def test_an_equal_key_sends_once():
    revision, key = quotes.issued(), quotes.key()
    first = send(revision, key=key)
    assert send(revision, key=key) == first
    assert MailMessage.objects.count() == AccessLink.objects.count() == 1
    with pytest.raises(Refused, match="another act"):
        send(revision, SAM, key=key)


def test_a_draft_is_issued_and_sent_or_neither():
    draft = quotes.draft()
    actor = person(draft.quote.owner)
    with pytest.raises(Refused) as caught:
        services.revision_issue_and_send(
            actor=actor, revision=draft, people=[RAE, ("Sam", "nowhere")], key=quotes.key(), at=quotes.AT
        )
    assert caught.value.field == "email-2"
    draft.refresh_from_db()
    assert (draft.issued_at, MailMessage.objects.count()) == (None, 0)
    key = quotes.key()
    for _ in range(2):
        mails = services.revision_issue_and_send(
            actor=actor, revision=draft, people=[RAE], key=key, at=quotes.AT
        )
    assert [mail.to_address for mail in mails] == ["rae@winter.example"]
    assert MailMessage.objects.count() == 1


@pytest.mark.parametrize(
    ("to", "field"),
    [
        ([], "people"),
        ([(f"P{n}", f"p{n}@x.example") for n in range(11)], "people"),
        ([RAE, ("Other", "RAE@winter.example")], "email-2"),
        ([RAE, ("Rae Winter", "other@winter.example")], "name-2"),
        ([("", "a@b.example")], "name-1"),
        ([("Rae\nBcc: x@y.example", "a@b.example")], "name-1"),
    ],
)
def test_people_that_cannot_be_are_refused_at_their_field(to, field):
    revision = quotes.issued()
    with pytest.raises(Refused) as caught:
        services.quote_send(
            actor=person(revision.quote.owner), revision=revision, people=to, key=quotes.key(), at=quotes.AT
        )
    assert caught.value.field == field
    assert not AccessLink.objects.exists()


def test_only_an_open_offer_is_sent():
    draft = quotes.draft()
    with pytest.raises(Clash, match="draft"):
        send(draft)
    revision = quotes.issued()
    assert revision.valid_until is not None
    with pytest.raises(Clash, match="was valid to the end of December 3, 2026"):
        send(revision, at=revision.valid_until + timedelta(days=1))
    services.quote_decline(
        actor=person(revision.quote.owner), revision=revision, why="too dear", at=quotes.AT
    )
    with pytest.raises(Clash, match="declined"):
        send(revision)
    assert not MailMessage.objects.exists()


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR, Role.SELLER])
def test_only_the_owner_his_team_and_managers_send(role):
    revision = quotes.issued()
    with pytest.raises(NotAllowed):
        send(revision, actor=people.actor(role))
    send(revision, actor=people.actor(Role.MANAGER))


def test_a_link_withdrawn_before_the_mail_went_out_is_not_mailed():
    revision = quotes.issued()
    (row,) = send(revision)
    services.quote_link_withdraw(
        actor=person(revision.quote.owner), revision=revision, link=row.link, at=quotes.AT
    )
    work()
    row.refresh_from_db()
    assert (row.state, outbox.outbox) == (MailState.FAILED, [])
    assert "withdrawn" in row.answer


def test_sending_anew_to_the_same_person_ends_his_earlier_link():
    revision = quotes.issued()
    (first,), (second,) = send(revision), send(revision)
    first.link.refresh_from_db()
    assert first.link.withdrawn_at == quotes.AT
    assert second.link.withdrawn_at is None
    assert mail_list(revision.quote).count() == 2


def test_the_preview_is_the_mail_and_writes_nothing():
    revision = quotes.issued()
    letter = services.quote_preview(
        actor=person(revision.quote.owner), revision=revision, to=Recipient(*RAE), word="A word."
    )
    assert "the link is made when" in letter.text
    assert not MailMessage.objects.exists()
    assert not AccessLink.objects.exists()
    send(revision, word="A word.")
    work()
    sent = outbox.outbox[0]
    assert sent.subject == letter.subject
    assert re.sub(r"http\S+", "(the link is made when the mail is sent)", sent.body) == letter.text


def test_the_companys_words_hold_and_their_versions_are_kept():
    kind, actor = KINDS[SENT], people.actor(Role.MANAGER)
    assert template_words(kind).version == 0

    def change(text: str, seen: int, who: Any = actor) -> None:
        template_change(actor=who, kind=kind, subject="Offer {quote}", text=text, seen=seen, at=quotes.AT)

    change("Hi {name},\n\n{link}", 0)
    change("Hello {name},\n\n{link}", 1)
    change("Hello {name},\n\n{link}", 2)  # the same again is no version
    assert [row.version for row in template_versions(kind)] == [2, 1]
    with pytest.raises(StaleSave, match="Version 2"):
        change("Other {link}", 1)
    with pytest.raises(Refused, match=r"\{prise\}"):
        change("{link} {prise}", 2)
    with pytest.raises(NotAllowed):
        change("{link}", 2, people.actor(Role.SELLER))
    revision = quotes.issued()
    send(revision)
    work()
    assert outbox.outbox[0].subject == f"Offer {revision}"
    assert "Hello Rae Winter," in outbox.outbox[0].body


def test_first_words_of_every_kind_know_their_placeholders():
    from framing.common.mail_words import check_words

    for kind in KINDS.values():
        assert check_words(kind, kind.subject, kind.text) == (kind.subject, kind.text)
