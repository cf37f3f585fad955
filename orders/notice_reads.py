"""Reads of notices: what is chosen, and what was sent to whom and when."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final

from django.db.models import Q, QuerySet

from framing.common.errors import NotThere
from framing.common.mail import SEND, mails_given_up
from framing.common.models import MailMessage, MailState, OutboxEntry
from orders.models import Delivery, DrawingSet, NoticeChoice, NoticeMissed, Order
from orders.notices import MOVES
from orders.states import NoticeTo
from quotes.mail_kinds import (
    DELIVERY_DROPPED,
    DELIVERY_LOADED,
    DELIVERY_MOVED,
    DELIVERY_PLANNED,
    NOTICE_KINDS,
)

Choices = dict[tuple[str, str], bool]
_ORDER: Final = Order._meta.label_lower
TELL_OF_DAYS: Final = (DELIVERY_PLANNED, DELIVERY_MOVED, DELIVERY_LOADED, DELIVERY_DROPPED)
AHEAD: Final = (DELIVERY_PLANNED, DELIVERY_MOVED, DELIVERY_LOADED)
ALL_WITHIN: Final = timedelta(days=14)
"""Older mails that failed are sent again one by one only: by then somebody has called, or nobody waits."""
ALL_MOST: Final = 200


def notice_on() -> Choices:
    """For each move and each who may be told of it, whether he is."""
    on = {(move.key, to.value): to in move.begins for move in MOVES.values() for to in move.audiences}
    chosen = {(row.move, row.to): row.on for row in NoticeChoice.objects.all()}
    return on | {key: value for key, value in chosen.items() if key in on}


def notice_mails(*, search: str = "", state: str = "") -> QuerySet[MailMessage]:
    """All mails of notices, newest first."""
    rows = MailMessage.objects.filter(kind__in=NOTICE_KINDS)
    if state:
        rows = rows.filter(state=state)
    if search:
        rows = rows.filter(
            Q(subject__icontains=search) | Q(to_name__icontains=search) | Q(to_address__icontains=search)
        )
    return rows.order_by("-id")


def order_mails(order: Order) -> QuerySet[MailMessage]:
    """Mails about one order and its drawings, newest first."""
    sets = DrawingSet.objects.filter(order=order).values("pk")
    own = Q(subject_type=Order._meta.label_lower, subject_id=order.pk)
    drawn = Q(subject_type=DrawingSet._meta.label_lower, subject_id__in=sets)
    return MailMessage.objects.filter(own | drawn).order_by("-id")


def notices_missed(order: Order | None = None) -> QuerySet[NoticeMissed]:
    """Notices that nobody got, for they could not be made, newest first."""
    rows = NoticeMissed.objects.filter(mail=None).select_related("order")
    rows = rows if order is None else rows.filter(order=order)
    return rows.order_by("-id")


def missed_get(public_id: str) -> NoticeMissed:
    """Raises NotThere."""
    row = NoticeMissed.objects.filter(public_id=public_id).first()
    if row is None:
        raise NotThere()
    return row


def notices_stopped() -> int:
    """How many notices the worker gave up making."""
    return OutboxEntry.objects.filter(kind="notice", parked_at__isnull=False).count()


def builder_told_words(order: Order, move: str) -> str:
    """Whether the builder learns of a move by mail, for the person who made it; else who has to tell him."""
    builder = order.revision.quote.project.builder
    if not notice_on().get((move, NoticeTo.BUILDER.value), False):
        return "The builder is not mailed; call if he should know."
    if not builder.email:
        return f"{builder.name} has no mail address here: call."
    return f"The builder is told by mail to {builder.email}."


def may_repeat(mails: Iterable[MailMessage]) -> set[int]:
    """Keys of those notices that were not sent or came back, and may be asked for again.

    What is no longer so, and what was sent anew to another address since, is not. The queries don't grow with them.
    """
    rows = [mail for mail in mails if mail.kind in NOTICE_KINDS and mail.subject_type == _ORDER]
    failed = {mail.pk for mail in rows if mail.state in (MailState.FAILED, MailState.BOUNCED)}
    failed |= mails_given_up(mail for mail in rows if mail.state == MailState.QUEUED)
    rows = [mail for mail in rows if mail.pk in failed]
    return failed - set(no_longer_so(rows)) - _sent_anew(rows)


def mails_to_repeat(at: datetime, order: Order | None = None) -> list[MailMessage]:
    """Notices of the last two weeks that may be sent again, oldest first, as many as go at once; maybe of one order."""
    given_up = OutboxEntry.objects.filter(kind=SEND, parked_at__isnull=False)
    parked = Q(state=MailState.QUEUED, pk__in=list(given_up.values_list("payload__mail", flat=True)))
    rows = MailMessage.objects.filter(
        kind__in=NOTICE_KINDS, subject_type=_ORDER, created_at__gt=at - ALL_WITHIN
    )
    rows = rows.filter(Q(state__in=(MailState.FAILED, MailState.BOUNCED)) | parked)
    found = list((rows if order is None else rows.filter(subject_id=order.pk)).order_by("id"))
    again = may_repeat(found)
    return [mail for mail in found if mail.pk in again][:ALL_MOST]


def no_longer_so(mails: Iterable[MailMessage]) -> dict[int, str]:
    """Why mails about a delivery must not go out any more, by key: it was moved, dropped or received since."""
    rows = [mail for mail in mails if mail.kind in TELL_OF_DAYS and mail.subject_type == _ORDER]
    by_order: dict[int, list[Delivery]] = {}
    if rows:
        orders = {mail.subject_id for mail in rows}
        for delivery in (
            Delivery.objects.filter(order__in=orders).prefetch_related("day_moves").order_by("id")
        ):
            by_order.setdefault(delivery.order_id, []).append(delivery)
    told = ((mail.pk, _overtaken(mail, by_order.get(mail.subject_id, ()))) for mail in rows)
    return {key: words for key, words in told if words}


def _overtaken(mail: MailMessage, deliveries: Iterable[Delivery]) -> str:
    for one in deliveries:
        if one.number not in f"{mail.subject} {mail.text}":
            continue
        dropped = one.dropped_at is not None and mail.kind != DELIVERY_DROPPED
        if dropped or any(move.at > mail.created_at for move in one.day_moves.all()):
            return f"Delivery {one.number} was {'dropped' if dropped else 'moved'} since; a newer mail tells that."
        if one.delivered_at is not None and mail.kind in AHEAD:
            return f"Delivery {one.number} was received since; there is nothing left to announce."
    return ""


def _sent_anew(mails: Iterable[MailMessage]) -> set[int]:
    """Keys of those mails that came back of which the same reader was sent a newer one."""
    came_back = [mail for mail in mails if mail.state == MailState.BOUNCED]
    if not came_back:
        return set()
    newer = MailMessage.objects.filter(
        subject_type=_ORDER,
        subject_id__in={mail.subject_id for mail in came_back},
        pk__gt=min(mail.pk for mail in came_back),
    )
    last: dict[tuple[object, ...], int] = {}
    for *same, pk in newer.order_by("id").values_list("kind", "subject_id", "subject", "to_user_id", "pk"):
        last[tuple(same)] = pk
    return {
        mail.pk
        for mail in came_back
        if last.get((mail.kind, mail.subject_id, mail.subject, mail.to_user_id), 0) > mail.pk
    }
