"""Pages of mail and thread: look before sending, nothing typed is lost, reading writes nothing, the builder asks."""

from __future__ import annotations

import base64
import hashlib
import html
import re

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.mail import SEND
from framing.common.mail_templates import template_words
from framing.common.models import AccessLink, AuditEntry, MailMessage, OutboxEntry, Role
from framing.common.outbox import outbox_run
from quotes import services
from quotes.mail_kinds import KINDS, SENT
from quotes.models import QuoteRevision, ThreadMessage
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def clocked(monkeypatch):
    """The database's clock as views and worker see it, standing at the factories' day."""
    from framing.common import mail_sending, views
    from quotes import builder_views, mail_views, thread_views

    for module in (builder_views, mail_sending, mail_views, thread_views, views):
        monkeypatch.setattr(module, "database_now", lambda: quotes.AT)


def page(revision: QuoteRevision) -> str:
    return reverse("quotes:quote_send", args=[revision.public_id])


def rae(**more: str) -> dict[str, str]:
    fields = {
        "name-1": "Rae Winter",
        "email-1": "rae@winter.example",
        "word": "",
        "idempotency_key": quotes.key(),
    }
    return {**fields, "step": "send", **more}


def test_the_mail_is_seen_before_it_goes_and_looking_writes_nothing():
    revision = quotes.issued()
    client = people.client_of(revision.quote.owner)
    shown = client.get(page(revision)).content.decode()
    assert revision.quote.project.builder.email in shown
    assert f"Quote {revision}: steel floor joists" in shown
    looked = client.post(page(revision), rae(step="look", word="As <b>talked</b> over.")).content.decode()
    assert "As &lt;b&gt;talked&lt;/b&gt; over." in looked
    assert "Dear Rae Winter," in looked
    assert not MailMessage.objects.exists()
    assert not AccessLink.objects.exists()
    answer = client.post(page(revision), rae(word="Fine."), follow=True)
    assert "On its way to Rae Winter." in answer.content.decode()
    assert MailMessage.objects.get().to_address == "rae@winter.example"


def test_the_mail_is_shown_in_a_frame_without_rights_and_only_its_own_style_counts():
    """The frame holds the very HTML that goes out; of inline styles the page allows that one, by its hash."""
    revision = quotes.issued()
    answer = people.client_of(revision.quote.owner).get(page(revision))
    body = answer.content.decode()
    frame = re.search(r"<iframe ([^>]*)>", body)
    assert frame is not None
    assert re.search(
        r"\bsandbox srcdoc=", frame[1]
    )  # an empty list of rights: no scripts, no forms, no links
    source = html.unescape(re.search(r'srcdoc="([^"]*)"', frame[1])[1])
    assert "Dear " in source
    assert "Open the quote" in source
    (style,) = re.findall(r"<style>(.*?)</style>", source, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = answer["Content-Security-Policy"]
    assert f"style-src 'self' 'sha256-{digest}'" in policy
    assert "unsafe" not in policy
    other = people.client_of(revision.quote.owner).get(reverse("quotes:quote_list"))
    assert "sha256" not in other["Content-Security-Policy"]


def test_what_is_refused_stays_typed_at_its_row():
    revision = quotes.issued()
    client = people.client_of(revision.quote.owner)
    answer = client.post(page(revision), rae(**{"name-3": "Sam", "email-3": "nowhere"}))
    body = answer.content.decode()
    assert answer.status_code == 422
    assert "“nowhere” is no mail address" in body
    assert answer.context["form"].errors.keys() == {"email-3"}
    assert 'value="nowhere"' in body
    assert not MailMessage.objects.exists()


def test_a_draft_is_issued_and_sent_from_its_page():
    draft = quotes.draft()
    client = people.client_of(draft.quote.owner)
    assert page(draft) in client.get(reverse("quotes:revision_page", args=[draft.public_id])).content.decode()
    assert "Issue and send" in client.get(page(draft)).content.decode()
    client.post(page(draft), rae())
    draft.refresh_from_db()
    assert draft.issued_at is not None
    assert MailMessage.objects.count() == 1


@pytest.mark.parametrize("role", [Role.SELLER, Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_others_neither_send_nor_write_nor_retry(role):
    revision = quotes.issued()
    client = people.client_of(role)
    for name in ("thread_answer", "thread_seen"):
        answer = client.post(reverse(f"quotes:{name}", args=[revision.quote.public_id]), {"text": "Hi"})
        assert answer.status_code == 403, name
    assert client.post(page(revision), rae()).status_code == 403
    assert not MailMessage.objects.exists()
    assert not ThreadMessage.objects.exists()


def builder_of(revision: QuoteRevision) -> tuple[Client, str]:
    _, secret = quotes.link(revision)
    client = Client()
    return client, client.get(f"/l/{secret}/").headers["Location"]


def test_builder_and_seller_talk_on_their_pages():
    revision = quotes.issued()
    client, yours = builder_of(revision)
    asked = client.post(yours + "ask/", {"text": "Can the <stair> move?"}, follow=True).content.decode()
    assert "Can the &lt;stair&gt; move?" in asked
    assert "unread" not in asked
    staff = people.client_of(revision.quote.owner)
    assert (
        "1 unread message"
        in staff.get(reverse("quotes:revision_page", args=[revision.public_id])).content.decode()
    )
    thread = reverse("quotes:quote_thread", args=[revision.quote.public_id])
    assert "unread" in staff.get(thread).content.decode()
    assert ThreadMessage.objects.get().seen_at is None  # looking alone marks nothing
    staff.post(thread + "seen/")
    assert "Mark as read" not in staff.get(thread).content.decode()
    staff.post(thread + "answer/", {"text": "By 6 in, yes."})
    assert "By 6 in, yes." in client.get(yours).content.decode()


def test_a_refused_question_stays_typed():
    client, yours = builder_of(quotes.issued())
    answer = client.post(yours + "ask/", {"text": "x" * 4001})
    assert answer.status_code == 422
    assert "x" * 4001 in answer.content.decode()
    for _ in range(20):
        client.post(yours + "ask/", {"text": "Again"})
    limited = client.post(yours + "ask/", {"text": "Once more"})
    assert (limited.status_code, "Once more" in limited.content.decode()) == (429, True)


def test_asking_without_the_link_or_after_it_ended_is_the_same_answer():
    revision = quotes.issued()
    link, _ = quotes.link(revision)
    strange = Client().post(reverse("quotes:your_quote_ask", args=[link.public_id]), {"text": "Hi"})
    client, yours = builder_of(revision)
    AccessLink.objects.update(withdrawn_at=quotes.AT)
    ended = client.post(yours + "ask/", {"text": "Hi"})
    assert strange.status_code == ended.status_code == 404

    def bare(body: bytes) -> str:
        return re.sub(r"[0-9a-f]{12,}", "", body.decode())

    assert bare(strange.content) == bare(ended.content)
    assert not ThreadMessage.objects.exists()


def test_reading_changes_nothing():
    revision = quotes.issued()
    client, yours = builder_of(revision)
    client.post(yours + "ask/", {"text": "Hello"})
    staff = people.client_of(revision.quote.owner)
    before = (AuditEntry.objects.count(), OutboxEntry.objects.count(), list(ThreadMessage.objects.values()))
    urls = [
        page(revision),
        reverse("quotes:quote_thread", args=[revision.quote.public_id]),
        reverse("quotes:mail_templates"),
        reverse("quotes:mail_template", args=[SENT]),
    ]
    assert [staff.get(url).status_code for url in urls] == [200] * 4
    assert client.get(yours).status_code == 200
    assert before == (
        AuditEntry.objects.count(), OutboxEntry.objects.count(), list(ThreadMessage.objects.values()),
    )  # fmt: skip


def test_mails_show_their_state_and_a_failed_one_is_sent_again():
    revision = quotes.issued()
    staff = people.client_of(revision.quote.owner)
    staff.post(page(revision), rae())
    mail = MailMessage.objects.get()
    MailMessage.objects.update(state="failed", answer="550 no such box")
    OutboxEntry.objects.filter(kind=SEND).update(done_at=quotes.AT)
    thread = reverse("quotes:quote_thread", args=[revision.quote.public_id])
    body = staff.get(thread).content.decode()
    assert "Not sent" in body
    assert "550 no such box" in body
    assert (
        "550 no such box"
        in staff.get(reverse("quotes:revision_page", args=[revision.public_id])).content.decode()
    )
    retry = reverse("quotes:quote_mail_retry", args=[revision.quote.public_id, mail.public_id])
    other = reverse("quotes:quote_mail_retry", args=[quotes.issued().quote.public_id, mail.public_id])
    assert staff.post(other).status_code == 404
    assert "is on its way again" in staff.post(retry, follow=True).content.decode()
    for entry in OutboxEntry.objects.filter(kind=SEND, done_at=None):
        outbox_run(entry.pk)
    assert "Not sent" not in staff.get(thread).content.decode()


def test_words_are_looked_at_then_kept_and_unknown_placeholders_are_named():
    revision = quotes.issued()
    manager = people.client_of(Role.MANAGER)
    url = reverse("quotes:mail_template_change", args=[SENT])
    words = {"seen": "0", "subject": "Offer {quote}", "text": "Hello {name}\n\n{link}"}
    looked = manager.post(url, words | {"step": "look"}).content.decode()
    assert f"Offer {revision}" in looked
    assert template_words(KINDS[SENT]).version == 0
    wrong = manager.post(url, words | {"step": "save", "text": "{link} {prise}"})
    assert (wrong.status_code, wrong.context["form"].errors.keys()) == (422, {"text"})
    assert "{prise} is no placeholder" in wrong.content.decode()
    manager.post(url, words | {"step": "save"})
    assert template_words(KINDS[SENT]).subject == "Offer {quote}"
    stale = manager.post(url, words | {"step": "save", "subject": "Mine"})
    assert (stale.status_code, 'value="Mine"' in stale.content.decode()) == (409, True)
    assert people.client_of(Role.SELLER).post(url, words).status_code == 403
    assert manager.get(reverse("quotes:mail_template", args=["nothing"])).status_code == 404


def test_only_the_administrator_sends_himself_a_test():
    url = reverse("quotes:mail_test")
    assert people.client_of(Role.MANAGER).post(url).status_code == 403
    admin = people.user(Role.ADMINISTRATOR)
    shown = people.client_of(admin).post(url, follow=True).content.decode()
    assert f"Look into the box of {admin.email}" in shown


def test_the_seller_finds_unread_words_on_his_day():
    from orders.waiting import waiting_for

    revision = quotes.issued()
    client, yours = builder_of(revision)
    client.post(yours + "ask/", {"text": "Hello"})
    for user in (revision.quote.owner, people.user(Role.MANAGER)):
        titles = {section.title: section for section in waiting_for(user, quotes.AT)}
        (row,) = titles["Messages from builders"].rows
        assert (row.label, revision.quote.number in row.words) == ("1 unread", True)
    services.thread_seen(actor=person(revision.quote.owner), quote=revision.quote, at=quotes.AT)
    assert "Messages from builders" not in {
        part.title for part in waiting_for(revision.quote.owner, quotes.AT)
    }
