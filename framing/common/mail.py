"""Mail as rows: asked for in a service's transaction, sent by the worker after the commit.

A mail's row fixes its Message-ID. A retry sends the same mail, so that whoever got it twice has it once. Where a try
ended without the server's word, a later one that goes out is marked “maybe sent twice”.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import re
import secrets
from collections.abc import Iterable
from datetime import datetime
from email.utils import make_msgid, parseaddr
from typing import Any, Final
from urllib.parse import urlsplit

from django.conf import settings
from django.db import models, transaction

from framing.common.access import require
from framing.common.actors import SYSTEM, Actor
from framing.common.audit import audit_record
from framing.common.company import company
from framing.common.errors import Clash, NotThere
from framing.common.mail_letter import Letter
from framing.common.mail_words import NAME_MOST, Recipient, plain_line
from framing.common.models import AccessLink, MailMessage, MailState, OutboxEntry, User
from framing.common.outbox import outbox_add

SEND: Final = "mail_send"
ANSWER_MOST: Final = 400
_DOMAIN: Final = re.compile(r"(?:[a-z0-9](?:[a-z0-9-]*[a-z0-9])?\.)+[a-z][a-z0-9-]*[a-z0-9]", re.IGNORECASE)
_TOKEN: Final = re.compile(r"\+([0-9a-f]{20})([0-9a-f]{32})@", re.IGNORECASE)


def _derived(purpose: str, words: str) -> bytes:
    return hmac.new(settings.LINK_KEY.encode(), f"{purpose}:{words}".encode(), hashlib.sha256).digest()


def new_link_seed() -> tuple[str, str]:
    """A random seed and the link secret of 256 bits that it leads to; without the key the seed opens nothing."""
    seed = secrets.token_urlsafe(32)
    return seed, seed_secret(seed)


def seed_secret(seed: str) -> str:
    """The link secret of a seed."""
    return base64.urlsafe_b64encode(_derived("mailed link", seed)).decode().rstrip("=")


def reply_address(mail: MailMessage) -> str:
    """The address that replies to a mail come to; “” where the installation takes no mail in.

    Its token names the mail and proves that the mail was ours; nothing of it is stored.
    """
    local, _, domain = settings.SPANYARD_MAIL_REPLY.partition("@")
    if not domain or not mail.takes_replies:
        return ""
    proof = _derived("reply", mail.public_id).hex()[:32]
    return f"{local}+{mail.public_id}{proof}@{domain}"


def mail_of_reply(addresses: Iterable[str]) -> MailMessage | None:
    """The mail that a reply's address names, if its token is one of ours."""
    for address in addresses:
        for public_id, proof in _TOKEN.findall(address):
            wanted = _derived("reply", public_id.lower()).hex()[:32]
            if hmac.compare_digest(wanted, proof.lower()):
                rows = MailMessage.objects.select_related("link", "to_user")
                return rows.filter(public_id=public_id.lower(), takes_replies=True).first()
    return None


def mail_queue(*, actor: Actor, **row: Any) -> MailMessage:
    """Write a mail in the caller's transaction; the worker sends it after the commit, and never otherwise.

    Takes what `mail_write` takes.
    """
    mail = mail_write(actor=actor, **row)
    mail_ask(mail)
    return mail


def mail_write(
    *,
    actor: Actor,
    kind: str,
    about: models.Model | None,
    to: Recipient,
    letter: Letter,
    link: AccessLink | None = None,
    link_seed: str = "",
    takes_replies: bool = False,
    to_user: User | None = None,
) -> MailMessage:
    """Write a mail's row, with the Message-ID that it keeps."""
    return MailMessage.objects.create(
        kind=kind,
        subject_type=about._meta.label_lower if about else "",
        subject_id=about.pk if about else 0,
        to_name=plain_line(to.name, NAME_MOST),
        to_address=to.address,
        subject=letter.subject,
        text=letter.text,
        html=letter.html,
        message_id=make_msgid(domain=mail_domain()),
        link=link,
        link_seed=link_seed,
        takes_replies=takes_replies,
        to_user=to_user,
        asked_by=actor.user,
        asked_name=actor.name[:160],
    )


def mail_domain() -> str:
    """The domain of our Message-IDs: the setting, else the host that people reach us by, else an address of ours.

    Names of a machine alone, such as localhost, and bare addresses are nobody's domain; they stand last.
    """
    found = (
        settings.SPANYARD_MAIL_DOMAIN,
        urlsplit(settings.PUBLIC_URL).hostname or "",
        parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2],
        company().email.rpartition("@")[2],
    )
    return next((name.lower() for name in found if _DOMAIN.fullmatch(name)), "localhost")


def mail_ask(mail: MailMessage, *, tries: int = 0, not_before: datetime | None = None) -> None:
    """Ask the worker to send a mail; `tries` went before in this round."""
    key = f"{mail.pk}.{_entries(mail).count() + 1}"
    outbox_add(SEND, key, {"mail": mail.pk, "key": key, "tries": tries}, not_before=not_before)


def _entries(mail: MailMessage) -> models.QuerySet[OutboxEntry]:
    return OutboxEntry.objects.filter(kind=SEND, key__startswith=f"{mail.pk}.").order_by("id")


def mail_given_up(mail: MailMessage) -> bool:
    """Whether the worker gave a mail up that still counts as on its way."""
    if mail.state != MailState.QUEUED:
        return False
    last = _entries(mail).last()
    return last is not None and last.parked_at is not None


def mails_given_up(mails: Iterable[MailMessage]) -> set[int]:
    """Keys of those mails on their way whose sending the worker gave up; one query however many."""
    keys = {str(mail.pk): mail.pk for mail in mails}
    last: dict[str, OutboxEntry] = {}
    rows = OutboxEntry.objects.filter(kind=SEND, payload__mail__in=list(keys.values())).order_by("id")
    for entry in rows if keys else ():
        last[entry.key.partition(".")[0]] = entry
    return {keys[key] for key, entry in last.items() if entry.parked_at is not None}


def mail_list(about: models.Model) -> models.QuerySet[MailMessage]:
    """Mails about a thing, newest first."""
    rows = MailMessage.objects.filter(subject_type=about._meta.label_lower, subject_id=about.pk)
    return rows.select_related("link", "to_user")


def mail_get(public_id: str) -> MailMessage:
    """Raises NotThere."""
    mail = MailMessage.objects.filter(public_id=public_id).first()
    if mail is None:
        raise NotThere()
    return mail


def mail_retry(*, actor: Actor, mail: MailMessage, at: datetime) -> MailMessage:
    """Send a mail that was not sent again, under its old Message-ID. Raises Clash unless it failed."""
    with transaction.atomic():
        require(actor, "mail", "retry")
        return mail_put_back(actor=actor, mail=mail, at=at)


def mail_put_back(*, actor: Actor, mail: MailMessage, at: datetime) -> MailMessage:
    """Put a mail that was not sent back in line, in the transaction of a caller who asked for the right to.

    Raises Clash unless it failed.
    """
    row = MailMessage.objects.select_for_update().get(pk=mail.pk)
    if row.state != MailState.FAILED and not mail_given_up(row):
        raise Clash(f"The mail to {row.to_address} is {row.get_state_display().lower()}; nothing to repeat.")
    row.in_doubt = row.in_doubt or row.state == MailState.QUEUED  # given up without a word
    row.state, row.answer = MailState.QUEUED, ""
    row.save(update_fields=["state", "answer", "in_doubt"])
    mail_ask(row)
    audit_record(actor, "mail_retry", row, at=at, change={"to": row.to_address})
    return row


def mail_bounced(*, message_id: str, words: str, at: datetime, actor: Actor = SYSTEM) -> MailMessage:
    """Note that a mail came back, as the mail service tells; twice does no harm. Raises NotThere."""
    name = message_id.strip()
    name = name if name.startswith("<") else f"<{name}>"
    with transaction.atomic():
        mail = MailMessage.objects.select_for_update().filter(message_id=name).first()
        if mail is None or mail.sent_at is None:
            raise NotThere("No mail that went out has this Message-ID.")
        if mail.state != MailState.BOUNCED:
            mail.state, mail.answer = MailState.BOUNCED, plain_line(words, ANSWER_MOST)
            mail.save(update_fields=["state", "answer"])
            audit_record(
                actor, "mail_bounced", mail, at=at, change={"to": mail.to_address, "words": mail.answer}
            )
    return mail
