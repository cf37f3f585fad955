"""Notices: asked for in the transaction of the move, made into mails by the worker, once; the company's choices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import models, transaction
from django.urls import reverse

from framing.common.access import require
from framing.common.actors import SYSTEM, Actor
from framing.common.audit import audit_record
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from framing.common.links import link_make
from framing.common.mail import mail_queue, new_link_seed
from framing.common.mail_templates import template_words
from framing.common.mail_words import NAME_MOST, Recipient, read_recipient
from framing.common.models import AccessLink, LinkPurpose, MailMessage, Role, User
from framing.common.outbox import outbox_add
from framing.common.zones import day_words
from orders.claim_words import claim_thing
from orders.models import Claim, Delivery, NoticeChoice, NoticeMissed, Order
from orders.notice_reads import notice_on
from orders.notices import MOVES, Move
from orders.services.delivery_typed import Window
from orders.states import NoticeTo
from quotes.mail_kinds import KINDS
from quotes.services.sending import quote_letter

KIND = "notice"
STALE_AFTER = timedelta(hours=48)
"""A notice that could not be made by then would tell of what has long become otherwise."""
LATE_WORDS = "It could not be made within two days; by then it may no longer have been so."
WHY_MOST = 300
LINK_DAYS_AFTER_PLANNED = 90
_ROLES: Mapping[str, Role] = {
    NoticeTo.MANAGER: Role.MANAGER,
    NoticeTo.PLANNER: Role.PLANNER,
    NoticeTo.DISPATCHER: Role.DISPATCHER,
}


def notice_ask(
    move: str, order: Order, at: datetime, *, about: models.Model | None = None, why: str = ""
) -> None:
    """Ask for the notices of a move in the caller's transaction; the same state of the same thing is told once.

    The words of day, window and reason are those of this moment, however late the worker comes.
    """
    thing = about or order
    key = f"{move}.{thing._meta.model_name}.{thing.pk}.{getattr(thing, 'edition', 1)}"
    payload = {
        "move": move,
        "key": key,
        "order": order.pk,
        "about": [thing._meta.label, thing.pk],
        "at": at.isoformat(),
        "asked_at": database_now().isoformat(),
        "values": values_told(thing) | {"why": why},
    }
    outbox_add(KIND, key, payload)


def values_told(thing: models.Model) -> dict[str, str]:
    """What a letter says of a thing, as it is now."""
    if isinstance(thing, Delivery):
        window = Window(thing.window_from, thing.window_to).words
        return {
            "delivery": thing.number,
            "day": day_words(thing.planned_for) + (f", {window}" if window else ""),
            "received_by": thing.received_by,
        }
    if isinstance(thing, Claim):
        return {
            "claim": f"{thing.number}, {claim_thing(thing)}",
            "words": thing.words,
            "state": thing.get_state_display().lower(),
        }
    return {}


def notice_make(payload: Mapping[str, Any]) -> None:
    """The outbox handler: write the mails of a move to all whom the company wants told, in the row's transaction.

    Whom no mail can be sent to, and what comes too late to be true, is kept as missed, for a person to look at. What
    was long past when it was entered is told to nobody.
    """
    at = database_now()
    moved_at = datetime.fromisoformat(payload["at"])
    asked_at = datetime.fromisoformat(payload.get("asked_at", payload["at"]))
    if asked_at - moved_at > STALE_AFTER:
        return  # told of long afterwards, as a history is: nobody waits for that mail
    late = at - moved_at > STALE_AFTER
    move, order, about = MOVES[payload["move"]], order_told(payload["order"]), thing_told(payload)
    on = notice_on()
    for to in move.audiences:
        for who in people_told(order, to) if on[move.key, to] else ():
            if late or who.recipient is None:
                _missed(payload, order, to, who, LATE_WORDS if late else who.why, at)
            else:
                notice_mail(move, to, order, about, who, payload["values"], at)


def order_told(pk: int) -> Order:
    """The order with all that a letter reads."""
    rows = Order.objects.select_related("revision__quote__project__builder", "owner")
    return rows.select_related("revision__quote__project__site", "revision__quote__owner").get(pk=pk)


def thing_told(payload: Mapping[str, Any]) -> models.Model:
    """What a move was about."""
    label, pk = payload["about"]
    found: models.Model = apps.get_model(label).objects.get(pk=pk)
    return found


@dataclass(frozen=True, slots=True)
class Who:
    """Somebody to tell. `recipient` is None where no mail can be sent to him; `why` says so."""

    name: str
    user: User | None
    recipient: Recipient | None
    why: str = ""


def people_told(order: Order, to: str) -> list[Who]:
    """Who is told; nobody where no one at work has that role."""
    if to == NoticeTo.BUILDER:
        builder = order.revision.quote.project.builder
        name = builder.contact_name or builder.name
        if not builder.email:
            return [Who(name, None, None, f"{builder.name} has no mail address here. Call, or add one.")]
        return [who_is(name, builder.email, None)]
    if to == NoticeTo.SELLER:
        users = [order.owner] if order.owner.is_active else []
    else:
        users = list(User.objects.filter(role=_ROLES[to], is_active=True).order_by("pk"))
    return [who_is(user.name, user.email, user) for user in users]


def who_is(name: str, address: str, user: User | None) -> Who:
    """Somebody by his name and address here."""
    try:
        return Who(name, user, read_recipient(name, address))
    except Refused as error:
        return Who(name, user, None, error.message)


def _missed(payload: Mapping[str, Any], order: Order, to: str, who: Who, why: str, at: datetime) -> None:
    key = f"{payload['key']}.{to}.{who.user.pk if who.user else 0}"
    values = {"order": order, "move": payload["move"], "to": to, "name": who.name[:NAME_MOST]}
    more = {"asked": dict(payload), "why": why[:WHY_MOST], "at": at}
    NoticeMissed.objects.get_or_create(key=key, defaults=values | more)


def notice_mail(
    move: Move,
    to: str,
    order: Order,
    about: models.Model,
    who: Who,
    values: Mapping[str, str],
    at: datetime,
) -> MailMessage:
    """Write one mail of a move in the caller's transaction. Raises Clash for somebody without a mail address."""
    if who.recipient is None:
        raise Clash(who.why)
    kind = KINDS[move.mail_kind(to)]
    more = {
        "order": order.number,
        "site": str(order.revision.quote.project.site),
        "what": _news(move, values),
        "page": _page(order, about),
        **values,
    }
    link, seed = None, ""
    if isinstance(about, Delivery) and to == NoticeTo.BUILDER and "{link}" in template_words(kind).text:
        link, seed = delivery_mail_link(about, who.recipient, at)
    return mail_queue(
        actor=SYSTEM,
        kind=kind.name,
        about=order,
        to=who.recipient,
        letter=quote_letter(kind, order.revision, who.recipient, more),
        link=link,
        link_seed=seed,
        to_user=who.user,
    )


def _news(move: Move, values: Mapping[str, str]) -> str:
    told = [values.get(key, "") for key in ("delivery", "day", "claim", "state", "words", "why")]
    more = "; ".join(word for word in told if word)
    return f"{move.news}{f': {more}' if more else ''}"


def _page(order: Order, about: models.Model) -> str:
    route, key = "orders:order_page", order.public_id
    if isinstance(about, Delivery):
        route, key = "orders:delivery_page", about.public_id
    base: str = settings.PUBLIC_URL
    return base.rstrip("/") + reverse(route, args=[key])


def delivery_mail_link(delivery: Delivery, who: Recipient, at: datetime) -> tuple[AccessLink, str]:
    """A link of the mail's own; earlier ones stay, for they may be on a telephone by now."""
    seed, secret = new_link_seed()
    days = max(0, (delivery.planned_for - at.date()).days)
    link, _ = link_make(
        actor=SYSTEM,
        purpose=LinkPurpose.DELIVERY,
        subject=delivery,
        for_name=who.name,
        expires_at=at + timedelta(days=days + LINK_DAYS_AFTER_PLANNED),
        at=at,
        secret=secret,
        keep_earlier=True,
    )
    return link, seed


def notice_choose(*, actor: Actor, at: datetime, move: str, to: str, on: bool) -> None:
    """Choose whether somebody is told of a move; the same choice again changes nothing.

    Raises Refused for a move or person that is not listed.
    """
    with transaction.atomic():
        require(actor, "notice", "change")
        known = MOVES.get(move)
        if known is None or to not in known.audiences:
            raise Refused("There is no such notice; load the page again.", field="move")
        if notice_on()[move, to] == on:
            return
        row, _ = NoticeChoice.objects.update_or_create(move=move, to=to, defaults={"on": on})
        audit_record(actor, "notice_choose", row, at=at, change={"on": [not on, on]})
