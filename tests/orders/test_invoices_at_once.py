"""Twenty people credit and export at once: running numbers without a gap, each item in one export; tax to the cent."""

from __future__ import annotations

from collections.abc import Callable
from decimal import ROUND_UP, Decimal
from random import Random
from threading import Barrier, Thread

import pytest
from django.db import connections

from framing.common.errors import Clash, Refused
from framing.common.models import Role
from orders import services
from orders.claim_facts import credit_room
from orders.models import Claim, Delivery, InvoiceFile, InvoiceItem
from tests.factories import orders, people

AT = orders.AT
MANY = 20


def claims_on(delivery: Delivery, count: int) -> list[Claim]:
    """So many claims on a delivery as a whole."""
    manager = people.actor(Role.MANAGER)
    return [
        services.claim_open(
            actor=manager, at=AT, order=delivery.order, kind="other", words="Late", delivery=delivery
        )
        for _ in range(count)
    ]


def at_once(work: Callable[[int], None], count: int = MANY) -> None:
    gate = Barrier(count)

    def run(index: int) -> None:
        gate.wait()
        try:
            work(index)
        finally:
            connections.close_all()

    threads = [Thread(target=run, args=(index,)) for index in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


@pytest.mark.django_db(transaction=True)
def test_twenty_exports_at_once_leave_no_gap_and_take_each_item_once() -> None:
    delivery, manager = orders.delivered(), people.actor(Role.MANAGER)
    claims, nothing_new = claims_on(delivery, MANY), []

    def credit_and_export(index: int) -> None:
        services.claim_credit(
            actor=manager, at=AT, claim=claims[index], amount=Decimal(index + 1) / 100, why="Agreed"
        )
        try:
            services.invoice_export(actor=manager, at=AT)
        except Clash:
            nothing_new.append(index)

    at_once(credit_and_export)
    numbers = list(InvoiceItem.objects.order_by("number").values_list("number", flat=True))
    assert numbers == list(range(1, MANY + 2)), "the delivery's item and each credit"
    files = list(InvoiceFile.objects.order_by("number"))
    assert len(files) + len(nothing_new) == MANY
    assert [file.number for file in files] == list(range(1, len(files) + 1))
    held = [item["number"] for file in files for item in file.content["items"]]
    assert held == numbers, "each once, in order, whoever exported it"
    assert [(file.first, file.last) for file in files] == [
        (file.content["items"][0]["number"], file.content["items"][-1]["number"]) for file in files
    ]


@pytest.mark.django_db(transaction=True)
def test_twenty_credits_at_once_never_go_over_what_was_accepted() -> None:
    delivery, manager = orders.delivered(), people.actor(Role.MANAGER)
    total = delivery.order.revision.total
    each = (total / 7).quantize(Decimal("0.01"), ROUND_UP)  # six fit, a seventh is a cent or so too much
    claims, refused = claims_on(delivery, MANY), []

    def credit(index: int) -> None:
        try:
            services.claim_credit(actor=manager, at=AT, claim=claims[index], amount=each, why="Agreed")
        except Refused as error:
            refused.append(error.message)

    at_once(credit)
    assert len(refused) == MANY - 6
    assert all("would be credited" in words for words in refused)
    assert credit_room(delivery.order).given == 6 * each <= total


@pytest.mark.django_db
@pytest.mark.parametrize("seed", range(4))
def test_credits_of_the_whole_order_give_back_all_of_its_tax(seed: int) -> None:
    """Ten parts of cents and dollars that together are the total: their taxes together are its tax, none below 0."""
    rng = Random(seed)  # noqa: S311  # the same parts each time
    delivery, manager = orders.delivered(), people.actor(Role.MANAGER)
    total, tax = delivery.order.revision.total, delivery.order.revision.tax
    cents = int(total * 100)
    cuts = sorted(rng.sample(range(1, cents), 9))
    parts = [Decimal(b - a) / 100 for a, b in zip([0, *cuts], [*cuts, cents], strict=True)]
    for claim, part in zip(claims_on(delivery, len(parts)), parts, strict=True):
        services.claim_credit(actor=manager, at=AT, claim=claim, amount=part, why="Agreed")
    items = list(InvoiceItem.objects.filter(kind="credit"))
    assert sum(item.amount for item in items) == -total
    assert sum(item.tax for item in items) == -tax < 0
    for item in items:
        assert item.amount <= item.tax <= 0
        assert abs(item.tax - item.amount * tax / total) < Decimal("0.011"), "its exact part to the cent"
    extra = claims_on(delivery, 1)[0]
    with pytest.raises(Refused, match="would be credited"):
        services.claim_credit(actor=manager, at=AT, claim=extra, amount=Decimal("0.01"), why="Agreed")
