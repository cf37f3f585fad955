"""Between booking and release, many at once: one deposit of one key, one answer of two, money and release in order."""

from __future__ import annotations

from decimal import Decimal

import pytest

from framing.common.actors import by_link, person
from framing.common.audit import audit_list
from framing.common.errors import Clash, Refused
from framing.common.models import AccessLink, LinkPurpose, Role
from framing.projects.models import PracticeSet
from orders import services
from orders.models import Deposit, DrawingSet, Order
from orders.release_reads import deposit_needed, deposit_received
from tests.factories import orders, people, quotes
from tests.factories.at_once import at_once

pytestmark = pytest.mark.django_db(transaction=True)
AT = orders.AT
THREADS = 20


def test_twenty_posts_of_one_key_write_one_deposit() -> None:
    order = orders.booked()
    seller = person(order.owner)

    def record() -> int:
        row = services.deposit_record(
            actor=seller, at=AT, order=order, amount=Decimal(70), received_on=AT.date(), key="one"
        )
        return row.pk

    answers = at_once(*[record] * THREADS)
    assert answers == [Deposit.objects.get().pk] * THREADS
    assert audit_list(order).filter(verb="deposit_record").count() == 1


def test_ten_yes_and_ten_no_leave_one_answer_and_the_order_says_the_same() -> None:
    order = orders.booked()
    people_ = (("Rae Winter", "rae@winter.example"), ("Sam Low", "sam@winter.example"))
    sent = services.drawings_send(actor=person(order.owner), at=AT, order=order, people=people_, key="k")
    links = {link.for_name: link for link in AccessLink.objects.filter(purpose=LinkPurpose.ORDER)}

    def say(name: str, approved: bool) -> DrawingSet:
        return services.drawings_answer(
            actor=by_link(links[name]), at=AT, drawing_set=sent, approved=approved, name=name, words="stair"
        )

    half = THREADS // 2
    answers = at_once(*[lambda: say("Rae Winter", True)] * half + [lambda: say("Sam Low", False)] * half)
    sent.refresh_from_db()
    said = [answer for answer in answers if isinstance(answer, DrawingSet)]
    assert len(said) == half
    assert {answer.approved for answer in said} == {sent.approved}
    assert sum(isinstance(answer, Clash) for answer in answers) == half
    assert (orders.fresh(order).drawings_approved_at is not None) == sent.approved
    told = audit_list(order).filter(verb__in=("drawings_approve", "drawings_refuse"))
    assert told.count() == 1


def test_a_release_never_stands_on_money_that_was_taken_back_first() -> None:
    order = orders.approved()
    PracticeSet.objects.filter(pk=order.revision.practice_set_id).update(values={"deposit_percent": 50})
    order = orders.fresh(order)
    seller, planner = person(order.owner), people.actor(Role.PLANNER)
    needed = deposit_needed(order)
    deposit = services.deposit_record(
        actor=seller, at=AT, order=order, amount=needed, received_on=AT.date(), key=quotes.key()
    )

    def release() -> Order:
        return services.order_release(actor=planner, at=AT, order=order)

    def take_back() -> Deposit:
        return services.deposit_take_back(actor=seller, at=AT, deposit=deposit, why="bounced")

    half = THREADS // 2
    answers = at_once(*[release] * half + [take_back] * half)
    verbs = [
        v
        for v in audit_list(order).values_list("verb", flat=True)
        if v in ("order_release", "deposit_take_back")
    ]
    assert verbs.count("deposit_take_back") == 1
    if verbs[0] == "deposit_take_back":
        assert verbs == ["deposit_take_back"]
        assert sum(isinstance(answer, Refused) for answer in answers) == half
    else:
        assert verbs == ["order_release", "deposit_take_back"]
        assert sum(isinstance(answer, Clash) for answer in answers) == half - 1
    assert deposit_received(order) == 0
