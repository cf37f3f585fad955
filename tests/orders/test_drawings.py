"""Drawings for approval: sent with a link for each, answered once, by link or as staff heard it (R44)."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.core import mail as outbox
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse

from framing.common.actors import Actor, by_link, person
from framing.common.clock import database_now
from framing.common.errors import Clash, NotAllowed, NotThere, Refused
from framing.common.links import link_withdraw
from framing.common.mail import SEND
from framing.common.models import AccessLink, LinkPurpose, OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.common.papers import paper_get
from orders import services
from orders.models import DrawingSet, Order
from orders.release_reads import drawings_state, release_lines
from orders.waiting import waiting_for
from tests.factories import orders, people, quotes

pytestmark = pytest.mark.django_db
AT = orders.AT
RAE, SAM = ("Rae Winter", "rae@winter.example"), ("Sam Low", "sam@winter.example")


def send(order: Order, *to: tuple[str, str], actor: Actor | None = None, **more: Any) -> DrawingSet:
    fields: dict[str, Any] = {"key": quotes.key(), "at": AT} | more
    return services.drawings_send(
        actor=actor or person(order.owner), order=order, people=to or (RAE,), **fields
    )


def link_to(order: Order, name: str = "Rae Winter") -> AccessLink:
    return AccessLink.objects.get(
        purpose=LinkPurpose.ORDER, subject_id=order.pk, for_name=name, withdrawn_at=None
    )


def answer(order: Order, drawing_set: DrawingSet, *, approved: bool, **more: Any) -> DrawingSet:
    actor = more.pop("actor", None) or by_link(link_to(order))
    fields: dict[str, Any] = {"name": "Rae Winter", "at": AT} | more
    return services.drawings_answer(actor=actor, drawing_set=drawing_set, approved=approved, **fields)


def test_each_person_gets_a_mail_with_a_link_of_his_own(monkeypatch: pytest.MonkeyPatch) -> None:
    from framing.common import mail_sending

    monkeypatch.setattr(mail_sending, "database_now", lambda: AT)
    order = orders.booked()
    drawing_set = send(order, RAE, SAM, word="The stair is as talked over.")
    for entry in OutboxEntry.objects.filter(kind=SEND, done_at=None):
        outbox_run(entry.pk)
    bodies = [str(one.body) for one in outbox.outbox]
    assert len(bodies) == 2
    secrets = {secret for body in bodies for secret in re.findall(r"/l/([\w-]{43})/", body)}
    assert len(secrets) == 2
    for body in bodies:
        assert order.number in body
        assert "The stair is as talked over." in body
        assert "{" not in body
        assert "$" not in body, "no price goes out with drawings"
    first: Any = outbox.outbox[0]
    assert "Open the drawings" in first.alternatives[0][0]
    assert (drawing_set.number, drawing_set.revision_id) == (1, order.revision_id)


def test_a_yes_by_link_approves_the_order_once() -> None:
    order = orders.booked()
    drawing_set = send(order)
    assert drawings_state(order)[0] == "asked"
    first = answer(order, drawing_set, approved=True)
    again = answer(order, drawing_set, approved=True, at=AT + timedelta(hours=1))
    assert first.answered_at == again.answered_at == AT
    fresh = orders.fresh(order)
    assert (fresh.drawings_approved_by, fresh.drawings_approved_at) == ("Rae Winter", AT)
    with pytest.raises(Clash, match="answered already"):
        answer(order, drawing_set, approved=False, words="no")
    with pytest.raises(Clash, match="approved by Rae Winter"):
        send(order)


def test_a_no_keeps_the_order_at_booked_and_stands_on_today() -> None:
    owner = people.user(Role.SELLER)
    order = orders.booked(owner)
    answer(order, send(order), approved=False, words="The stair moved 2 ft to the east.")
    assert orders.fresh(order).drawings_approved_at is None
    with pytest.raises(Refused, match="stair moved 2 ft"):
        services.order_release(actor=people.actor(Role.PLANNER), at=AT, order=order)
    for user in (owner, people.user(Role.PLANNER)):
        section = next(s for s in waiting_for(user, AT) if s.title == "Drawings must change")
        assert section.count == 1
        assert "The stair moved 2 ft" in section.rows[0].words
    other = people.user(Role.SELLER)
    assert not any(s.title == "Drawings must change" for s in waiting_for(other, AT))
    second = send(order)
    assert second.number == 2
    assert not any(s.title == "Drawings must change" for s in waiting_for(owner, AT))
    answer(order, second, approved=True)
    assert services.order_release(actor=people.actor(Role.PLANNER), at=AT, order=order).stage == "released"


def test_sending_again_sends_the_same_set_while_it_waits_and_one_key_once() -> None:
    order = orders.booked()
    first = send(order, key="k")
    assert send(order, key="k").pk == first.pk
    assert AccessLink.objects.filter(purpose=LinkPurpose.ORDER).count() == 1
    assert send(order, SAM).pk == first.pk
    assert DrawingSet.objects.count() == 1


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"approved": False, "words": "  "}, "words"),
        ({"approved": True, "name": " "}, "name"),
        ({"approved": True, "name": "x" * 161}, "name"),
        ({"approved": False, "words": "x" * 4001}, "words"),
    ],
)
def test_an_answer_without_a_name_or_a_no_without_words_is_refused(values: Any, field: str) -> None:
    order = orders.booked()
    drawing_set = send(order)
    with pytest.raises(Refused) as refusal:
        answer(order, drawing_set, **values)
    assert refusal.value.field == field
    drawing_set.refresh_from_db()
    assert drawing_set.answered_at is None


def test_a_link_answers_for_its_own_order_while_it_lives() -> None:
    mine, other = orders.booked(), orders.booked()
    asked, elsewhere = send(mine), send(other)
    link = link_to(mine)
    with pytest.raises(NotThere):
        answer(other, elsewhere, approved=True, actor=by_link(link))
    with pytest.raises(NotThere):
        answer(mine, asked, approved=True, at=AT + timedelta(days=400))
    with pytest.raises(NotThere):
        answer(mine, asked, approved=True, actor=by_link(quotes.link(mine.revision)[0]))
    link_withdraw(actor=person(mine.owner), link=link, at=AT)
    with pytest.raises(NotThere):
        answer(mine, asked, approved=True, actor=by_link(link))
    with pytest.raises(NotAllowed):
        answer(mine, asked, approved=True, actor=people.actor(Role.MANAGER))


def test_staff_record_what_they_heard_with_how() -> None:
    order = orders.booked()
    seller = person(order.owner)
    fields: dict[str, Any] = {"actor": seller, "at": AT, "order": order, "name": "Rae Winter"}
    with pytest.raises(Refused) as refusal:
        services.drawings_record(**fields, approved=True, heard=" ")
    assert refusal.value.field == "heard"
    no = services.drawings_record(**fields, approved=False, heard="call of Tuesday", words="Wider stair")
    assert (no.number, no.recorded_by, no.sent_by) == (1, order.owner, None)
    with pytest.raises(Clash, match="Record what he says"):
        services.drawings_approve(actor=seller, at=AT, order=order)
    yes = services.drawings_record(**fields, approved=True, heard="signed print came by post")
    assert yes.number == 2
    assert orders.fresh(order).drawings_approved_by == "Rae Winter"


def test_staff_record_the_answer_on_the_set_that_waits() -> None:
    order = orders.booked()
    drawing_set = send(order)
    row = services.drawings_record(
        actor=people.actor(Role.PLANNER), at=AT, order=order, approved=True, name="Rae Winter", heard="call"
    )
    assert row.pk == drawing_set.pk
    with pytest.raises(Clash):
        answer(order, drawing_set, approved=False, words="too late")


@pytest.mark.parametrize("role", Role.values)
def test_who_sends_and_who_records(role: str) -> None:
    order = orders.booked()
    actor = people.actor(role)
    fields: dict[str, Any] = {
        "at": AT,
        "order": order,
        "approved": True,
        "name": "Rae Winter",
        "heard": "call",
    }
    if role in (Role.MANAGER, Role.PLANNER):
        assert send(order, actor=actor).sent_by == actor.user
        assert services.drawings_record(actor=actor, **fields).approved
        return
    with pytest.raises(NotAllowed):
        send(order, actor=actor)
    with pytest.raises(NotAllowed):
        services.drawings_record(actor=actor, **fields)
    with pytest.raises(NotAllowed):
        services.drawings_approve(actor=actor, at=AT, order=order)


def test_an_answer_never_changes_in_the_database() -> None:
    order = orders.booked()
    drawing_set = answer(order, send(order), approved=True)
    with pytest.raises(DatabaseError), transaction.atomic():
        DrawingSet.objects.filter(pk=drawing_set.pk).update(approved=False, words="else")


def test_cancelling_ends_the_builders_link() -> None:
    order = orders.booked()
    send(order)
    services.order_cancel(actor=people.actor(Role.MANAGER), at=AT, order=order, why="site sold")
    assert not AccessLink.objects.filter(purpose=LinkPurpose.ORDER, withdrawn_at=None).exists()


# --- pages ---


def opened(order: Order) -> tuple[Client, str]:
    """A builder's browser that traded its link, and the clean address."""
    from framing.common.links import link_make

    link, secret = link_make(
        actor=person(order.owner), purpose=LinkPurpose.ORDER, subject=order, for_name="Rae Winter",
        expires_at=database_now() + timedelta(days=9), at=database_now(),
    )  # fmt: skip
    browser = Client()
    answer = browser.get(reverse("common:link_door", args=[secret]))
    assert answer["Location"] == reverse("orders:your_order", args=[link.public_id])
    return browser, answer["Location"]


def test_the_builder_reads_his_order_and_answers_on_one_page() -> None:
    order = orders.booked()
    drawing_set = send(order, at=database_now())
    browser, page = opened(order)
    shown = browser.get(page).content.decode()
    assert order.number in shown
    assert "<svg" in shown
    assert f"{order.revision.total:,}" not in shown
    url = f"{page}drawings/{drawing_set.number}/answer/"
    bare = browser.post(url, {"answer-approved": "no", "answer-name": "Rae Winter"})
    assert bare.status_code == 422
    assert "Say what must change" in bare.content.decode()
    typed = {"answer-approved": "no", "answer-name": "Rae Winter", "answer-words": "Joist 1J04 is too low."}
    assert browser.post(url, typed).status_code == 302
    shown = browser.get(page).content.decode()
    assert "Joist 1J04 is too low." in shown
    assert "Send your answer" not in shown
    otherwise = browser.post(url, {**typed, "answer-approved": "yes"})
    assert otherwise.status_code == 409
    assert Client().get(page).status_code == 404
    assert Client().post(url, typed).status_code == 404


def test_the_drawings_are_made_once_and_read_by_link_and_by_staff(tmp_path: Any, settings: Any) -> None:
    settings.PAPERS_DIR = tmp_path
    order = orders.booked()
    drawing_set = send(order, at=database_now())
    browser, page = opened(order)
    there = f"{page}drawings/1/"
    assert browser.get(there).status_code == 404
    entry = OutboxEntry.objects.get(kind="order_drawings", key=str(drawing_set.pk))
    assert outbox_run(entry.pk) is True
    paper = paper_get("order_drawings", drawing_set)
    assert paper is not None
    assert paper.pages >= 3, "plan, elevations and details"
    assert browser.get(there).content.startswith(b"%PDF")
    url = reverse("orders:order_drawings", args=[order.public_id, 1])
    assert people.client_of(Role.SHOP).get(url).content == browser.get(there).content
    assert people.client_of(Role.SHOP).get(url[:-2] + "2/").status_code == 404
    assert (
        url
        in people.client_of(Role.PLANNER)
        .get(reverse("orders:order_page", args=[order.public_id]))
        .content.decode()
    )


def test_staff_send_and_record_by_the_pages() -> None:
    order = orders.booked()
    client = people.client_of(order.owner)
    url = reverse("orders:drawings_send", args=[order.public_id])
    first = client.get(url).content.decode()
    assert "Rae Winter" in first, "the builder's contact is offered"
    typed = {"senddrawings-idempotency_key": "k", "senddrawings-name-2": "Rae Winter"}
    typed |= {"senddrawings-name-1": "Sam Low", "senddrawings-email-1": "sam@winter.example"}
    wrong = client.post(url, {**typed, "senddrawings-email-2": "nowhere"})
    assert wrong.status_code == 422
    assert "no mail address" in wrong.content.decode()
    assert client.post(url, {**typed, "senddrawings-email-2": "rae@winter.example"}).status_code == 302
    assert AccessLink.objects.filter(purpose=LinkPurpose.ORDER).count() == 2
    record = reverse("orders:drawings_record", args=[order.public_id])
    heard = {"record-approved": "yes", "record-name": "Rae Winter", "record-words": "", "record-heard": ""}
    assert client.post(record, heard).status_code == 422
    assert client.post(record, {**heard, "record-heard": "on the phone"}).status_code == 302
    page = client.get(reverse("orders:order_page", args=[order.public_id])).content.decode()
    assert "on the phone" in page
    after = client.post(url, {**typed, "senddrawings-idempotency_key": "l", "senddrawings-name-2": ""})
    assert after.status_code == 422
    assert "were approved by Rae Winter" in after.content.decode()


def test_a_release_that_is_refused_shows_the_list_on_the_page() -> None:
    order = orders.booked()
    planner = people.client_of(Role.PLANNER)
    answer = planner.post(reverse("orders:order_release", args=[order.public_id]))
    assert answer.status_code == 422
    told = answer.content.decode()
    assert "can&#x27;t be released yet" in told
    assert [line.key for line in release_lines(order) if not line.ok] == ["drawings"]


# --- day, resume, cancel ---


def test_the_day_on_site_is_set_by_its_seller_and_not_in_the_past() -> None:
    order = orders.booked()
    client = people.client_of(order.owner)
    url = reverse("orders:order_deliver_on", args=[order.public_id])
    assert client.post(url, {"day-deliver_on": "2020-01-02"}).status_code == 422
    assert client.post(url, {"day-deliver_on": "2099-01-02"}).status_code == 302
    assert str(orders.fresh(order).deliver_on) == "2099-01-02"
    assert people.client_of(Role.PLANNER).post(url, {"day-deliver_on": "2099-01-03"}).status_code == 403
    assert people.client_of(Role.SELLER).post(url, {"day-deliver_on": "2099-01-03"}).status_code == 403


def test_an_order_without_a_day_is_not_released() -> None:
    order = orders.approved()
    Order.objects.filter(pk=order.pk).update(deliver_on=None)
    with pytest.raises(Refused, match="No day on site"):
        services.order_release(actor=people.actor(Role.PLANNER), at=AT, order=order)


def test_an_order_goes_on_with_a_reason_only() -> None:
    order = orders.booked()
    planner = people.actor(Role.PLANNER)
    services.order_hold(actor=planner, at=AT, order=order, why="coil is late")
    with pytest.raises(Refused) as refusal:
        services.order_resume(actor=planner, at=AT, order=order, why=" ")
    assert refusal.value.field == "why"
    assert orders.fresh(order).stage == "held"
    client = people.client_of(Role.PLANNER)
    url = reverse("orders:order_resume", args=[order.public_id])
    assert client.post(url, {}).status_code == 422
    assert client.post(url, {"resume-why": "coil is here"}).status_code == 302
    last = order.moves.order_by("-id")[0]
    assert (last.to_stage, last.why) == ("booked", "coil is here")


def test_a_cancelled_order_says_what_was_made() -> None:
    order = orders.rolling()
    bundle = order.bundles.all()[0]
    services.bundle_finish(actor=people.actor(Role.SHOP), at=AT, bundle=bundle)
    services.order_cancel(actor=people.actor(Role.MANAGER), at=AT, order=order, why="site sold")
    from framing.common.audit import audit_list

    entry = audit_list(order).last()
    assert entry is not None
    made = {"started": 1, "finished": 1, "finished_lb": str(bundle.weight_lb)}
    assert entry.change == {"stage": ["rolling", "cancelled"], "made": made}
    page = people.client_of(Role.MANAGER).get(reverse("orders:order_page", args=[order.public_id]))
    words = f"1 bundle was begun, 1 of them finished with {bundle.weight_lb:,} lb of steel."
    assert words in page.content.decode()
