"""What there is to invoice, on pages and by the API: exported once, had again byte for byte."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal
from threading import Barrier, Thread
from typing import Any

import pytest
from django.db import connection, connections
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.actors import SYSTEM
from framing.common.errors import Clash, NotAllowed
from framing.common.models import Role
from orders import services
from orders.invoice_content import FIELDS, file_bytes, sums
from orders.invoice_reads import new_sums
from orders.models import InvoiceFile, InvoiceItem
from tests.factories import changes, orders, people

AT = orders.AT


@pytest.mark.django_db
def test_a_received_delivery_is_there_to_invoice_at_once_and_once() -> None:
    delivery = orders.delivered()
    item = InvoiceItem.objects.get()
    assert (item.kind, item.delivery, item.amount) == ("delivery", delivery, delivery.order.revision.total)
    with pytest.raises(Clash):
        services.delivery_deliver(
            actor=people.actor(Role.DISPATCHER), at=AT, delivery=delivery, received_by="Rae"
        )
    assert InvoiceItem.objects.count() == 1


@pytest.mark.django_db
def test_a_change_of_an_order_is_an_item_of_its_own() -> None:
    order = orders.approved()
    change = changes.applied(changes.asked(order))
    item = InvoiceItem.objects.get(change=change)
    assert (item.kind, item.amount) == ("change", change.price_change)
    assert item.tax == change.revision.tax - change.was.tax
    services.change_apply(actor=SYSTEM, at=AT, change=change)
    assert InvoiceItem.objects.count() == 1


@pytest.mark.django_db
def test_what_is_new_goes_out_once_and_the_file_stays_the_same() -> None:
    order = orders.delivered().order
    client = people.client_of(Role.MANAGER)
    page = client.get(reverse("orders:invoice_list")).content.decode()
    assert "Export the new item" in page
    assert "books are kept elsewhere" in page
    answer = client.post(reverse("orders:invoice_export"), follow=True)
    assert "Export 1 is made" in answer.content.decode()
    file = InvoiceFile.objects.get()
    first = {form: got(client, file, form) for form in ("csv", "json")}
    builder = order.revision.quote.project.builder
    name, builder.name = builder.name, "Renamed & Sons"
    builder.save()
    assert {form: got(client, file, form) for form in ("csv", "json")} == first
    told = json.loads(first["json"])
    assert (told["format"], told["version"], told["file"], told["first"], told["last"]) == (
        "spanyard.invoices", 1, 1, 1, 1,
    )  # fmt: skip
    assert list(told["items"][0]) == list(FIELDS)
    assert (told["items"][0]["builder"], told["items"][0]["order"]) == (name, order.number)
    rows = list(csv.DictReader(io.StringIO(first["csv"].decode("utf-8-sig"))))
    assert list(rows[0]) == ["file", *FIELDS]
    assert Decimal(rows[0]["amount"]) == order.revision.total
    assert Decimal(rows[0]["net"]) + Decimal(rows[0]["tax"]) == order.revision.total
    assert client.post(reverse("orders:invoice_export")).status_code == 409
    assert InvoiceFile.objects.count() == 1
    assert new_sums() == (0, [])


def got(client: Client, file: InvoiceFile, form: str) -> bytes:
    answer = client.get(reverse("orders:invoice_file", args=[file.public_id, form]))
    assert answer["Content-Disposition"] == f'attachment; filename="invoices-0001.{form}"'
    return answer.content


def content(**fields: Any) -> dict[str, Any]:
    item = dict.fromkeys(FIELDS, "") | {"number": 1, "currency": "USD", "amount": "-5.00"} | fields
    head = {"format": "f", "version": 1, "file": 7, "exported_at": "2026-01-01", "first": 1, "last": 1}
    return head | {"items": [item]}


def test_a_formula_in_a_name_is_text_in_the_file_and_a_credit_stays_a_figure() -> None:
    text = file_bytes(content(builder='=HYPERLINK("x")'), "csv").decode("utf-8-sig")
    row = next(csv.DictReader(io.StringIO(text)))
    assert (row["file"], row["builder"], row["amount"]) == ("7", '\'=HYPERLINK("x")', "-5.00")
    assert sums(content()["items"]) == [("USD", Decimal("-5.00"))]


@pytest.mark.django_db
def test_there_is_no_third_form() -> None:
    orders.delivered()
    client = people.client_of(Role.MANAGER)
    client.post(reverse("orders:invoice_export"))
    file = InvoiceFile.objects.get()
    assert client.get(reverse("orders:invoice_file", args=[file.public_id, "xml"])).status_code == 404


@pytest.mark.django_db
def test_by_the_api_it_is_the_same() -> None:
    order = orders.delivered().order
    client = people.client_of(Role.MANAGER)
    api = "api:orders_api:"
    rows = client.get(reverse(f"{api}invoice_list"), {"state": "new"}).json()
    assert [(row["order"], row["amount"]) for row in rows["items"]] == [
        (order.number, str(order.revision.total))
    ]
    assert client.get(reverse(f"{api}invoice_list"), {"state": "paid"}).status_code == 422
    made = client.post(reverse(f"{api}invoice_export"))
    assert made.status_code == 201, made.content
    files = client.get(reverse(f"{api}invoice_file_list")).json()["files"]
    again = client.get(reverse(f"{api}invoice_file_get", args=[files[0]["id"]]))
    assert again.json() == made.json()
    assert [row["number"] for row in again.json()["items"]] == [1]
    assert client.post(reverse(f"{api}invoice_export")).status_code == 409
    assert client.get(reverse(f"{api}invoice_list"), {"state": "new"}).json()["count"] == 0


@pytest.mark.django_db
@pytest.mark.parametrize("role", [Role.SELLER, Role.PLANNER, Role.SHOP, Role.DISPATCHER, Role.ADMINISTRATOR])
def test_only_managers_export(role: Role) -> None:
    with pytest.raises(NotAllowed):
        services.invoice_export(actor=people.actor(role), at=AT)


@pytest.mark.django_db
def test_the_page_asks_as_often_for_many_as_for_few() -> None:
    delivery = orders.delivered()
    client = people.client_of(Role.SELLER)

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(reverse("orders:invoice_list")).status_code == 200
        return len(queries)

    asked()
    few = asked()
    manager = people.actor(Role.MANAGER)
    for cents in range(1, 9):
        claim = services.claim_open(
            actor=manager, at=AT, order=delivery.order, kind="other", words="Late", delivery=delivery
        )
        services.claim_credit(actor=manager, at=AT, claim=claim, amount=Decimal(cents) / 100, why="Agreed")
    assert asked() == few
    rows = client.get(reverse("orders:invoice_list_file", args=["csv"]))
    text = b"".join(rows.streaming_content).decode()  # type: ignore[attr-defined]
    assert text.count(delivery.order.number) == 9


@pytest.mark.django_db(transaction=True)
def test_two_who_export_at_once_get_one_file() -> None:
    orders.delivered()
    manager = people.actor(Role.MANAGER)
    gate, outcomes = Barrier(8), []

    def export() -> None:
        gate.wait()
        try:
            outcomes.append(services.invoice_export(actor=manager, at=AT).number)
        except Clash:
            outcomes.append(0)
        finally:
            connections.close_all()

    threads = [Thread(target=export) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == [0] * 7 + [1]
