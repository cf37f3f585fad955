"""All notices that failed sent again at once: only what may go, each once, safe to ask twice."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.errors import NotAllowed
from framing.common.mail import SEND
from framing.common.models import AuditEntry, MailMessage, MailState, OutboxEntry, Role
from orders import services
from orders.models import Delivery, Order
from orders.notice_reads import may_repeat
from orders.services.notice_again import SentAgain
from tests.factories import deliveries, orders, people
from tests.factories.at_once import at_once

pytestmark = pytest.mark.django_db
NOW = datetime.now(UTC)


@pytest.fixture
def order() -> Order:
    """An order whose builder has an address that is right."""
    order = orders.bundled()
    set_address(order, "rae@winter.example")
    return order


def set_address(order: Order, address: str) -> None:
    builder = order.revision.quote.project.builder
    type(builder).objects.filter(pk=builder.pk).update(email=address)


def mail(order: Order, **more: Any) -> MailMessage:
    """A notice to the builder that the server refused, unless it is said otherwise."""
    return MailMessage.objects.create(
        **{
            "kind": "order_booked",
            "subject_type": "orders.order",
            "subject_id": order.pk,
            "to_name": "Rae Winter",
            "to_address": "rae@winter.example",
            "subject": f"News {MailMessage.objects.count()}",
            "text": "x",
            "html": "x",
            "message_id": f"<{MailMessage.objects.count()}@winter.example>",
            "state": MailState.FAILED,
            "asked_name": "us",
        }
        | more
    )


def again(role: str = Role.DISPATCHER, of: Order | None = None) -> SentAgain:
    return services.notice_resend_all(actor=people.actor(Role(role)), at=NOW, order=of)


def in_line(one: MailMessage) -> int:
    return OutboxEntry.objects.filter(kind=SEND, payload__mail=one.pk, done_at=None).count()


def test_all_that_failed_go_once_and_a_second_time_none(order: Order) -> None:
    failed = [mail(order) for _ in range(3)]
    sent = mail(order, state=MailState.SENT, sent_at=NOW)
    done = again()
    assert ([one.pk for one in done.sent], done.left) == ([one.pk for one in failed], ())
    assert again() == SentAgain((), ())
    for one in failed:
        one.refresh_from_db()
        assert (one.state, in_line(one)) == (MailState.QUEUED, 1)
        assert AuditEntry.objects.filter(verb="mail_retry", object_id=one.pk).count() == 1
    assert in_line(sent) == 0


def test_only_the_last_two_weeks_only_notices_and_only_one_orders_where_that_is_asked(order: Order) -> None:
    old, quote, mine = mail(order), mail(order, kind="quote_sent"), mail(order)
    MailMessage.objects.filter(pk=old.pk).update(created_at=NOW - timedelta(days=14, minutes=1))
    other = mail(orders.bundled(), to_address="kit@summer.example")
    assert [one.pk for one in again(of=order).sent] == [mine.pk]
    assert [one.pk for one in again().sent] == [other.pk]
    assert MailMessage.objects.filter(pk__in=[old.pk, quote.pk], state=MailState.FAILED).count() == 2


def test_what_the_worker_gave_up_goes_too(order: Order) -> None:
    parked = mail(order, state=MailState.QUEUED)
    OutboxEntry.objects.create(
        kind=SEND, key=f"{parked.pk}.1", payload={"mail": parked.pk}, parked_at=NOW, created_at=NOW
    )
    on_its_way = mail(order, state=MailState.QUEUED)
    assert [one.pk for one in again().sent] == [parked.pk]
    assert again().sent == ()
    assert in_line(on_its_way) == 0


def test_what_cannot_go_stays_and_says_why_and_keeps_nothing_back(order: Order) -> None:
    came_back = mail(order, state=MailState.BOUNCED, sent_at=NOW)
    gone = people.user(Role.PLANNER)
    gone.is_active = False
    gone.save()
    left_us = mail(order, kind="order_news", to_user=gone, to_name="Otto Kern")
    fine = mail(order)
    done = again()
    assert [one.pk for one in done.sent] == [fine.pk]
    assert {one.pk: why for one, why in done.left} == {
        came_back.pk: "The mail to rae@winter.example came back. Correct the address first, then send it again.",
        left_us.pk: "Otto Kern is no longer at work here.",
    }


def test_what_came_back_goes_anew_to_the_address_put_right_and_is_done_with(order: Order) -> None:
    came_back = mail(order, state=MailState.BOUNCED, sent_at=NOW, to_address="rea@winter.example")
    assert may_repeat([came_back]) == {came_back.pk}
    (new,) = again().sent
    assert (new.to_address, new.pk == came_back.pk) == ("rae@winter.example", False)
    assert may_repeat([came_back]) == set(), "no button stays at it"
    assert again() == SentAgain((), ())


def test_another_readers_mail_of_the_same_words_is_not_taken_for_it(order: Order) -> None:
    one, two = people.user(Role.PLANNER), people.user(Role.MANAGER)
    first = mail(order, kind="order_news", subject="News", to_user=one, state=MailState.BOUNCED, sent_at=NOW)
    mail(order, kind="order_news", subject="News", to_user=two, state=MailState.SENT, sent_at=NOW)
    assert may_repeat([first]) == {first.pk}


@pytest.mark.parametrize("way", ["moved", "dropped", "received"])
def test_what_is_no_longer_so_is_left_out_without_a_word(order: Order, way: str) -> None:
    delivery = orders.planned(order)
    old = mail(order, kind="delivery_planned", subject=f"Delivery {delivery.number} is planned")
    MailMessage.objects.filter(pk=old.pk).update(created_at=orders.AT - timedelta(hours=1))
    at = orders.AT
    if way == "moved":
        deliveries.moved(delivery)
    elif way == "dropped":
        services.delivery_drop(actor=deliveries.dispatcher(), at=at, delivery=delivery, why="sold")
    else:
        Delivery.objects.update(loaded_at=at, delivered_at=at, received_by="Rae")
    old.refresh_from_db()
    assert may_repeat([old]) == set()
    assert services.notice_resend_all(actor=deliveries.dispatcher(), at=at) == SentAgain((), ())


def test_of_a_loaded_truck_it_may_still_be_told(order: Order) -> None:
    delivery = orders.planned(order)
    Delivery.objects.update(loaded_at=orders.AT)
    late = mail(order, kind="delivery_loaded", subject=f"Delivery {delivery.number} is loaded")
    assert [one.pk for one in again().sent] == [late.pk]


@pytest.mark.parametrize("role", Role.values)
def test_who_may(order: Order, role: str) -> None:
    mail(order)
    if role in (Role.SELLER, Role.MANAGER, Role.DISPATCHER, Role.ADMINISTRATOR):
        assert len(again(role).sent) == 1
    else:
        with pytest.raises(NotAllowed):
            again(role)


def test_the_page_counts_them_and_says_how_many_went_and_what_stays(order: Order) -> None:
    who = people.client_of(Role.DISPATCHER)
    url, act = reverse("orders:notice_sent"), reverse("orders:notice_retry_all")
    assert "Send all that failed again" not in who.get(url).content.decode()
    mail(order)
    mail(order)
    mail(order, state=MailState.BOUNCED, sent_at=NOW)
    shown = who.get(url).content.decode()
    assert "3 mails of the last two weeks did not arrive." in shown
    assert "Send all that failed again" in shown
    assert "Send all" not in people.client_of(Role.PLANNER).get(url).content.decode()
    done = who.post(act, follow=True).content.decode()
    assert "2 mails are on their way again." in done
    assert "Not sent again: The mail to rae@winter.example came back." in done
    twice = who.post(act, follow=True).content.decode()
    assert "on their way again" not in twice
    assert "Not sent again: The mail to rae@winter.example came back." in twice
    MailMessage.objects.all().delete()
    assert "Nothing was left to send again." in who.post(act, follow=True).content.decode()


def test_from_an_orders_page_only_its_own_go(order: Order) -> None:
    who, other = people.client_of(Role.DISPATCHER), mail(orders.bundled())
    mail(order)
    page = reverse("orders:order_notices", args=[order.public_id])
    assert "One mail of the last two weeks did not arrive." in who.get(page).content.decode()
    done = who.post(reverse("orders:notice_retry_all"), {"order": order.public_id})
    assert done["Location"] == page
    assert "1 mail is on its way again." in who.get(page).content.decode()
    other.refresh_from_db()
    assert other.state == MailState.FAILED
    assert who.post(reverse("orders:notice_retry_all"), {"order": "nothing"}).status_code == 404


def test_by_the_operation(order: Order) -> None:
    who, path = people.client_of(Role.DISPATCHER), "/api/v1/notices/sent/retry/"
    mail(order)
    back = mail(order, state=MailState.BOUNCED, sent_at=NOW)
    found = who.post(path, {"order": order.public_id}, content_type="application/json").json()
    assert (found["sent"], [left["id"] for left in found["left"]]) == (1, [back.public_id])
    assert "came back" in found["left"][0]["why"]
    assert who.post(path, {}, content_type="application/json").json()["sent"] == 0
    assert who.post(path, {"order": "x" * 21}, content_type="application/json").status_code in (400, 422)
    assert people.client_of(Role.PLANNER).post(path).status_code == 403


def test_the_page_asks_as_often_for_many_that_failed_as_for_few(order: Order) -> None:
    orders.planned(order)
    who, counts = people.client_of(Role.DISPATCHER), []
    for many in (5, 60):
        for number in range(many):
            mail(
                order,
                kind="delivery_planned",
                state=(MailState.FAILED, MailState.BOUNCED)[number % 2],
                sent_at=NOW,
            )
        with CaptureQueriesContext(connection) as seen:
            who.get(reverse("orders:notice_sent"))
        counts.append(len(seen))
    assert counts[0] == counts[1]


@pytest.mark.django_db(transaction=True)
def test_two_people_at_once_send_each_once() -> None:
    order = orders.bundled()
    set_address(order, "rae@winter.example")
    failed, who = [mail(order) for _ in range(4)], people.actor(Role.DISPATCHER)
    answers = at_once(*[lambda: services.notice_resend_all(actor=who, at=NOW)] * 4)
    assert sorted(len(answer.sent) for answer in answers) == [0, 0, 0, 4]
    assert all(answer.left == () for answer in answers)
    assert [in_line(one) for one in failed] == [1, 1, 1, 1]
