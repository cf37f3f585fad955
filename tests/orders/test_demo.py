"""The demo company: every stage of R44, told once, only where it is asked for."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from framing.common.models import OutboxEntry, Role, User
from orders.demo.people import PASSWORD, STAFF
from orders.models import Delivery, Order
from orders.states import OrderStage
from quotes.models import Approval, PriceBook, Quote
from quotes.states import QuoteStage

ROOT = Path(__file__).resolve().parents[2]


def test_the_three_plans_are_those_that_the_tests_know() -> None:
    for name in ("house", "townhouse", "corridor"):
        assert (ROOT / "orders" / "demo" / f"{name}.json").read_bytes() == (
            ROOT / "tests" / "plans" / f"{name}.json"
        ).read_bytes(), name


@pytest.mark.django_db
def test_it_stays_out_of_a_company_that_did_not_ask(settings: Any) -> None:
    settings.SPANYARD_DEMO = False
    with pytest.raises(CommandError, match="not a demo"):
        call_command("seed_demo")
    assert User.objects.count() == 0


@pytest.mark.django_db
def test_it_tells_every_stage_once(capsys: Any) -> None:
    call_command("seed_demo", force=True)
    assert set(User.objects.values_list("role", flat=True)) == set(Role.values)
    assert set(Quote.objects.values_list("stage", flat=True)) == set(QuoteStage.values)
    assert set(Order.objects.values_list("stage", flat=True)) == set(OrderStage.values)
    assert Approval.objects.filter(decided_at=None).count() == 1
    assert Order.objects.filter(stage="booked", drawings_approved_at__isnull=False).exists()
    assert Order.objects.filter(stage="bundled", deliveries=None).exists()
    assert not OutboxEntry.objects.filter(done_at__isnull=False).exists(), "papers are left to the worker"
    counts = [model.objects.count() for model in (User, Quote, Order, Delivery, PriceBook)]
    call_command("seed_demo", force=True)
    assert [model.objects.count() for model in (User, Quote, Order, Delivery, PriceBook)] == counts
    capsys.readouterr()
    call_command("seed_demo", show=True)
    said = capsys.readouterr().out
    assert PASSWORD in said
    assert all(member.email in said for member in STAFF)
    for member in STAFF:
        client = Client()
        client.post("/account/login/", {"login": member.email, "password": PASSWORD})
        assert client.get("/").status_code == 200, member.email


@pytest.mark.django_db
def test_nothing_is_shown_where_there_is_no_demo(capsys: Any) -> None:
    call_command("seed_demo", show=True)
    assert capsys.readouterr().out == ""
