"""Notices that do not arrive: server down, wrong address, no address, too late; sent again by hand, never twice."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.core import mail as outbox
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.errors import Clash, NotAllowed, NotThere
from framing.common.links import link_list
from framing.common.mail import SEND, mail_bounced
from framing.common.mail_sending import PAUSES_S
from framing.common.models import MailMessage, MailState, OutboxEntry, Role
from framing.common.outbox import NOT_BEFORE, outbox_run, outbox_waiting
from orders import services
from orders.models import Delivery, NoticeMissed
from orders.notice_reads import notices_missed
from orders.services.notices import STALE_AFTER
from tests.common.post_office import post_office
from tests.factories import deliveries, orders, people
from tests.factories.at_once import at_once
from tests.factories.notices import choose, only

pytestmark = pytest.mark.django_db
NOW = datetime.now(UTC)


def told(*, at: datetime = NOW) -> list[MailMessage]:
    """Make what notices were asked for, as if their moves were of `at`; all mails to builders, oldest first."""
    for entry in OutboxEntry.objects.filter(kind="notice", done_at=None).order_by("id"):
        entry.payload["at"] = entry.payload["asked_at"] = at.isoformat()
        entry.save(update_fields=["payload"])
        assert outbox_run(entry.pk) is True
    return list(MailMessage.objects.filter(kind__startswith="delivery_").order_by("id"))


def send_due() -> None:
    """What the worker does: all that is due."""
    for pk in outbox_waiting():
        outbox_run(pk)


def pass_pauses() -> None:
    """Let the time come for which mails wait."""
    for entry in OutboxEntry.objects.filter(kind=SEND, done_at=None):
        entry.payload.pop(NOT_BEFORE, None)
        entry.save(update_fields=["payload"])


def planned(address: str | None = None) -> tuple[Delivery, MailMessage | None]:
    """A planned delivery of which only the builder is told, at an address; with the mail, where one was written."""
    only("planned", "builder")
    order = orders.bundled()
    if address is not None:
        set_address(order.revision.quote.project.builder, address)
    delivery = orders.planned(order)
    mails = told()
    return delivery, mails[0] if mails else None


def set_address(builder: Any, address: str) -> None:
    type(builder).objects.filter(pk=builder.pk).update(email=address)


def builder_of(delivery: Delivery) -> Any:
    return delivery.order.revision.quote.project.builder


def again(mail: MailMessage, role: str = Role.DISPATCHER) -> MailMessage:
    return services.notice_resend(actor=people.actor(Role(role)), at=NOW, mail=mail)


def send(missed: NoticeMissed, role: str = Role.DISPATCHER) -> MailMessage:
    return services.notice_send(actor=people.actor(Role(role)), at=NOW, missed=missed)


# --- the server ---


def test_with_the_server_down_it_waits_and_goes_out_once_when_it_is_up_again(settings: Any) -> None:
    _, mail = planned()
    assert mail
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    send_due()
    mail.refresh_from_db()
    assert (mail.state, "Next try at" in mail.answer) == (MailState.QUEUED, True)
    page = people.client_of(people.user(Role.DISPATCHER)).get(reverse("orders:notice_sent")).content.decode()
    assert "Next try at" in page
    send_due()
    mail.refresh_from_db()
    assert mail.attempts == 1, "not before its time"
    pass_pauses()
    with post_office(settings, "take") as office:
        send_due()
        send_due()
        mail.refresh_from_db()
        assert (mail.state, len(office.taken)) == (MailState.SENT, 1)


def test_a_server_down_for_half_a_day_leaves_it_to_a_person_who_sends_it_once(settings: Any) -> None:
    _, mail = planned()
    assert mail
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    for _ in range(len(PAUSES_S) + 1):
        send_due()
        pass_pauses()
    mail.refresh_from_db()
    assert mail.state == MailState.FAILED
    with post_office(settings, "take") as office:
        again(mail)
        with pytest.raises(Clash, match="nothing to repeat"):
            again(mail)
        send_due()
        assert len(office.taken) == 1
    with pytest.raises(Clash, match="nothing to repeat"):
        again(mail)


def test_a_mail_that_waits_is_left_out_once_the_delivery_was_moved(settings: Any) -> None:
    only("planned", "builder")
    choose("moved", "builder", True)
    delivery = orders.planned()
    (first,) = told()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 1
    send_due()
    services.delivery_reschedule(
        actor=deliveries.dispatcher(), at=datetime.now(UTC), delivery=delivery,
        planned_for=delivery.planned_for + timedelta(days=400), why="rain",
    )  # fmt: skip
    told()
    pass_pauses()
    with post_office(settings, "take", "take") as office:
        send_due()
        assert len(office.taken) == 1
    first.refresh_from_db()
    assert (first.state, "was moved since" in first.answer) == (MailState.FAILED, True)
    with pytest.raises(Clash, match="was moved since"):
        again(first)


# --- the address ---


def test_a_refused_address_is_said_and_the_mail_goes_to_the_one_put_right(settings: Any) -> None:
    delivery, mail = planned("rea@winter.example")
    assert mail
    with post_office(settings, "never"):
        send_due()
    mail.refresh_from_db()
    assert (mail.state, mail.answer) == (MailState.FAILED, "550 no such box")
    set_address(builder_of(delivery), "rae@winter.example")
    with post_office(settings, "take") as office:
        assert again(mail).pk == mail.pk
        send_due()
        assert b"rae@winter.example" in office.taken[0]
    mail.refresh_from_db()
    assert (mail.state, mail.to_address) == (MailState.SENT, "rae@winter.example")
    assert link_list(delivery).count() == 1


def test_what_came_back_goes_anew_once_the_address_is_another_and_only_once() -> None:
    delivery, mail = planned("rea@winter.example")
    assert mail
    send_due()
    mail.refresh_from_db()
    mail_bounced(message_id=mail.message_id, words="no such box", at=NOW)
    with pytest.raises(Clash, match="Correct the address first"):
        again(mail)
    set_address(builder_of(delivery), "rae@winter.example")
    new = again(mail)
    assert (new.to_address, new.subject, new.pk != mail.pk) == ("rae@winter.example", mail.subject, True)
    with pytest.raises(Clash, match=r"sent again to rae@winter\.example already"):
        again(mail)
    send_due()
    assert [letter.to[0] for letter in outbox.outbox][-1].endswith("<rae@winter.example>")
    assert "/l/" in outbox.outbox[-1].body
    assert link_list(delivery).count() == 2, "the new mail has a link of its own"


def test_other_mails_are_not_sent_again_here() -> None:
    _, mail = planned()
    assert mail
    MailMessage.objects.filter(pk=mail.pk).update(kind="quote_sent", state="failed")
    with pytest.raises(NotThere):
        again(mail)


# --- nobody to send to ---


def test_a_builder_without_an_address_is_listed_and_told_once_he_has_one() -> None:
    delivery, mail = planned("")
    assert mail is None
    (missed,) = notices_missed(delivery.order)
    assert (missed.move, missed.to) == ("planned", "builder")
    assert "has no mail address here" in missed.why
    who = people.client_of(people.user(Role.DISPATCHER))
    for url in (
        reverse("orders:notice_sent"),
        reverse("orders:order_notices", args=[delivery.order.public_id]),
    ):
        assert "has no mail address here" in who.get(url).content.decode()
    send_url = reverse("orders:notice_send", args=[missed.public_id])
    assert "has no mail address" in who.post(send_url, follow=True).content.decode()
    set_address(builder_of(delivery), "rae@winter.example")
    done = who.post(send_url, {"order": delivery.order.public_id})
    assert done["Location"] == reverse("orders:order_notices", args=[delivery.order.public_id])
    (mail,) = told()
    assert (mail.to_address, delivery.number in mail.subject) == ("rae@winter.example", True)
    assert "already" in who.post(send_url, follow=True).content.decode()
    assert len(told()) == 1
    assert not notices_missed().exists()


def test_an_address_that_is_none_is_missed_with_the_reason() -> None:
    delivery, mail = planned("rae at winter")
    assert mail is None
    assert "is no mail address" in notices_missed(delivery.order).get().why


def test_what_comes_two_days_late_is_missed_and_may_be_sent_while_it_is_so() -> None:
    only("planned", "builder")
    delivery = orders.planned()
    assert told(at=NOW - STALE_AFTER - timedelta(minutes=1)) == []
    (missed,) = notices_missed()
    assert "within two days" in missed.why
    assert send(missed).kind == "delivery_planned"
    assert delivery.number in told()[0].subject


def test_a_history_entered_afterwards_is_told_to_nobody_and_waits_for_nobody() -> None:
    only("planned", "builder")
    orders.planned()
    for entry in OutboxEntry.objects.filter(kind="notice", done_at=None):
        entry.payload["at"] = (NOW - timedelta(days=300)).isoformat()
        entry.save(update_fields=["payload"])
        assert outbox_run(entry.pk) is True
    assert not MailMessage.objects.filter(kind="delivery_planned").exists()
    assert not notices_missed().exists()


@pytest.mark.parametrize("way", ["moved", "dropped"])
def test_what_is_no_longer_so_is_not_sent_by_hand(way: str) -> None:
    delivery, _ = planned("")
    set_address(builder_of(delivery), "rae@winter.example")
    if way == "moved":
        deliveries.moved(delivery)
    else:
        services.delivery_drop(actor=deliveries.dispatcher(), at=orders.AT, delivery=delivery, why="sold")
    (missed,) = notices_missed().filter(move="planned")
    with pytest.raises(Clash, match="no longer so"):
        send(missed)


def test_a_dropped_delivery_is_told_to_the_builder_with_the_reason_and_no_link() -> None:
    only("dropped", "builder")
    delivery = orders.planned()
    services.delivery_drop(
        actor=deliveries.dispatcher(), at=orders.AT, delivery=delivery, why="The permit was refused."
    )
    (mail,) = told()
    assert (mail.kind, mail.link) == ("delivery_dropped", None)
    assert delivery.number in mail.subject
    assert "The permit was refused." in mail.text
    send_due()
    mail.refresh_from_db()
    assert mail.state == MailState.SENT


# --- who, how often, and at once ---


@pytest.mark.parametrize("role", Role.values)
def test_who_may_send_again(role: str) -> None:
    delivery, mail = planned()
    assert mail
    MailMessage.objects.filter(pk=mail.pk).update(state="failed")
    set_address(builder_of(delivery), "")
    deliveries.moved(delivery)
    choose("moved", "builder", True)
    if role in (Role.SELLER, Role.MANAGER, Role.DISPATCHER, Role.ADMINISTRATOR):
        with pytest.raises(Clash):
            again(mail, role)
    else:
        with pytest.raises(NotAllowed):
            again(mail, role)


@pytest.mark.parametrize("role", Role.values)
def test_who_may_send_what_was_missed(role: str) -> None:
    delivery, _ = planned("")
    (missed,) = notices_missed(delivery.order)
    with pytest.raises(Clash if role not in (Role.PLANNER, Role.SHOP) else NotAllowed):
        send(missed, role)


def test_missed_notices_by_the_operations() -> None:
    delivery, _ = planned("")
    who = people.client_of(people.user(Role.DISPATCHER))
    (row,) = who.get("/api/v1/notices/missed/").json()["missed"]
    assert (row["order"], row["move"], row["to"]) == (delivery.order.public_id, "planned", "builder")
    assert who.post(f"/api/v1/notices/missed/{row['id']}/send/").status_code == 409
    set_address(builder_of(delivery), "rae@winter.example")
    assert who.post(f"/api/v1/notices/missed/{row['id']}/send/").json()["to_address"] == "rae@winter.example"
    assert who.get("/api/v1/notices/missed/").json()["count"] == 0
    (mail,) = told()
    MailMessage.objects.filter(pk=mail.pk).update(state="failed")
    assert who.post(f"/api/v1/notices/sent/{mail.public_id}/retry/").json()["state"] == "queued"
    assert who.post("/api/v1/notices/missed/nothing/send/").status_code == 404


def test_a_notice_that_the_worker_gave_up_is_said() -> None:
    orders.planned()
    OutboxEntry.objects.filter(kind="notice", key__startswith="planned.").update(parked_at=NOW)
    page = people.client_of(people.user(Role.DISPATCHER)).get(reverse("orders:notice_sent")).content.decode()
    assert "One notice could not be made." in page


def test_the_page_asks_as_often_for_200_missed_ones_as_for_10() -> None:
    order, counts = orders.bundled(), []
    who = people.client_of(people.user(Role.DISPATCHER))
    for many in (10, 190):
        NoticeMissed.objects.bulk_create(
            NoticeMissed(
                key=f"planned.delivery.{many}.{n}.builder.0", order=order, move="planned", to="builder", name="Rae",
                asked={"values": {}}, why="No address.", at=NOW,
            )
            for n in range(many)
        )  # fmt: skip
        with CaptureQueriesContext(connection) as seen:
            who.get(reverse("orders:notice_sent"))
        counts.append(len(seen))
    assert counts[0] == counts[1]


@pytest.mark.django_db(transaction=True)
def test_a_missed_notice_sent_by_two_people_at_once_goes_out_once() -> None:
    delivery, _ = planned("")
    set_address(builder_of(delivery), "rae@winter.example")
    missed, who = notices_missed().get(), people.actor(Role.DISPATCHER)
    answers = at_once(*[lambda: services.notice_send(actor=who, at=NOW, missed=missed)] * 6)
    assert sum(isinstance(answer, MailMessage) for answer in answers) == 1
    assert MailMessage.objects.filter(kind="delivery_planned").count() == 1


@pytest.mark.django_db(transaction=True)
def test_one_notice_run_by_two_workers_at_once_is_told_once() -> None:
    only("planned", "builder")
    orders.planned()
    OutboxEntry.objects.filter(kind="notice").exclude(key__startswith="planned.").delete()
    (entry,) = OutboxEntry.objects.filter(kind="notice")
    entry.payload["at"] = entry.payload["asked_at"] = NOW.isoformat()
    entry.save(update_fields=["payload"])
    at_once(*[lambda: outbox_run(entry.pk)] * 6)
    assert MailMessage.objects.filter(kind="delivery_planned").count() == 1
