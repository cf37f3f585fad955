"""Notices: what a move sends to whom, once; the company's choices; what was sent, and sent again."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.errors import NotAllowed, Refused
from framing.common.links import link_list
from framing.common.mail import seed_secret
from framing.common.models import AccessLink, MailMessage, OutboxEntry, Role
from framing.common.outbox import outbox_run
from orders import services
from orders.models import Delivery
from orders.notice_reads import notice_on
from orders.notices import MOVES
from orders.services.notices import STALE_AFTER
from quotes.mail_kinds import KINDS, NOTICE_KINDS
from tests.factories import deliveries, orders, people
from tests.factories.notices import choose, only

pytestmark = pytest.mark.django_db
NOW = datetime.now(UTC)


def run() -> list[MailMessage]:
    """Run what notices were asked for, as if their moves were of now; returns their mails, oldest first."""
    for entry in OutboxEntry.objects.filter(kind="notice", done_at=None).order_by("id"):
        entry.payload["at"] = entry.payload["asked_at"] = NOW.isoformat()
        entry.save(update_fields=["payload"])
        assert outbox_run(entry.pk) is True
    return list(MailMessage.objects.filter(kind__in=NOTICE_KINDS).order_by("id"))


def test_a_planned_delivery_is_told_to_the_builder_once_with_a_link_of_his_own() -> None:
    only("planned", "builder")
    delivery = orders.planned()
    (mail,) = run()
    builder = delivery.order.revision.quote.project.builder
    assert (mail.kind, mail.to_address) == ("delivery_planned", builder.email)
    assert delivery.number in mail.subject
    assert delivery.order.revision.quote.project.site.line in mail.text
    link = link_list(delivery).get()
    assert (mail.link_id, link.for_name) == (link.pk, builder.contact_name)
    assert seed_secret(mail.link_seed) not in mail.text
    entry = OutboxEntry.objects.get(kind="notice", key__startswith="planned.")
    assert outbox_run(entry.pk) is False, "it is done once"
    assert run() == [mail]


def test_a_move_tells_the_new_day_and_why_and_each_move_by_itself() -> None:
    only("moved", "builder")
    delivery = orders.planned()
    deliveries.moved(delivery)
    deliveries.moved(delivery, planned_for=orders.PLANNED_FOR + timedelta(days=30), why="Rain again.")
    first, second = run()
    assert "The crane is late." in first.text
    assert "7:30 to 9:00" in first.text
    assert "Rain again." in second.text


def test_staff_are_told_by_role_with_the_page_and_the_seller_is_the_orders_own() -> None:
    only("delivered", "seller")
    delivery = orders.delivered()
    (mail,) = run()
    assert (mail.kind, mail.to_user) == ("order_news", delivery.order.owner)
    assert reverse("orders:delivery_page", args=[delivery.public_id]) in mail.text


def test_all_dispatchers_at_work_are_told_of_a_claim() -> None:
    delivery = orders.delivered()
    run()
    MailMessage.objects.all().delete()
    only("claim", "dispatcher")
    one, gone = people.user(Role.DISPATCHER), people.user(Role.DISPATCHER)
    gone.is_active = False
    gone.save()
    bundle = delivery.bundles.all()[0]
    manager = people.actor(Role.MANAGER)
    claim = services.claim_open(
        actor=manager, at=orders.AT, order=delivery.order, kind="short", words="Two short.", bundle=bundle
    )
    mails = run()
    assert one in [mail.to_user for mail in mails]
    assert gone not in [mail.to_user for mail in mails]
    assert all(claim.number in mail.subject for mail in mails)
    only("decided", "builder")
    services.claim_reject(actor=manager, at=orders.AT, claim=claim, why="All were ticked.")
    mail = run()[-1]
    assert (mail.kind, "rejected" in mail.subject, "All were ticked." in mail.text) == (
        "claim_decided", True, True,
    )  # fmt: skip


def test_nobody_is_told_where_the_company_wants_none() -> None:
    only("nothing", "nobody")
    orders.planned()
    assert run() == []


def test_a_refused_move_leaves_no_notice() -> None:
    delivery = orders.planned()
    before = OutboxEntry.objects.filter(kind="notice").count()
    with pytest.raises(Refused):
        deliveries.moved(delivery, why=" ")
    assert OutboxEntry.objects.filter(kind="notice").count() == before


def test_a_notice_two_days_late_sends_nothing_by_itself() -> None:
    only("planned", "builder")
    orders.planned()
    entry = OutboxEntry.objects.get(kind="notice", key__startswith="planned.")
    past = (datetime.now(UTC) - STALE_AFTER - timedelta(minutes=1)).isoformat()
    entry.payload["at"] = entry.payload["asked_at"] = past
    entry.save(update_fields=["payload"])
    assert outbox_run(entry.pk) is True
    assert not MailMessage.objects.filter(kind="delivery_planned").exists()


def test_a_builder_without_an_address_is_not_mailed_and_others_are() -> None:
    only("planned", "builder")
    choose("planned", "seller", True)
    delivery = orders.planned()
    builder = delivery.order.revision.quote.project.builder
    type(builder).objects.filter(pk=builder.pk).update(email="")
    assert [mail.kind for mail in run()] == ["order_news"]
    assert AccessLink.objects.filter(subject_type=Delivery._meta.label_lower).count() == 0


def test_every_move_has_words_and_starts_as_listed() -> None:
    assert {kind for move in MOVES.values() for to in move.audiences if (kind := move.mail_kind(to))} <= set(
        KINDS
    )
    assert notice_on() == {
        (move.key, to.value): to in move.begins for move in MOVES.values() for to in move.audiences
    }


def test_a_choice_is_kept_once_and_what_is_not_listed_is_refused() -> None:
    for _ in range(2):
        choose("booked", "planner", False)
    assert notice_on()["booked", "planner"] is False
    for move, to in (("drawings", "builder"), ("lunch", "seller"), ("booked", "cook")):
        with pytest.raises(Refused, match="no such notice"):
            choose(move, to, True)


@pytest.mark.parametrize("role", Role.values)
def test_who_may_choose(role: str) -> None:
    act: Any = lambda: services.notice_choose(  # noqa: E731
        actor=people.actor(Role(role)), at=NOW, move="booked", to="planner", on=False
    )
    if role in ("manager", "administrator"):
        act()
    else:
        with pytest.raises(NotAllowed):
            act()


def test_the_pages_show_choices_and_mails_and_send_again() -> None:
    only("planned", "builder")
    delivery = orders.planned()
    (mail,) = run()
    MailMessage.objects.filter(pk=mail.pk).update(state="failed", answer="550 no such box")
    manager = people.client_of(people.user(Role.MANAGER))
    page = manager.get(reverse("orders:notice_page")).content.decode()
    assert "Delivery planned" in page
    for url in (
        reverse("orders:notice_sent"),
        reverse("orders:order_notices", args=[delivery.order.public_id]),
        reverse("orders:notice_sent") + f"?search={mail.to_address[:6]}&state=failed",
    ):
        shown = manager.get(url).content.decode()
        assert mail.to_address in shown
        assert "Send again" in shown
    assert mail.to_address not in manager.get(reverse("orders:notice_sent") + "?state=sent").content.decode()
    assert manager.post(reverse("orders:notice_retry", args=[mail.public_id])).status_code == 302
    mail.refresh_from_db()
    assert mail.state == "queued"
    seller = people.client_of(people.user(Role.PLANNER))
    assert "Send again" not in seller.get(reverse("orders:notice_sent")).content.decode()
    done = manager.post(reverse("orders:notice_choose"), {"move": "planned", "to": "builder", "on": "0"})
    assert done.status_code == 302
    assert notice_on()["planned", "builder"] is False


def test_the_page_of_mails_asks_as_often_for_200_as_for_10() -> None:
    counts = []
    manager = people.client_of(people.user(Role.MANAGER))
    for many in (10, 190):
        MailMessage.objects.bulk_create(
            MailMessage(
                kind="order_news", to_address="a@b.example", subject="x", text="x", html="x",
                message_id=f"<{many}.{n}@x>", asked_name="x",
            )
            for n in range(many)
        )  # fmt: skip
        with CaptureQueriesContext(connection) as seen:
            manager.get(reverse("orders:notice_sent"))
        counts.append(len(seen))
    assert counts[0] == counts[1]
