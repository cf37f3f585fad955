"""Reads of notices: what is chosen, and what was sent to whom and when."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from framing.common.errors import NotThere
from framing.common.mail import mails_given_up
from framing.common.models import MailMessage, MailState, OutboxEntry
from orders.models import DrawingSet, NoticeChoice, NoticeMissed, Order
from orders.notices import MOVES
from orders.states import NoticeTo
from quotes.mail_kinds import NOTICE_KINDS

Choices = dict[tuple[str, str], bool]


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
    """Keys of those notices that were not sent or came back, and may be asked for again."""
    rows = [mail for mail in mails if mail.kind in NOTICE_KINDS]
    failed = {mail.pk for mail in rows if mail.state in (MailState.FAILED, MailState.BOUNCED)}
    return failed | mails_given_up(mail for mail in rows if mail.state == MailState.QUEUED)
