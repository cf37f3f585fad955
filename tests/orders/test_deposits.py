"""Deposits before release: what is needed, written down once, struck with a reason; who may (R44)."""

from __future__ import annotations

from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.actors import SYSTEM, Actor, person
from framing.common.audit import audit_list
from framing.common.errors import Clash, KeyMissing, NotAllowed, Refused
from framing.common.models import Role
from framing.projects.models import PracticeSet
from orders import services
from orders.models import Deposit, Order
from orders.release_reads import accepted_total, deposit_needed, deposit_received
from quotes import services as quote_services
from tests.factories import orders, people, quotes
from tests.factories.alternates import issued_with_one

pytestmark = pytest.mark.django_db
AT = orders.AT
CENT = Decimal("0.01")


def asking(percent: int, order: Order | None = None) -> Order:
    """An order whose practice set asks for a deposit."""
    order = order or orders.booked()
    # straight in the table: a set that was in force never changes by the services
    PracticeSet.objects.filter(pk=order.revision.practice_set_id).update(values={"deposit_percent": percent})
    return orders.fresh(order)


def seller_of(order: Order) -> Actor:
    return person(order.owner)


def record(order: Order, amount: str, actor: Actor | None = None, **more: Any) -> Deposit:
    fields: dict[str, Any] = {"received_on": AT.date(), "key": quotes.key(), "at": AT} | more
    return services.deposit_record(
        actor=actor or seller_of(order), order=order, amount=Decimal(amount), **fields
    )


def test_what_is_needed_is_the_share_of_the_accepted_total_to_the_cent_half_up() -> None:
    order = orders.booked()
    assert deposit_needed(order) == 0, "the rule's default asks for none"
    order = asking(33, order)
    exact = accepted_total(order) * 33 / 100
    assert deposit_needed(order) == exact.quantize(CENT, ROUND_HALF_UP)
    assert deposit_needed(order) != accepted_total(order)


def test_half_a_cent_is_rounded_up(monkeypatch: pytest.MonkeyPatch) -> None:
    from orders import release_reads

    order = asking(50)
    monkeypatch.setattr(release_reads, "accepted_total", lambda _order: Decimal("10.01"))
    assert deposit_needed(order) == Decimal("5.01")  # 5.005


def test_deposits_add_up_until_the_order_may_be_released() -> None:
    order = asking(50)
    services.drawings_approve(actor=people.actor(Role.PLANNER), at=AT, order=order)
    needed = deposit_needed(order)
    planner = people.actor(Role.PLANNER)
    with pytest.raises(Refused, match="The deposit is not there"):
        services.order_release(actor=planner, at=AT, order=order)
    record(order, "100.00")
    with pytest.raises(Refused, match="in part"):
        services.order_release(actor=planner, at=AT, order=order)
    assert orders.fresh(order).stage == "booked"
    record(order, str(needed - 100))
    assert deposit_received(order) == needed
    assert services.order_release(actor=planner, at=AT, order=order).stage == "released"


def test_a_deposit_that_is_taken_back_counts_no_more_but_stays_in_the_list() -> None:
    order = orders.booked()
    deposit = record(order, "250.00", note="check 1187")
    with pytest.raises(Refused) as refusal:
        services.deposit_take_back(actor=seller_of(order), at=AT, deposit=deposit, why=" ")
    assert refusal.value.field == "why"
    for _ in range(2):
        row = services.deposit_take_back(
            actor=seller_of(order), at=AT, deposit=deposit, why="the bank sent it back"
        )
    assert (row.why, row.taken_back_at) == ("the bank sent it back", AT)
    assert deposit_received(order) == 0
    assert order.deposits.count() == 1
    verbs = list(audit_list(order).values_list("verb", flat=True))
    assert verbs.count("deposit_take_back") == 1


@pytest.mark.parametrize(
    ("amount", "more", "field"),
    [
        ("0", {}, "amount"),
        ("-5", {}, "amount"),
        ("1.005", {}, "amount"),
        ("NaN", {}, "amount"),
        ("Infinity", {}, "amount"),
        ("99999999.00", {}, "amount"),
        ("5", {"received_on": AT.date() + timedelta(days=2)}, "received_on"),
        ("5", {"note": "x" * 201}, "note"),
    ],
)
def test_what_can_be_no_deposit_is_refused_at_its_field(amount: str, more: Any, field: str) -> None:
    order = orders.booked()
    with pytest.raises(Refused) as refusal:
        record(order, amount, **more)
    assert refusal.value.field == field
    assert order.deposits.count() == 0


def test_the_same_key_writes_one_deposit_and_none_is_refused() -> None:
    order = orders.booked()
    first, second = record(order, "70", key="one"), record(order, "70", key="one")
    assert first.pk == second.pk
    assert order.deposits.count() == 1
    with pytest.raises(KeyMissing):
        record(order, "70", key="")


def test_nothing_is_recorded_after_release() -> None:
    order = orders.released()
    with pytest.raises(Clash, match="before release"):
        record(order, "70")


@pytest.mark.parametrize("role", Role.values)
def test_sellers_record_on_their_own_orders_and_managers_on_all(role: str) -> None:
    order = orders.booked()
    actor = people.actor(role)
    if role == Role.MANAGER:
        assert record(order, "70", actor).by == actor.user
        return
    with pytest.raises(NotAllowed):
        record(order, "70", actor)
    deposit = record(order, "70")
    with pytest.raises(NotAllowed):
        services.deposit_take_back(actor=actor, at=AT, deposit=deposit, why="mine")


def shown(client: Client, order: Order) -> str:
    return str(client.get(reverse("orders:order_page", args=[order.public_id])).content.decode())


def test_the_page_shows_amounts_to_those_who_see_prices_only() -> None:
    order = asking(50)
    record(order, "123.45")
    told = shown(people.client_of(order.owner), order)
    assert "$123.45" in told
    assert f"${deposit_needed(order):,.2f}" in told
    planner = shown(people.client_of(Role.PLANNER), order)
    assert "123.45" not in planner
    assert "The deposit is there in part." in planner


def test_the_page_keeps_what_was_typed_and_writes_once_for_one_form() -> None:
    order = orders.booked()
    client = people.client_of(order.owner)
    url = reverse("orders:deposit_record", args=[order.public_id])
    typed = {
        "deposit-idempotency_key": "k",
        "deposit-amount": "50.00",
        "deposit-received_on": "2099-01-01",
        "deposit-note": "wire 88",
    }
    wrong = client.post(url, typed)
    assert wrong.status_code == 422
    assert "still to come" in wrong.content.decode()
    assert 'value="wire 88"' in wrong.content.decode()
    typed["deposit-received_on"] = "2020-01-01"
    for _ in range(2):
        assert client.post(url, typed).status_code == 302
    deposit = Deposit.objects.get()
    back = reverse("orders:deposit_take_back", args=[order.public_id, deposit.pk])
    assert client.post(back, {"takeback-why": ""}).status_code == 422
    assert client.post(back, {"takeback-why": "wrong order"}).status_code == 302
    other = orders.booked(order.owner)
    assert (
        client.post(reverse("orders:deposit_take_back", args=[other.public_id, deposit.pk])).status_code
        == 404
    )


def test_the_picked_alternates_total_counts() -> None:
    revision = issued_with_one()
    quote_services.quote_accept(
        actor=quotes.builder(revision),
        revision=revision,
        name="Rae Winter",
        key=quotes.key(),
        at=AT,
        alternate="A",
    )
    order = asking(50, services.order_book(actor=SYSTEM, at=AT, quote=revision.quote))
    picked = revision.alternates.get()
    assert accepted_total(order) == picked.total != revision.total
    assert deposit_needed(order) == (picked.total / 2).quantize(CENT, ROUND_HALF_UP)


def test_the_page_asks_the_database_as_often_with_many_deposits_and_sets_as_with_one() -> None:
    order = orders.booked()
    client = people.client_of(order.owner)

    def one_more(number: int) -> None:
        record(order, "1.00")
        services.drawings_record(
            actor=seller_of(order), at=AT, order=order, approved=False, name="Rae Winter", heard="call",
            words=f"Change {number}",
        )  # fmt: skip

    def count() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert "Change" in shown(client, order)
        return len(queries)

    one_more(0)
    first = count()
    for number in range(1, 10):
        one_more(number)
    assert count() == first
