"""Handing a mail's row to the mail server, and what its answer means for the row."""

from __future__ import annotations

import smtplib
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from email.headerregistry import Address
from email.utils import format_datetime, parseaddr
from typing import Any, Final

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.clock import database_now
from framing.common.company import company
from framing.common.errors import Clash
from framing.common.mail import ANSWER_MOST, SEND, mail_ask, mail_write, reply_address, seed_secret
from framing.common.mail_letter import Letter, lay
from framing.common.mail_words import Recipient, plain_line
from framing.common.models import MailMessage, MailState, OutboxEntry

TEST_KIND: Final = "test"
FOR_GOOD: Final = 500  # answers of a mail server from here on will not change by trying again
Guard = Callable[[MailMessage, datetime], str]
_guards: dict[str, Guard] = {}
PAUSES_S: Final = (
    60,
    300,
    900,
    3600,
    3 * 3600,
    8 * 3600,
)  # after each try that was not taken; half a day in all
AUTOMATIC: Final = {"Auto-Submitted": "auto-generated"}


class NotTaken(Exception):
    """The server surely did not take the mail; a later try may go well."""


class InDoubt(Exception):
    """The connection ended without the server's word; the mail may have gone out."""


class _Refused(Exception):
    """The server refused the mail for good."""


def message_of(mail: MailMessage) -> EmailMultiAlternatives:
    """The mail as it goes out; equal at every try."""
    letter = Letter(mail.subject, mail.text, mail.html)
    if mail.link_seed:
        letter = letter.with_link(f"{settings.PUBLIC_URL.rstrip('/')}/l/{seed_secret(mail.link_seed)}/")
    firm = company()
    _, sender = parseaddr(settings.DEFAULT_FROM_EMAIL)
    answers_to = reply_address(mail) or firm.email
    headers = {"Message-ID": mail.message_id, "Date": format_datetime(mail.created_at)}
    message = EmailMultiAlternatives(
        subject=letter.subject,
        body=letter.text,
        from_email=_named(firm.name, sender),
        to=[_named(mail.to_name, mail.to_address)],
        reply_to=[_named(firm.name, answers_to)] if answers_to else None,
        headers=headers | (AUTOMATIC if mail.kind == TEST_KIND else {}),
    )
    message.attach_alternative(letter.html, "text/html")
    return message


def _named(name: str, address: str) -> str:
    return str(Address(display_name=plain_line(name), addr_spec=address))


def hand_over(mail: MailMessage) -> None:
    """Give a mail to the server. Raises NotTaken, InDoubt or _Refused."""
    message = message_of(mail)
    connection = get_connection()
    try:
        connection.open()
    except (OSError, smtplib.SMTPException) as error:
        raise NotTaken(_words(error)) from error
    try:
        message.connection = connection
        message.send()
    except smtplib.SMTPRecipientsRefused as error:
        code, said = next(iter(error.recipients.values()))
        raise _answered(code, said) from error
    except smtplib.SMTPResponseException as error:
        raise _answered(error.smtp_code, error.smtp_error) from error
    except (OSError, smtplib.SMTPException) as error:
        raise InDoubt(_words(error)) from error
    finally:
        _close(connection)


def _close(connection: Any) -> None:
    try:
        connection.close()
    except (OSError, smtplib.SMTPException):  # the server's word on the mail stands already
        return


def _answered(code: int, said: bytes | str) -> Exception:
    text = said.decode(errors="replace") if isinstance(said, bytes) else said
    words = plain_line(f"{code} {text}", ANSWER_MOST)
    return _Refused(words) if code >= FOR_GOOD else NotTaken(words)


def _words(error: Exception) -> str:
    return plain_line(f"{type(error).__name__}: {error}", ANSWER_MOST)


def mail_send(payload: Mapping[str, Any]) -> None:
    """The outbox handler: send one mail and note how it went, in the transaction of the entry's end."""
    mail = MailMessage.objects.select_for_update(of=("self",)).select_related("link").get(pk=payload["mail"])
    if mail.state != MailState.QUEUED:
        return
    entry = OutboxEntry.objects.get(kind=SEND, key=payload["key"])
    if _link_is_dead(mail, database_now()):
        _end(
            mail,
            MailState.FAILED,
            "Its link was withdrawn or ran out before the mail went out.",
            entry.attempts,
        )
        return
    if held_back := _held_back(mail, database_now()):
        _end(mail, MailState.FAILED, held_back, 0)
        return
    doubt = mail.in_doubt or _ended_in_doubt(entry)
    try:
        hand_over(mail)
    except _Refused as error:
        _end(mail, MailState.FAILED, str(error), entry.attempts, doubt=doubt)
    except (NotTaken, InDoubt) as error:
        doubt = doubt or isinstance(error, InDoubt)
        tries = payload.get("tries", 0) + 1
        if tries <= len(PAUSES_S):
            _later(mail, entry, tries, str(error), doubt=doubt)
        else:
            words = f"It may have gone out all the same. {error}" if doubt else str(error)
            _end(mail, MailState.FAILED, words, entry.attempts, doubt=doubt)
    else:
        _end(mail, MailState.UNSURE if doubt else MailState.SENT, "", entry.attempts, doubt=doubt)


def _later(mail: MailMessage, entry: OutboxEntry, tries: int, words: str, *, doubt: bool) -> None:
    """Try again after a pause: a busy server, or one that makes strangers wait, asks for minutes, not seconds."""
    at = database_now() + timedelta(seconds=PAUSES_S[tries - 1])
    again = f"Next try at {at.astimezone(UTC):%H:%M} UTC."
    mail.answer = f"{plain_line(words, ANSWER_MOST - len(again) - 2)}. {again}"
    mail.attempts += entry.attempts
    mail.in_doubt = doubt
    mail.save(update_fields=["answer", "attempts", "in_doubt"])
    mail_ask(mail, tries=tries, not_before=at)


def _ended_in_doubt(entry: OutboxEntry) -> bool:
    """Whether an earlier try of this entry may have gone out: its worker died, for a server's word ends an entry."""
    return entry.attempts > 1


def mail_guard(kind: str) -> Callable[[Guard], Guard]:
    """Register who is asked, when the worker comes to a mail of a kind, why it must not go out any more.

    What is held back counts as not sent, with 0 tries.
    """

    def register(guard: Guard) -> Guard:
        _guards[kind] = guard
        return guard

    return register


def _held_back(mail: MailMessage, at: datetime) -> str:
    guard = _guards.get(mail.kind)
    return guard(mail, at) if guard else ""


def _link_is_dead(mail: MailMessage, at: datetime) -> bool:
    link = mail.link if mail.link_seed else None
    return link is not None and (link.withdrawn_at is not None or link.expires_at <= at)


def _end(mail: MailMessage, state: MailState, words: str, attempts: int, *, doubt: bool = False) -> None:
    mail.state, mail.answer = state, words[:ANSWER_MOST]
    mail.attempts += attempts
    mail.in_doubt = doubt
    if state != MailState.FAILED:
        mail.sent_at, mail.link_seed = database_now(), ""
    mail.save(update_fields=["state", "answer", "attempts", "in_doubt", "sent_at", "link_seed"])


def mail_test(*, actor: Actor, at: datetime) -> MailMessage:
    """Send the administrator a mail at once; the row holds what the server said.

    It is sent inside the request, for the server's own answer is what he wants to see.
    """
    require(actor, "mail", "test")
    if actor.user is None:
        raise Clash("Only a person can be sent a test.")
    letter = lay("A test of the mail", f"This mail shows that mail goes out.\n\n{actor.name} asked for it.")
    with transaction.atomic():
        mail = mail_write(
            actor=actor, kind=TEST_KIND, about=None, to=Recipient(actor.name, actor.user.email), letter=letter
        )
        audit_record(actor, "mail_test", mail, at=at, change={"to": mail.to_address})
    try:
        hand_over(mail)
    except (_Refused, NotTaken, InDoubt) as error:
        _end(mail, MailState.FAILED, str(error), 1)
    else:
        _end(mail, MailState.SENT, "The mail server took it.", 1)
    return mail
