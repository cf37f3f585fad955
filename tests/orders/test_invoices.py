"""What there is to invoice: each thing once, numbered without a gap, and together what was agreed."""

from __future__ import annotations

from datetime import timedelta
from decimal import ROUND_HALF_UP, Decimal
from threading import Barrier, Thread

import pytest
from django.db import ProgrammingError, connections, transaction
from hypothesis import given
from hypothesis import strategies as st

from framing.common.models import Role
from orders import services
from orders.invoice_shares import Agreed, delivery_share, running, tax_of
from orders.models import Bundle, Delivery, InvoiceItem, Order
from orders.services.invoices import (
    invoice_cancelled,
    invoice_delivery,
    invoice_deposit,
    next_running,
)
from tests.factories import deliveries, orders, people

AT = orders.AT


def test_three_deliveries_by_hand() -> None:
    """1,000.00 over 3 lb, 3 lb and 3 lb: thirds are 333.33, 666.67 (half up of 666.666...), 1,000.00 as running
    sums, so the shares are 333.33, 333.34, 333.33."""
    whole, third = Decimal("1000.00"), Decimal(3)
    shares = [delivery_share(whole, third * k, third, Decimal(9)) for k in range(3)]
    assert shares == [Decimal("333.33"), Decimal("333.34"), Decimal("333.33")]


def test_tax_by_hand() -> None:
    """108.00 with 8.00 of tax in a deposit of 27.00 and a rest of 81.00: 27/108 of 8.00 is 2.00, the rest 6.00."""
    agreed = Agreed(Decimal("108.00"), Decimal("8.00"))
    assert tax_of(agreed, Agreed(), Decimal("27.00")) == Decimal("2.00")
    assert tax_of(agreed, Agreed(Decimal("27.00"), Decimal("2.00")), Decimal("81.00")) == Decimal("6.00")


def test_the_tax_comes_right_where_another_was_agreed_meanwhile() -> None:
    """27.00 took 2.00 of 8.00; by now 6.00 are agreed in 108.00: a rest of 81.00 takes the 4.00 that are left."""
    agreed = Agreed(Decimal("108.00"), Decimal("6.00"))
    made = Agreed(Decimal("27.00"), Decimal("2.00"))
    assert tax_of(agreed, made, Decimal("81.00")) == Decimal("4.00")


def test_nothing_to_share_by_gives_all_at_once() -> None:
    assert running(Decimal("5.00"), Decimal(0), Decimal(0)) == Decimal("5.00")


@given(
    st.decimals(min_value="0.01", max_value="999999.99", places=2),
    st.lists(st.decimals(min_value="0.1", max_value="48000", places=1), min_size=1, max_size=12),
)
def test_shares_together_are_the_whole(whole: Decimal, pounds: list[Decimal]) -> None:
    total, before, shares = sum(pounds, Decimal(0)), Decimal(0), []
    for now in pounds:
        shares.append(delivery_share(whole, before, now, total))
        before += now
    assert sum(shares) == whole
    for now, share in zip(pounds, shares, strict=True):
        assert abs(share - whole * now / total) < Decimal("0.011"), "a share is its exact part to the cent"


def split(order: Order) -> list[Delivery]:
    """Two deliveries: the first bundle, and all else."""
    first = order.bundles.order_by("number").first()
    assert first is not None
    rows = [
        Delivery.objects.create(
            order=order, number=f"D-{k}", planned_for=orders.PLANNED_FOR, contact="Rae", created_at=AT
        )
        for k in (1, 2)
    ]
    order.bundles.update(delivery=rows[1])
    order.cartons.update(delivery=rows[1])
    Bundle.objects.filter(pk=first.pk).update(delivery=rows[0])
    return rows


@pytest.mark.django_db
def test_an_order_with_two_deliveries_comes_to_what_was_accepted() -> None:
    order = orders.bundled()
    first, second = split(order)
    items = [invoice_delivery(at=AT, delivery=row) for row in (first, second)]
    assert [item.number for item in items if item] == [1, 2]
    assert sum(item.amount for item in items if item) == order.revision.total
    assert sum(item.tax for item in items if item) == order.revision.tax
    assert invoice_delivery(at=AT, delivery=second) is None, "a second time makes nothing"


def weigh(delivery: Delivery, pounds: str) -> None:
    """As if a change had made what is on a delivery heavier or lighter."""
    delivery.cartons.update(weight_lb=0)
    delivery.bundles.update(weight_lb=Decimal(pounds) / delivery.bundles.count())


@pytest.mark.django_db
def test_the_last_delivery_takes_what_is_left_where_the_rest_became_lighter() -> None:
    """90 lb of 100 lb took 90 %; the rest weighs 2 lb by then, of 92 lb 2.2 %, and takes the 10 % that are left."""
    order = orders.bundled()
    first, second = split(order)
    weigh(first, "90")
    weigh(second, "10")
    one = invoice_delivery(at=AT, delivery=first)
    weigh(second, "2")
    other = invoice_delivery(at=AT, delivery=second)
    assert one is not None
    assert other is not None
    assert one.amount == (order.revision.total * 9 / 10).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert one.amount + other.amount == order.revision.total
    assert one.tax + other.tax == order.revision.tax


@pytest.mark.django_db
def test_no_delivery_takes_more_than_is_left_where_the_rest_became_heavier() -> None:
    """90 lb of 100 lb took 90 %; the next weighs 100 lb of 290 lb by then and takes the 10 % that are left."""
    order = orders.bundled()
    first, second = split(order)
    third = Delivery.objects.create(
        order=order, number="D-3", planned_for=orders.PLANNED_FOR, contact="Rae", created_at=AT
    )
    Bundle.objects.filter(pk=second.bundles.order_by("-number")[0].pk).update(delivery=third)
    bundle = first.bundles.get()
    Bundle.objects.create(
        order=order, delivery=second, number=99, profile=bundle.profile, zone=bundle.zone,
        length_16=bundle.length_16, weight_lb=5,
    )  # fmt: skip
    Bundle.objects.get(number=99).pieces.set(bundle.pieces.all()[:1])
    for delivery, pounds in ((first, "90"), (second, "5"), (third, "5")):
        weigh(delivery, pounds)
    one = invoice_delivery(at=AT, delivery=first)
    weigh(second, "100")
    weigh(third, "100")
    two, three = (invoice_delivery(at=AT, delivery=row) for row in (second, third))
    assert one is not None
    assert two is not None
    assert three is None, "nothing is left for it"
    assert one.amount + two.amount == order.revision.total


@pytest.mark.django_db
def test_a_replacement_takes_no_share() -> None:
    delivery = orders.delivered()
    order = delivery.order
    order.bundles.update(delivery=delivery)
    order.cartons.update(delivery=delivery)
    invoice_delivery(at=AT, delivery=delivery)
    manager = people.actor(Role.MANAGER)
    claim = services.claim_open(
        actor=manager,
        at=AT,
        order=order,
        kind="short",
        words="All",
        delivery=delivery,
        bundle=order.bundles.first(),
    )
    made = services.claim_replace(actor=manager, at=AT, claim=claim).replacement
    assert made is not None
    again = Delivery.objects.create(
        order=order, number="D-9", planned_for=orders.PLANNED_FOR, contact="Rae", created_at=AT
    )
    Bundle.objects.filter(pk=made.pk).update(delivery=again)
    assert invoice_delivery(at=AT, delivery=again) is None
    assert sum(item.amount for item in order.invoice_items.all()) == order.revision.total


@pytest.mark.django_db
def test_what_is_made_again_before_the_last_delivery_leaves_the_shares_as_they_were() -> None:
    order, one, rest = deliveries.halves()
    dispatcher = deliveries.dispatcher()

    def come(delivery: Delivery) -> None:
        services.delivery_load(actor=dispatcher, at=AT, delivery=delivery)
        services.delivery_deliver(actor=dispatcher, at=AT, delivery=delivery, received_by="Rae")

    weights = [
        *order.bundles.values_list("weight_lb", flat=True), *order.cartons.values_list("weight_lb", flat=True)
    ]  # fmt: skip
    first_lb = one.bundles.get().weight_lb
    come(one)
    claim = services.claim_open(
        actor=dispatcher, at=AT, order=order, kind="short", words="All", delivery=one,
        bundle=one.bundles.select_related("load").get(),
    )  # fmt: skip
    services.claim_replace(actor=dispatcher, at=AT, claim=claim)
    come(rest)
    shares = [item.amount for item in order.invoice_items.order_by("number")]
    total = order.revision.total
    assert shares[0] == (total * first_lb / sum(weights)).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert sum(shares) == total, "all is received, and what is made again is no part of it"


@pytest.mark.django_db
def test_a_credit_stands_below_zero_with_its_tax() -> None:
    delivery = orders.delivered()
    manager = people.actor(Role.MANAGER)
    claim = services.claim_open(
        actor=manager, at=AT, order=delivery.order, kind="other", words="A day late", delivery=delivery
    )
    services.claim_credit(actor=manager, at=AT, claim=claim, amount=Decimal("100.00"), why="Crew stood idle")
    item = InvoiceItem.objects.get(claim=claim)
    revision = delivery.order.revision
    assert (item.kind, item.amount) == ("credit", Decimal("-100.00"))
    assert item.tax == -(Decimal("100.00") * revision.tax / revision.total).quantize(Decimal("0.01"))


@pytest.mark.django_db
def test_a_deposit_is_asked_for_at_booking_and_given_back_when_cancelled(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("orders.release_reads.deposit_percent", lambda _order: 25)
    order = orders.booked(people.user())
    item = order.invoice_items.get()
    assert (item.kind, item.amount) == ("deposit", (order.revision.total / 4).quantize(Decimal("0.01")))
    services.order_cancel(actor=people.actor(Role.MANAGER), at=AT, order=order, why="Sold the lot")
    assert sum(item.amount for item in order.invoice_items.all()) == 0
    assert sum(item.tax for item in order.invoice_items.all()) == 0


@pytest.mark.django_db
def test_no_deposit_asked_for_is_no_item() -> None:
    order = orders.booked()
    assert invoice_deposit(at=AT, order=order) is None
    assert invoice_cancelled(at=AT, order=order) is None
    assert not order.invoice_items.exists()


@pytest.mark.django_db
def test_an_item_never_changes() -> None:
    order = orders.bundled()
    first, _second = split(order)
    item = invoice_delivery(at=AT, delivery=first)
    assert item is not None
    rows = InvoiceItem.objects.filter(pk=item.pk)
    with pytest.raises(ProgrammingError), transaction.atomic():
        rows.delete()
    with pytest.raises(ProgrammingError), transaction.atomic():
        rows.update(at=AT + timedelta(days=1))


@pytest.mark.django_db(transaction=True)
def test_numbers_have_no_gap_and_no_twin_at_once() -> None:
    gate, got = Barrier(20), []

    def take(keep: bool) -> None:
        gate.wait()
        try:
            with transaction.atomic():
                number = next_running("invoice")
                if not keep:
                    raise RuntimeError
                got.append(number)
        except RuntimeError:
            pass
        finally:
            connections.close_all()

    threads = [Thread(target=take, args=(k % 4 != 0,)) for k in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(got) == list(range(1, 16))
