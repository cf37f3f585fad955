"""Notices sent by hand: a mail that did not arrive, to the address as it is now; one that could not be made at all."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import models, transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotThere
from framing.common.mail import mail_given_up, mail_put_back, mail_queue
from framing.common.mail_letter import Letter
from framing.common.mail_sending import mail_guard
from framing.common.models import MailMessage, MailState
from orders.models import Delivery, NoticeMissed, Order
from orders.notice_reads import TELL_OF_DAYS, mails_to_repeat, may_repeat, no_longer_so
from orders.notices import MOVES
from orders.services.notices import (
    Who,
    delivery_mail_link,
    notice_mail,
    order_told,
    people_told,
    thing_told,
    values_told,
    who_is,
)
from orders.states import NoticeTo
from quotes.mail_kinds import NOTICE_KINDS, ORDER_NEWS


def notice_resend(*, actor: Actor, at: datetime, mail: MailMessage) -> MailMessage:
    """Send a notice again that failed or came back, to the address that its reader has now.

    The same address gets the same mail once more; a new one gets it for the first time, a second try of which is
    refused.

    Raises NotThere for another kind of mail, Clash for one that is on its way or went out, or that came back from the
    address that still stands.
    """
    with transaction.atomic():
        require(actor, "notice", "send")
        row = MailMessage.objects.select_for_update().get(pk=mail.pk)
        if row.kind not in NOTICE_KINDS or row.subject_type != Order._meta.label_lower:
            raise NotThere()
        if why := no_longer_so([row]).get(row.pk):
            raise Clash(why)
        who = _reader(row)
        if row.state == MailState.BOUNCED:
            return _to_new_address(actor, at, row, who)
        if row.state != MailState.FAILED and not mail_given_up(row):
            raise Clash(
                f"The mail to {row.to_address} is {row.get_state_display().lower()}; nothing to repeat."
            )
        if who.recipient is None:
            raise Clash(who.why)
        if row.to_address != who.recipient.address:
            was, row.to_address = row.to_address, who.recipient.address
            row.save(update_fields=["to_address"])
            audit_record(actor, "mail_address", row, at=at, change={"to": [was, row.to_address]})
        return mail_put_back(actor=actor, mail=row, at=at)


@dataclass(frozen=True, slots=True)
class SentAgain:
    """Mails that are on their way again, and those that stay with the reason."""

    sent: tuple[MailMessage, ...]
    left: tuple[tuple[MailMessage, str], ...]


def notice_resend_all(*, actor: Actor, at: datetime, order: Order | None = None) -> SentAgain:
    """Send all notices of the last two weeks again that failed or came back, of one order or of all; each as
    `notice_resend` does.

    What can't go stays as it is and is named with the reason. A second time finds none of those that went.
    """
    sent, left = [], []
    with transaction.atomic():
        require(actor, "notice", "send")
        for mail in mails_to_repeat(at, order):
            try:
                with transaction.atomic():
                    sent.append(notice_resend(actor=actor, at=at, mail=mail))
            except Clash as refusal:
                mail.refresh_from_db()
                if mail.pk in may_repeat([mail]):  # else somebody else sent it at this moment
                    left.append((mail, refusal.message))
    return SentAgain(tuple(sent), tuple(left))


def _reader(mail: MailMessage) -> Who:
    """Whom a notice is for, with his address as it is now."""
    order = order_told(mail.subject_id)
    if mail.kind != ORDER_NEWS:
        return people_told(order, NoticeTo.BUILDER)[0]
    user = mail.to_user
    if user is None or not user.is_active:
        raise Clash(f"{mail.to_name} is no longer at work here.")
    return who_is(user.name, user.email, user)


def _guard(mail: MailMessage, at: datetime) -> str:
    del at
    return no_longer_so([mail]).get(mail.pk, "")


for _kind in TELL_OF_DAYS:
    mail_guard(_kind)(_guard)


def _to_new_address(actor: Actor, at: datetime, mail: MailMessage, who: Who) -> MailMessage:
    """A mail that came back goes out anew, once, as a mail of its own."""
    if who.recipient is None:
        raise Clash(who.why)
    if who.recipient.address == mail.to_address:
        raise Clash(
            f"The mail to {mail.to_address} came back. Correct the address first, then send it again."
        )
    same = MailMessage.objects.filter(
        kind=mail.kind, subject_type=mail.subject_type, subject_id=mail.subject_id, subject=mail.subject,
        to_address=who.recipient.address, pk__gt=mail.pk,
    )  # fmt: skip
    if same.exists():
        raise Clash(f"It was sent again to {who.recipient.address} already.")
    link, seed = None, ""
    if mail.link is not None:
        delivery = Delivery.objects.get(pk=mail.link.subject_id)
        link, seed = delivery_mail_link(delivery, who.recipient, at)
    new = mail_queue(
        actor=actor,
        kind=mail.kind,
        about=order_told(mail.subject_id),
        to=who.recipient,
        letter=Letter(mail.subject, mail.text, mail.html),
        link=link,
        link_seed=seed,
        to_user=mail.to_user,
    )
    audit_record(actor, "mail_retry", mail, at=at, change={"to": new.to_address})
    return new


def notice_send(*, actor: Actor, at: datetime, missed: NoticeMissed) -> MailMessage:
    """Send a notice that could not be made, with the words of its own moment, once.

    Raises Clash where it was sent, is still without an address, or what it tells is no longer so.
    """
    with transaction.atomic():
        require(actor, "notice", "send")
        row = NoticeMissed.objects.select_for_update(of=("self",)).get(pk=missed.pk)
        if row.mail is not None:
            raise Clash(f"It was sent to {row.mail.to_address} already.")
        order, about = order_told(row.order_id), thing_told(row.asked)
        if not is_still_so(row, about):
            raise Clash("What it tells is no longer so; a newer notice tells what is.")
        who = _missed_reader(row, order)
        row.mail = notice_mail(MOVES[row.move], row.to, order, about, who, row.asked["values"], at)
        row.save(update_fields=["mail"])
        audit_record(actor, "notice_send", order, at=at, change={"to": row.mail.to_address})
    return row.mail


def is_still_so(missed: NoticeMissed, about: models.Model) -> bool:
    """Whether what a missed notice tells still holds: the same day, and dropped only where it tells that."""
    if not isinstance(about, Delivery):
        return True
    if (about.dropped_at is not None) != (missed.move == "dropped"):
        return False
    told: str = missed.asked["values"]["day"]
    return values_told(about)["day"] == told


def _missed_reader(missed: NoticeMissed, order: Order) -> Who:
    wanted = int(missed.key.rsplit(".", 1)[1])
    for who in people_told(order, missed.to):
        if (who.user.pk if who.user else 0) == wanted:
            return who
    raise Clash(f"{missed.name} is no longer told of this.")
