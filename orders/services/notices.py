"""Notices: asked for in the transaction of the move, made into mails by the worker, once; the company's choices."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
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
from framing.common.errors import Refused
from framing.common.links import link_make
from framing.common.mail import mail_queue, new_link_seed
from framing.common.mail_templates import template_words
from framing.common.mail_words import Recipient, read_recipient
from framing.common.models import AccessLink, LinkPurpose, Role, User
from framing.common.outbox import outbox_add
from framing.common.zones import day_words
from orders.claim_words import claim_thing
from orders.models import Claim, Delivery, NoticeChoice, Order
from orders.notice_reads import notice_on
from orders.notices import MOVES, Move
from orders.services.delivery_typed import Window
from orders.states import NoticeTo
from quotes.mail_kinds import KINDS
from quotes.services.sending import quote_letter

KIND = "notice"
STALE_AFTER = timedelta(hours=48)
"""A notice that could not be made by then would tell of what has long become otherwise."""
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
        "order": order.pk,
        "about": [thing._meta.label, thing.pk],
        "at": at.isoformat(),
        "values": _values(thing) | {"why": why},
    }
    outbox_add(KIND, key, payload)


def _values(thing: models.Model) -> dict[str, str]:
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
    """The outbox handler: write the mails of a move to all whom the company wants told, in the row's transaction."""
    at = database_now()
    if at - datetime.fromisoformat(payload["at"]) > STALE_AFTER:
        return
    move = MOVES[payload["move"]]
    rows = Order.objects.select_related("revision__quote__project__builder", "owner")
    order = rows.select_related("revision__quote__project__site", "revision__quote__owner").get(
        pk=payload["order"]
    )
    about = apps.get_model(payload["about"][0]).objects.get(pk=payload["about"][1])
    on = notice_on()
    for to in move.audiences:
        if on[move.key, to]:
            for who, user in _people(order, to):
                _mail(move, to, order, about, who, user, payload["values"], at)


def _people(order: Order, to: str) -> list[tuple[Recipient, User | None]]:
    """Who is told, each with a mail address that can be sent to; nobody where none is known."""
    if to == NoticeTo.BUILDER:
        builder = order.revision.quote.project.builder
        return _readable([(builder.contact_name or builder.name, builder.email, None)])
    if to == NoticeTo.SELLER:
        users = [order.owner] if order.owner.is_active else []
    else:
        users = list(User.objects.filter(role=_ROLES[to], is_active=True).order_by("pk"))
    return _readable((user.name, user.email, user) for user in users)


def _readable(people: Iterable[tuple[str, str, User | None]]) -> list[tuple[Recipient, User | None]]:
    found = []
    for name, address, user in people:
        try:
            found.append((read_recipient(name, address), user))
        except Refused:
            continue  # a builder without a mail address is called, not mailed
    return found


def _mail(
    move: Move,
    to: str,
    order: Order,
    about: models.Model,
    who: Recipient,
    user: User | None,
    values: Mapping[str, str],
    at: datetime,
) -> None:
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
        link, seed = _link(about, who, at)
    mail_queue(
        actor=SYSTEM,
        kind=kind.name,
        about=order,
        to=who,
        letter=quote_letter(kind, order.revision, who, more),
        link=link,
        link_seed=seed,
        to_user=user,
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


def _link(delivery: Delivery, who: Recipient, at: datetime) -> tuple[AccessLink, str]:
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
