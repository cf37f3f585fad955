"""Mail as rows: after the commit, at least once and known, one Message-ID, nothing that breaks a header (A8, B19)."""

from __future__ import annotations

import email
import email.policy
import re
import threading
from datetime import datetime
from email.header import decode_header, make_header
from email.utils import parseaddr
from typing import Any

import pytest
from django.core import mail as outbox
from django.db import transaction

from framing.common import mail_sending
from framing.common.clock import database_now
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.mail import (
    SEND,
    mail_bounced,
    mail_domain,
    mail_given_up,
    mail_of_reply,
    mail_queue,
    mail_retry,
    reply_address,
)
from framing.common.mail_letter import LINK_MARK, lay
from framing.common.mail_sending import PAUSES_S, mail_test
from framing.common.mail_words import (
    MailKind,
    Recipient,
    check_words,
    fill,
    plain_line,
    plain_text,
    read_recipient,
)
from framing.common.models import MailMessage, MailState, OutboxEntry, Role
from framing.common.outbox import NOT_BEFORE, outbox_run, outbox_waiting
from tests.common.post_office import post_office
from tests.factories import people

pytestmark = pytest.mark.django_db
TO = Recipient("Rae Winter", "rae@winter.example")


def queued(**more: Any) -> MailMessage:
    fields = {"kind": "test", "about": None, "to": TO, "letter": lay("Hello", "A word.")}
    return mail_queue(actor=people.actor(), **(fields | more))


def run(row: MailMessage) -> MailMessage:
    """Let the worker try once more, whenever that is due."""
    entry = OutboxEntry.objects.filter(kind=SEND, key__startswith=f"{row.pk}.").latest("id")
    entry.payload.pop(NOT_BEFORE, None)
    entry.save()
    outbox_run(entry.pk)
    row.refresh_from_db()
    return row


def ids_of(texts: list[bytes]) -> set[str]:
    return {str(email.message_from_bytes(text, policy=email.policy.default)["Message-ID"]) for text in texts}


def test_a_mail_goes_out_once_with_the_id_of_its_row():
    row = run(queued())
    assert (row.state, row.attempts) == (MailState.SENT, 1)
    assert row.sent_at is not None
    run(row)
    (sent,) = outbox.outbox
    assert sent.message()["Message-ID"] == row.message_id
    assert sent.to == ["Rae Winter <rae@winter.example>"]
    assert "A word." in sent.body
    assert "A word." in sent.alternatives[0][0]


def test_an_act_that_is_rolled_back_mails_nothing():
    def act() -> None:
        with transaction.atomic():
            queued()
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        act()
    assert not MailMessage.objects.exists()
    assert not OutboxEntry.objects.filter(kind=SEND).exists()
    assert outbox.outbox == []


def test_a_server_that_hangs_up_after_the_text_gets_the_same_mail_and_the_row_says_maybe_twice(settings):
    row = queued()
    with post_office(settings, "hang", "take") as office:
        assert run(row).state == MailState.QUEUED
        assert run(row).state == MailState.UNSURE
        assert len(office.taken) == 2
        assert ids_of(office.taken) == {row.message_id}
    assert (row.attempts, row.in_doubt) == (2, True)


def test_a_worker_killed_after_the_text_leaves_the_doubt_too(monkeypatch):
    """The attempt was counted, no word was noted: as a killed worker leaves it."""
    row = queued()
    OutboxEntry.objects.filter(kind=SEND).update(attempts=1)
    assert run(row).state == MailState.UNSURE


def test_a_busy_server_is_asked_again_without_doubt(settings):
    row = queued()
    with post_office(settings, "later", "take") as office:
        assert run(row).state == MailState.QUEUED
        assert run(row).state == MailState.SENT
        assert len(office.taken) == 1
    assert row.in_doubt is False


def test_a_busy_server_is_left_in_peace_for_a_while(settings):
    """A server that lets strangers wait asks for minutes: the sweep finds the next try only then."""
    row = queued()
    with post_office(settings, "later", "take") as office:
        run(row)
        waiting = OutboxEntry.objects.get(kind=SEND, done_at=None)
        assert waiting.pk not in outbox_waiting()
        assert not outbox_run(waiting.pk)  # a late hint changes nothing
        waiting.refresh_from_db()
        assert (waiting.attempts, len(office.taken)) == (0, 0)
        assert re.fullmatch(r"451 busy\. Next try at \d\d:\d\d UTC\.", row.answer)
        then = datetime.fromisoformat(waiting.payload[NOT_BEFORE])
        assert 50 <= (then - database_now()).total_seconds() <= PAUSES_S[0]
        waiting.payload[NOT_BEFORE] = "2026-01-01T00:00:00Z"
        waiting.save()
        assert waiting.pk in outbox_waiting()
        outbox_run(waiting.pk)
        row.refresh_from_db()
    assert (row.state, row.answer, row.attempts) == (MailState.SENT, "", 2)
    assert list(PAUSES_S) == sorted(PAUSES_S)


@pytest.mark.parametrize(
    ("setting", "url", "sender", "domain"),
    [
        ("", "https://joists.supply.example/app", "a@elsewhere.example", "joists.supply.example"),
        ("mail.supply.example", "https://joists.supply.example", "a@b.example", "mail.supply.example"),
        ("", "http://127.0.0.1:8000", "Firm <a@b.example>", "b.example"),
        ("", "http://localhost:8000", "a@localhost", "larkmeadow.example"),
        ("", "https://[::1]:8000", "a@box", "larkmeadow.example"),
        ("bad domain\r\nBcc: x", "https://ok.example", "", "ok.example"),
    ],
)
def test_message_ids_bear_the_companys_domain(settings, setting, url, sender, domain):
    settings.SPANYARD_MAIL_DOMAIN, settings.PUBLIC_URL, settings.DEFAULT_FROM_EMAIL = setting, url, sender
    assert mail_domain() == domain
    assert queued().message_id.endswith(f"@{domain}>")


def test_a_doubt_outlives_a_later_try_that_was_not_taken(settings):
    row = queued()
    with post_office(settings, "hang", "later", "take"):
        run(row)
        run(row)
        assert run(row).state == MailState.UNSURE


def test_a_refusal_for_good_is_not_repeated_and_keeps_the_servers_word(settings):
    row = queued()
    with post_office(settings, "never"):
        run(row)
    assert (row.state, row.answer) == (MailState.FAILED, "550 no such box")
    assert OutboxEntry.objects.get(kind=SEND).done_at is not None


def test_vain_tries_half_a_day_long_end_it_and_staff_send_it_again_under_its_old_id(settings):
    row = queued()
    tries = len(PAUSES_S) + 1
    with post_office(settings, *["later"] * tries, "take") as office:
        for _ in range(tries):
            assert row.state == MailState.QUEUED
            run(row)
        assert (row.state, row.answer, row.attempts) == (MailState.FAILED, "451 busy", tries)
        mail_retry(actor=people.actor(Role.SELLER), mail=row, at=database_now())
        assert run(row).state == MailState.SENT
        assert ids_of(office.taken) == {row.message_id}
    with pytest.raises(Clash, match="nothing to repeat"):
        mail_retry(actor=people.actor(Role.SELLER), mail=row, at=database_now())
    with pytest.raises(NotAllowed):
        mail_retry(actor=people.actor(Role.SHOP), mail=row, at=database_now())


def test_no_server_at_all_is_no_doubt(settings):
    row = queued()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    for _ in range(len(PAUSES_S) + 1):
        run(row)
    assert (row.state, row.in_doubt) == (MailState.FAILED, False)
    assert "refused" in row.answer.lower()


def test_a_mail_whose_worker_died_three_times_can_be_sent_again_in_doubt():
    row = queued()
    OutboxEntry.objects.filter(kind=SEND).update(attempts=3)
    assert run(row).state == MailState.QUEUED
    assert mail_given_up(row)
    mail_retry(actor=people.actor(), mail=row, at=database_now())
    assert run(row).state == MailState.UNSURE


def test_a_bounce_is_noted_once_by_its_message_id():
    row = run(queued())
    for _ in range(2):
        mail_bounced(message_id=row.message_id.strip("<>"), words="550 box\r\nfull", at=database_now())
    row.refresh_from_db()
    assert (row.state, row.answer) == (MailState.BOUNCED, "550 box full")
    for wrong in ("<nothing@here>", queued().message_id):  # never sent: nothing can have come back
        with pytest.raises(NotThere):
            mail_bounced(message_id=wrong, words="", at=database_now())


def test_the_test_mail_shows_the_servers_own_answer(settings):
    admin = people.actor(Role.ADMINISTRATOR)
    assert mail_test(actor=admin, at=database_now()).state == MailState.SENT
    with post_office(settings, "never"):
        row = mail_test(actor=admin, at=database_now())
    assert (row.state, row.answer, row.to_address) == (
        MailState.FAILED, "550 no such box", admin.user.email,
    )  # fmt: skip
    with pytest.raises(NotAllowed):
        mail_test(actor=people.actor(Role.MANAGER), at=database_now())


@pytest.mark.parametrize("bad", ["Rae\r\nBcc: all@x.example", "Rae\nWinter", "Rae\x00", "Rae \u202egro.live"])
def test_a_name_that_breaks_a_header_is_refused_and_never_reaches_one(bad):
    with pytest.raises(Refused) as caught:
        read_recipient(bad, "rae@winter.example")
    assert caught.value.field == "name"
    run(queued(to=Recipient(bad, "rae@winter.example"), letter=lay(f"For {bad}", bad)))
    raw = outbox.outbox[0].message().as_bytes()
    heads = email.message_from_bytes(raw, policy=email.policy.default)
    assert "Bcc" not in heads
    assert heads["To"].addresses[0].addr_spec == "rae@winter.example"
    assert "\u202e" not in str(heads["To"]) + str(heads["Subject"])


@pytest.mark.parametrize(
    "bad",
    [
        "",
        "rae",
        "rae@",
        "a@b.example, c@d.example",
        "rae@x.example\nBcc: y",
        "räe@x.example",
        "<r@x.example>",
    ],
)
def test_what_is_no_address_is_refused_at_its_field(bad):
    with pytest.raises(Refused) as caught:
        read_recipient("Rae", bad)
    assert caught.value.field == "email"


@pytest.mark.parametrize(
    "name", ["Jürgen Größe, Sohn & Co. (“Holz”)", "王小明" * 50, 'A "quoted" \\ name, Inc.']
)
def test_long_and_foreign_names_arrive_as_they_are(name):
    run(queued(to=Recipient(name, "rae@winter.example"), letter=lay(f"Für {name}", name)))
    heads = email.message_from_bytes(outbox.outbox[0].message().as_bytes())
    shown, address = parseaddr(str(heads["To"]))
    assert (decoded(shown), address) == (name, "rae@winter.example")
    assert decoded(str(heads["Subject"])).strip() == plain_line(f"Für {name}")
    assert all(len(line) <= 998 for line in outbox.outbox[0].message().as_bytes().split(b"\n"))


def test_text_of_others_is_text_in_the_html_too():
    letter = lay("x", f"<script>alert(1)</script>\n{{{{ 7 }}}}\n\n{LINK_MARK}")
    assert "<script>" not in letter.html
    assert "&lt;script&gt;" in letter.html
    assert "<script>alert(1)</script>" in letter.text
    assert letter.with_link("https://x.example/l/a/").html.count("https://x.example/l/a/") == 2
    assert "\x02" not in letter.with_link("https://x.example/").text


def decoded(words: str) -> str:
    return str(make_header(decode_header(words)))


KIND = MailKind("k", "K", {"builder": "who", "link": "the way in"}, "s", "{link}", needs=("link",))


def test_words_of_the_company_know_our_placeholders_only():
    assert check_words(KIND, " For {builder} ", "Hi {builder},\r\n\r\n{link}") == (
        "For {builder}", "Hi {builder},\n\n{link}",
    )  # fmt: skip
    for subject, text, field, said in (
        ("{bilder}", "{link}", "subject", "{bilder}"),
        ("x", "{link} {cost}", "text", "{cost}"),
        ("x", "{link} {builder.owner}", "text", "{builder.owner}"),
        ("x", "no way in", "text", "{link}"),
        ("{link}", "{link}", "subject", "not in the subject"),
        ("a\nb", "{link}", "subject", "one line"),
        ("", "{link}", "subject", "1 to"),
        ("x", "", "text", "1 to"),
        ("x", "{link}\x02", "text", "control"),
        ("x", "{link}" + "y" * 8000, "text", "1 to"),
    ):
        with pytest.raises(Refused) as caught:
            check_words(KIND, subject, text)
        assert caught.value.field == field
        assert said in caught.value.message


def test_a_value_is_never_read_for_placeholders():
    assert fill("{a} {b} {c}", {"a": "{b}", "b": "2"}) == "{b} 2 {c}"
    assert plain_text("a\r\nb\x00\u202ec\td") == "a\nbc\td"
    assert plain_line("a" * 300) == "a" * 199 + "…"


def test_a_reply_address_names_its_mail_and_cannot_be_made_up(settings):
    row = queued(takes_replies=True)
    address = reply_address(row)
    assert len(address.partition("@")[0]) <= 64
    assert mail_of_reply(["x@y.example", f"Us <{address.upper()}>"]) == row
    wrong = address.replace(address[-50:-40], "0" * 10)
    assert mail_of_reply([wrong]) is None
    assert reply_address(queued()) == ""
    settings.SPANYARD_MAIL_REPLY = ""
    assert reply_address(row) == ""


@pytest.mark.django_db(transaction=True)
def test_workers_at_the_same_moment_send_one_mail(settings):
    row = queued()
    entry = OutboxEntry.objects.get(kind=SEND)
    calls: list[str] = []
    real = mail_sending.hand_over

    def counted(mail: MailMessage) -> None:
        calls.append(mail.message_id)
        real(mail)

    def work() -> None:
        from django.db import connection

        outbox_run(entry.pk)
        connection.close()

    mail_sending.hand_over = counted
    try:
        workers = [threading.Thread(target=work) for _ in range(8)]
        for worker in workers:
            worker.start()
        for worker in workers:
            worker.join()
    finally:
        mail_sending.hand_over = real
    assert calls == [row.message_id]
