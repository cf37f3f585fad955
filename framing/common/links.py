"""Builders' links: random secrets kept as keyed hashes, bound to one purpose and one object, expiring."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from datetime import datetime

from django.conf import settings
from django.db import models, transaction
from django.db.models import F, Q

from framing.common.actors import Actor, by_link
from framing.common.audit import audit_record
from framing.common.errors import NotThere
from framing.common.models import AccessLink, LinkPurpose

SECRET_BYTES = 32


def link_digest(secret: str) -> str:
    """The keyed hash under which a secret is kept."""
    key = settings.LINK_KEY.encode()
    return hmac.new(key, secret.encode(), hashlib.sha256).hexdigest()


def link_make(
    *,
    actor: Actor,
    purpose: LinkPurpose,
    subject: models.Model,
    for_name: str,
    expires_at: datetime,
    at: datetime,
    secret: str = "",
    keep_earlier: bool = False,
) -> tuple[AccessLink, str]:
    """Make a link in the caller's transaction; the secret is returned once and never stored.

    Earlier links of the same purpose to the same object and person are withdrawn, unless `keep_earlier`. A mail,
    which must be able to say the same link at a second try, brings a `secret` of its own
    (`framing.common.mail.new_link_seed`).
    """
    label = subject._meta.label_lower
    if not keep_earlier:
        AccessLink.objects.filter(
            purpose=purpose, subject_type=label, subject_id=subject.pk, for_name=for_name, withdrawn_at=None
        ).update(withdrawn_at=at)
    secret = secret or secrets.token_urlsafe(SECRET_BYTES)
    link = AccessLink.objects.create(
        purpose=purpose,
        subject_type=label,
        subject_id=subject.pk,
        for_name=for_name,
        digest=link_digest(secret),
        expires_at=expires_at,
        made_by=actor.user,
        created_at=at,
    )
    audit_record(
        actor, "link_make", link, at=at, change={"subject": str(subject), "expires": str(expires_at)}
    )
    return link, secret


def link_withdraw(*, actor: Actor, link: AccessLink, at: datetime) -> None:
    """Withdraw a link at once; doing it twice changes nothing."""
    if AccessLink.objects.filter(pk=link.pk, withdrawn_at=None).update(withdrawn_at=at):
        audit_record(actor, "link_withdraw", link, at=at)


def _live(at: datetime) -> Q:
    return Q(withdrawn_at=None, expires_at__gt=at)


def link_open(secret: str, at: datetime) -> AccessLink:
    """The live link of a secret; each opening is counted and stands in the trail.

    Wrong, expired and withdrawn secrets raise the same NotThere.
    """
    doors = AccessLink.objects.exclude(purpose=LinkPurpose.CALENDAR)
    link = doors.filter(_live(at), digest=link_digest(secret)).first()
    if link is None:
        raise NotThere()
    with transaction.atomic():
        AccessLink.objects.filter(pk=link.pk).update(opened_count=F("opened_count") + 1, opened_at=at)
        audit_record(by_link(link), "link_open", link, at=at)
    return link


def link_feed(secret: str, at: datetime) -> AccessLink:
    """The live link of a calendar's secret. Calendars ask many times a day: that is counted, and no entry each.

    Wrong, expired and withdrawn secrets, and those of other links, raise the same NotThere.
    """
    rows = AccessLink.objects.filter(_live(at), digest=link_digest(secret), purpose=LinkPurpose.CALENDAR)
    link = rows.first()
    if link is None:
        raise NotThere()
    rows.update(opened_count=F("opened_count") + 1, opened_at=at)
    return link


def link_get(public_id: str, purpose: LinkPurpose, at: datetime) -> AccessLink:
    """The live link that a cookie names. Raises NotThere."""
    link = AccessLink.objects.filter(_live(at), public_id=public_id, purpose=purpose).first()
    if link is None:
        raise NotThere()
    return link


def link_list(subject: models.Model) -> models.QuerySet[AccessLink]:
    """All links to an object, newest first."""
    return AccessLink.objects.filter(subject_type=subject._meta.label_lower, subject_id=subject.pk).order_by(
        "-id"
    )
