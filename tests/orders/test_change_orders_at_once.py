"""Change orders, many at once: one application, release and taps beside it, and one yes for one change."""

from __future__ import annotations

import pytest

from framing.common.actors import SYSTEM, person
from framing.common.audit import audit_list
from framing.common.errors import ApplicationError, Clash
from framing.common.models import Role
from orders import services
from orders.models import ChangeOrder, ShopAction
from quotes import services as quotes_services
from quotes.models import Acceptance
from tests.factories import changes, orders, people, quotes
from tests.factories.at_once import at_once
from tests.orders.test_change_orders import check_whole
from tests.orders.test_release_at_once import THREADS

pytestmark = pytest.mark.django_db(transaction=True)
AT = orders.AT


def test_twenty_applications_put_a_change_in_once() -> None:
    order = orders.released()
    change = changes.asked(order)
    changes.accepted(change)
    answers = at_once(*[lambda: services.change_apply(actor=SYSTEM, at=AT, change=change)] * THREADS)
    assert answers == [change] * THREADS
    assert audit_list(order).filter(verb="change_apply").count() == 1
    check_whole(orders.fresh(order))


def test_twenty_ask_and_one_change_is_open() -> None:
    order = orders.booked()
    changes.redraw(order)
    seller = person(order.owner)
    answers = at_once(
        *[lambda: services.change_ask(actor=seller, at=AT, order=order, why="The hall is smaller")] * THREADS
    )
    assert sum(isinstance(answer, ChangeOrder) for answer in answers) == 1
    assert sum(isinstance(answer, Clash) for answer in answers) == THREADS - 1
    assert order.revision.quote.revisions.count() == 2


def test_a_release_and_a_change_never_both_win_unseen() -> None:
    order = orders.approved()
    changes.redraw(order)
    seller, planner = person(order.owner), people.actor(Role.PLANNER)
    works = [
        lambda: services.change_ask(actor=seller, at=AT, order=order, why="The hall is smaller"),
        lambda: services.order_release(actor=planner, at=AT, order=order),
    ]
    asked, _ = at_once(*works * (THREADS // 2))[:2]
    change = ChangeOrder.objects.get()
    was_released = orders.fresh(order).stage == "released"
    assert was_released == orders.fresh(order).pieces.exists()
    changes.applied(change)
    now = orders.fresh(order)
    if was_released:
        check_whole(now)
    else:
        assert now.drawings_approved_at is None
    assert asked is not None


def test_taps_beside_a_change_count_or_are_told_that_the_bundle_is_gone() -> None:
    order = orders.released()
    change = changes.asked(order, depth="12'", width="20'")
    changes.accepted(change)
    bundles = list(order.bundles.order_by("number"))
    shop = people.actor(Role.SHOP)
    taps = [lambda b=b: services.bundle_start(actor=shop, at=AT, bundle=b) for b in bundles]
    works = [
        *(taps * THREADS)[: THREADS - 1],
        lambda: services.change_apply(actor=SYSTEM, at=AT, change=change),
    ]
    answers = at_once(*works)
    assert isinstance(answers[-1], ChangeOrder)
    told = [answer for answer in answers[:-1] if not isinstance(answer, ShopAction)]
    assert all(isinstance(answer, ApplicationError) for answer in told)
    now = orders.fresh(order)
    check_whole(now)
    counted = set(ShopAction.objects.filter(changed=True).values_list("bundle_id", flat=True))
    assert counted == set(now.bundles.filter(started_at__isnull=False).values_list("pk", flat=True))


def test_twenty_yes_and_a_taking_back_leave_one_of_both() -> None:
    order = orders.released()
    change = changes.asked(order)
    revision = changes.issued(change)
    builder, seller = quotes.builder(revision), person(order.owner)
    works = [
        lambda n=n: quotes_services.quote_accept(
            actor=builder, revision=revision, name="Rae", key=f"yes-{n}", at=AT
        )
        for n in range(THREADS - 1)
    ]
    at_once(*[*works, lambda: services.change_withdraw(actor=seller, at=AT, change=change, why="No")])
    yes = Acceptance.objects.filter(revision=revision).count()
    ended = ChangeOrder.objects.get().withdrawn_at is not None
    assert yes == (0 if ended else 1)
