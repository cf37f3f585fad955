"""The company's own words for our mails: versions kept, the newest holds, the words in the code before the first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import NotThere, StaleSave
from framing.common.mail_words import MailKind, check_words
from framing.common.models import MailTemplate

LOCK_CLASS = 7403  # ours alone among the database's advisory locks


@dataclass(frozen=True, slots=True)
class Words:
    """The words of a kind that hold now; version 0 are those of the code."""

    subject: str
    text: str
    version: int


def template_words(kind: MailKind) -> Words:
    """The words that hold now."""
    newest = MailTemplate.objects.filter(kind=kind.name).order_by("-version").first()
    if newest is None:
        return Words(kind.subject, kind.text, 0)
    return Words(newest.subject, newest.text, newest.version)


def template_versions(kind: MailKind) -> list[MailTemplate]:
    """All versions of a kind, newest first."""
    return list(MailTemplate.objects.filter(kind=kind.name).select_related("made_by").order_by("-version"))


def template_change(
    *, actor: Actor, kind: MailKind, subject: str, text: str, seen: int, at: datetime
) -> Words:
    """Keep new words for a kind of mail.

    Args:
        seen: the version that was on the page.

    Raises:
        Refused: a placeholder that we do not know, one that is missing, or a size.
        StaleSave: somebody saved meanwhile.
    """
    require(actor, "mail_template", "change")
    if actor.user is None:
        raise NotThere()  # words are a person's
    line, body = check_words(kind, subject, text)
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, hashtext(%s))", [LOCK_CLASS, kind.name])
        now = template_words(kind)
        if now.version != seen:
            raise StaleSave(f"Version {now.version} was saved meanwhile. Look at it, then save again.")
        if (now.subject, now.text) == (line, body):
            return now
        made = MailTemplate.objects.create(
            kind=kind.name, version=seen + 1, subject=line, text=body, made_at=at, made_by=actor.user
        )
        audit_record(actor, "mail_template_change", made, at=at, change={"version": made.version})
    return Words(line, body, made.version)
