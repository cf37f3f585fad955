"""Mails that come in: own words only, machines told from people, nothing that breaks us."""

from __future__ import annotations

import os
import random
from email.message import EmailMessage
from typing import Any

import pytest

from framing.common import mail_reading
from framing.common.errors import ApplicationError, TooBig, Unreadable
from framing.common.mail_reading import html_words, own_words, read_mail


def mail(text: str = "Yes.", **heads: Any) -> EmailMessage:
    message = EmailMessage()
    for name, value in ({"From": "Rae <rae@x.example>", "To": "reply@y.example"} | heads).items():
        message[name.replace("_", "-")] = value
    message.set_content(text)
    return message


@pytest.mark.parametrize(
    "tail",
    [
        "On Mon, Nov 23, 2026 at 9:12 AM Lark <q@l.example> wrote:\n> hello\n> there",
        "On Mon, Nov 23, 2026 at 9:12 AM Larkmeadow Joist Supply\n<reply+1@l.example> wrote:\n\n> hello",
        "-----Original Message-----\nFrom: Lark\nhello",
        "-- Please write above this line --\n\nDear Rae",
        "> -- Please write above this line --\n> Dear Rae",
        "From: Lark <q@l.example>\nSent: Monday\nTo: Rae\n\nhello",
        "________________________________\nFrom: Lark",
        "Am 23.11.2026 um 09:12 schrieb Lark:\n> hallo",
        "-- \nRae Winter\nWinter Homes",
    ],
)
def test_quoted_history_and_signature_are_cut(tail):
    assert (
        own_words(f"Can the stair move 6 in?\r\n\r\nThanks\n\n{tail}\n")
        == "Can the stair move 6 in?\n\nThanks"
    )


def test_words_that_only_look_like_history_stay():
    words = "On the plan Rae wrote 16 in.\nFrom: here it is 12.\nOn Monday?"
    assert own_words(words) == words


@pytest.mark.parametrize(
    "history",
    [
        '<div class="gmail_quote"><div>On Mon Ida wrote:</div><blockquote>Old words</blockquote></div>',
        '<blockquote type="cite"><p>Old words</p></blockquote>',
        '<div class="moz-cite-prefix">Am Montag schrieb Ida:</div><blockquote type="cite">Old words</blockquote>',
        '<hr><div id="divRplyFwdMsg"><b>From:</b> Ida</div><div>Old words</div>',
    ],
)
def test_a_mail_of_html_alone_loses_what_it_quotes(history):
    made = mail_of_html(f"<p>We take <b>alternate B</b>.</p>{history}")
    assert read_mail(made).text == "We take alternate B."
    only = mail_of_html('<blockquote type="cite">Nothing but this</blockquote>')
    assert read_mail(only).text == "Nothing but this"
    drawn = mail_of_html("<p>He said:</p><blockquote>24 in is fine</blockquote><p>and so do I.</p>")
    assert "24 in is fine" in read_mail(drawn).text


def mail_of_html(markup: str) -> bytes:
    message = EmailMessage()
    message["From"], message["To"] = "Rae <rae@winter.example>", "reply@larkmeadow.example"
    message.set_content(markup, subtype="html")
    return message.as_bytes()


def test_html_becomes_text_and_attachments_are_named():
    message = mail()
    message.set_content(
        "<style>p{}</style><p>Hi<br>you &amp; me</p><script>alert(1)</script><div>Bye</div>", "html"
    )
    message.add_attachment(b"%PDF", maintype="application", subtype="pdf", filename="plan\u202efdp.exe")
    found = read_mail(message.as_bytes())
    assert found.text == "Hi\nyou & me\n\nBye"
    assert found.attachments == ("planfdp.exe",)
    assert html_words("<p>a < b</p>") == "a < b"


@pytest.mark.parametrize(
    "heads",
    [
        {"Auto_Submitted": "auto-replied"}, {"Auto_Submitted": "auto-generated; x=y"}, {"Precedence": "Bulk"},
        {"X_Autoreply": "yes"}, {"List_Id": "<all.x.example>"}, {"Return_Path": "<>"},
    ],
)  # fmt: skip
def test_what_a_machine_wrote_is_told(heads):
    assert read_mail(mail(**heads).as_bytes()).automatic


def test_what_a_person_wrote_is_told_too():
    assert not read_mail(mail(Auto_Submitted="no", Return_Path="<rae@x.example>").as_bytes()).automatic


def test_charsets_are_read_even_unknown_ones():
    raw = mail("Grüße").as_bytes()
    assert read_mail(raw).text == "Grüße"
    assert "Gr" in read_mail(raw.replace(b'charset="utf-8"', b'charset="x-klingon"')).text


def test_no_mail_and_one_too_big_are_refused(monkeypatch):
    for raw in (b"", b"\x00\xff" * 50, b"no header at all"):
        with pytest.raises(Unreadable):
            read_mail(raw)
    monkeypatch.setattr(mail_reading, "BYTES_MOST", 10)
    with pytest.raises(TooBig):
        read_mail(mail().as_bytes())


def test_broken_mails_are_read_or_refused_never_worse():
    """Bytes of a real mail, spoilt at random places."""
    message = mail("Hello\n> old\n" * 5, Subject="Größe", Message_ID="<a@b>")
    message.add_attachment(b"abc", maintype="image", subtype="png", filename="ä.png")
    raw, made = bytearray(message.as_bytes()), random.Random(4)  # noqa: S311
    for _ in range(int(300 * float(os.environ.get("SPANYARD_TEST_SCALE", "1")))):
        spoilt = bytearray(raw)
        for _ in range(made.randint(1, 30)):
            spoilt[made.randrange(len(spoilt))] = made.randrange(256)
        try:
            found = read_mail(bytes(spoilt))
        except ApplicationError:
            continue
        assert "\x00" not in found.text + found.message_id + found.from_address + "".join(found.attachments)
