"""Addresses of calendars: made for a person, of one truck or one builder, withdrawn at once."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere
from framing.common.links import link_list, link_make, link_withdraw
from framing.common.models import AccessLink, LinkPurpose
from framing.projects.models import Builder
from orders.models import Truck
from orders.services.delivery_typed import NAME_MOST, read_words

DAYS = 400
"""How long a calendar's address lives; after that somebody has to ask for a new one."""


def feed_make(*, actor: Actor, at: datetime, of: Truck | Builder, for_name: str) -> tuple[AccessLink, str]:
    """Make the address of a calendar; it is shown once and never kept. An earlier one of the same person ends.

    Calendars can't sign in, so the secret stands in the address: whoever has it reads the calendar, and nothing else.

    Raises Clash for a retired truck, Refused without a name.
    """
    with transaction.atomic():
        require(actor, "calendar", "make")
        if isinstance(of, Truck) and not of.active:
            raise Clash(f"{of.name} is retired; its calendar would stay empty.")
        name = read_words(for_name, "for_name", "Name the person the calendar is for.", NAME_MOST)
        link, secret = link_make(
            actor=actor,
            purpose=LinkPurpose.CALENDAR,
            subject=of,
            for_name=name,
            expires_at=at + timedelta(days=DAYS),
            at=at,
        )
        audit_record(actor, "feed_make", of, at=at, change={"for": name})
    return link, settings.PUBLIC_URL.rstrip("/") + reverse("calendar_feed", args=[secret])


def feed_withdraw(*, actor: Actor, at: datetime, of: Truck | Builder, link_id: str) -> None:
    """Withdraw a calendar's address at once; a second time changes nothing. Raises NotThere."""
    with transaction.atomic():
        require(actor, "calendar", "withdraw")
        link = link_list(of).filter(public_id=link_id, purpose=LinkPurpose.CALENDAR).first()
        if link is None:
            raise NotThere()
        link_withdraw(actor=actor, link=link, at=at)
