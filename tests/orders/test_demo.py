"""The demo company: every stage of R44, told once, only where it is asked for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction
from django.test import Client
from pytest_django import DjangoDbBlocker

from framing.common.links import link_list
from framing.common.models import AccessLink, AuditEntry, OutboxEntry, Role, User
from orders import load_reads
from orders.change_reads import change_state
from orders.claim_reads import claim_photos
from orders.demo.people import PASSWORD, STAFF
from orders.demo.story import Story
from orders.load_figures import sketch_of, trip_figures
from orders.models import (
    Bundle,
    ChangeOrder,
    Claim,
    Delivery,
    Deposit,
    DrawingSet,
    InvoiceFile,
    InvoiceItem,
    LinePlan,
    Order,
    OrderMove,
    Remake,
    Trip,
    TruckLoad,
)
from orders.photo_store import photo_bytes
from orders.release_reads import deposit_needed
from orders.states import OrderStage
from orders.waiting import waiting_for
from quotes.lost_models import LostOffer, LostReason
from quotes.lost_reads import lost_reasons
from quotes.models import (
    Acceptance,
    Alternate,
    Approval,
    PriceBook,
    Quote,
    QuoteMove,
    QuoteRevision,
    ThreadMessage,
)
from quotes.selectors import quotes_lapsing
from quotes.states import QuoteStage
from tests.common.demo import demo_company

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


@pytest.fixture
def told_today(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """What `seed_demo --force` makes of an empty database, told once a run; rolled back afterwards."""
    with demo_company(django_db_blocker, tmp_path_factory):
        yield


@pytest.mark.django_db
def test_it_tells_every_stage_once(told_today: None, capsys: Any) -> None:
    assert set(User.objects.values_list("role", flat=True)) == set(Role.values)
    assert set(Quote.objects.values_list("stage", flat=True)) == set(QuoteStage.values)
    assert set(Order.objects.values_list("stage", flat=True)) == set(OrderStage.values)
    waiting = Approval.objects.filter(decided_at=None)
    assert sorted(waiting.values_list("asked_back", flat=True)) == [False, True]
    assert Order.objects.filter(stage="booked", drawings_approved_at__isnull=False).exists()
    assert Order.objects.filter(stage="bundled", deliveries=None).exists()
    gone, *planned = Trip.objects.filter(loads__isnull=False).distinct().order_by("pk")
    assert gone.left_at, "the loaded order is on the road"
    assert len(planned) == 2
    assert len({trip.day for trip in planned}) == 1
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


# --- as it stands; the tests above begin with an empty company ---


NOW = datetime(2026, 11, 20, 15, tzinfo=UTC)


def _said() -> list[list[Any]]:
    return [
        list(Quote.objects.order_by("id").values_list("number", "stage", "project__name")),
        list(QuoteRevision.objects.order_by("id").values_list("total", "issued_at", "valid_until")),
        list(Order.objects.order_by("id").values_list("number", "stage", "created_at")),
        list(AuditEntry.objects.order_by("id").values_list("at", "actor_name", "verb")),
    ]


@pytest.fixture(scope="module")
def said_before(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> list[list[Any]]:
    """What the story of the same hour said at an earlier telling; of it nothing is left."""
    with django_db_blocker.unblock(), transaction.atomic():
        Story(NOW).tell()
        said = _said()
        transaction.set_rollback(True)
    return said


@pytest.fixture(scope="module")
def told(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[datetime]:
    """The demo company as it stands on an hour in late autumn, for the rest of this module; rolled back afterwards."""
    with django_db_blocker.unblock(), transaction.atomic():
        Story(NOW).tell()
        yield NOW
        transaction.set_rollback(True)


@pytest.mark.django_db
def test_the_same_day_tells_the_same_story(said_before: list[list[Any]], told: datetime) -> None:
    assert all(said_before)
    assert _said() == said_before


@pytest.mark.django_db
def test_sellers_meet_offers_in_every_state(told: datetime) -> None:
    open_offers = quotes_lapsing(at=told, within_days=3).values_list("project__name", flat=True)
    assert list(open_offers) == ["Cooper's Yard loft"]
    unread = ThreadMessage.objects.filter(side="builder", seen_at=None)
    assert list(unread.values_list("quote__project__name", flat=True)) == ["Mill Bank studio"]
    opened = AccessLink.objects.filter(opened_count=1)
    times = [(link.created_at, link.opened_at) for link in opened]
    assert times
    assert all(seen and made < seen < told for made, seen in times)
    assert set(Alternate.objects.values_list("revision__quote__stage", flat=True)) == {"issued", "booked"}
    assert set(Acceptance.objects.values_list("alternate__letter", flat=True)) == {None, "A"}
    assert Acceptance.objects.filter(link__isnull=False).exists()
    assert Acceptance.objects.filter(link=None, recorded_by__isnull=False).exists()
    assert Approval.objects.filter(granted=True).count() == 2
    lost = Counter({row.reason: row.count for row in lost_reasons()})
    assert lost.total() == 11
    assert set(lost) == set(LostReason) - {LostReason.OTHER}
    assert LostOffer.objects.filter(ended="lapsed", recorded_by__isnull=False).count() == 1


@pytest.mark.django_db
def test_over_a_year_of_offers_stands_behind_the_figures(told: datetime) -> None:
    first = QuoteRevision.objects.filter(number=1)
    months = {(at.year, at.month) for at in first.values_list("issued_at", flat=True) if at}
    assert len(months) == 14  # October 2025 to November 2026, none without an offer
    ends = Counter(
        Quote.objects.filter(moves__at__lt=told - timedelta(days=84))
        .distinct()
        .values_list("stage", flat=True)
    )
    assert ends == {"booked": 14, "declined": 6, "lapsed": 3}
    booked = set(Order.objects.values_list("created_at__year", flat=True))
    assert booked == {2025, 2026}
    assert PriceBook.objects.filter(state="in_force").count() == 2
    assert not QuoteMove.objects.filter(at__gt=told).exists()
    assert not OrderMove.objects.filter(at__gt=told).exists()
    assert not AuditEntry.objects.filter(at__gt=told).exists()


@pytest.mark.django_db
def test_the_loaded_order_rides_on_a_truck_that_left_with_its_driver(told: datetime) -> None:
    order = Order.objects.get(stage="loaded")
    (load,) = TruckLoad.objects.filter(delivery__order=order)
    trip = load.trip
    assert trip is not None
    assert (trip.day, trip.truck_name, trip.driver) == (told.date(), "Short flatbed", "Wes Tarrant")
    assert trip.left_at is not None
    assert trip.left_at <= told
    figures = trip_figures(trip)
    assert figures.broken == ()
    assert sketch_of(figures).startswith("<svg")
    assert {link.for_name for link in link_list(trip)} == {"Wes Tarrant"}
    assert OutboxEntry.objects.filter(kind="manifest_paper", key=f"load {load.pk}", done_at=None).exists()
    assert load_reads.loads_without_trip(trip.day).count() == 0


@pytest.mark.django_db
def test_every_page_of_the_shop_has_something_to_show(told: datetime) -> None:
    answers = DrawingSet.objects.values_list("approved", flat=True)
    assert sorted(map(str, answers)) == ["False", "None", "True"], "a no, one that waits, and a yes"
    part = Deposit.objects.get()
    assert 0 < part.amount < deposit_needed(part.order), "the rest is waited for"
    assert Order.objects.filter(stage="held").exists()
    assert Remake.objects.filter(made_at=None).count() == 1
    assert Remake.objects.filter(made_at__isnull=False).count() == 1
    weighed = Bundle.objects.filter(weighed_lb__isnull=False)
    off = [abs(float(row.weighed_lb or 0) / float(row.weight_lb) - 1) for row in weighed]
    assert [share > 0.05 for share in sorted(off)] == [False, True]
    plan = LinePlan.objects.get(state="in_force")
    late = {row["order"] for row in plan.figures["late"] if row["minutes"]}
    assert late == {Order.objects.get(revision__quote__project__name="Lookout Way loft").number}
    paul = User.objects.get(role=Role.PLANNER)
    titles = [section.title for section in waiting_for(paul, told)]
    assert titles[:2] == ["A line plan waits for your word", "Drawings must change"]


@pytest.mark.django_db
def test_one_change_waits_for_the_builder_and_one_is_in_its_order(told: datetime) -> None:
    waits, done = ChangeOrder.objects.order_by("applied_at").reverse()
    assert (change_state(waits, told), change_state(done, told)) == ("offered", "applied")
    rolled = Counter(done.dropped_pieces.values_list("mark", flat=True))
    assert rolled == {"1T01": 4}, "four trimmers of the stair were rolled for nothing"
    assert done.order.stage == "rolling"
    assert done.difference["bundles"]["new"]
    assert done.price_change == done.revision.total - done.was.total > 0
    for email in ("ida@larkmeadow.example", "greta@larkmeadow.example"):
        titles = [section.title for section in waiting_for(User.objects.get(email=email), told)]
        assert "Changes that wait for the builder" in titles, email


@pytest.mark.django_db
def test_what_was_found_on_site_stands_at_each_end(told: datetime) -> None:
    claims = {row.state: row for row in Claim.objects.select_related("order", "delivery", "replacement")}
    assert {state: row.order.stage for state, row in claims.items()} == {
        "open": "delivered", "replaced": "closed", "credited": "closed", "rejected": "closed",
    }  # fmt: skip
    waits, again = claims["open"], claims["replaced"]
    assert waits.link is not None, "the builder reported it on his phone"
    assert waits.pieces.count() == 2
    photo = claim_photos(waits).get()
    assert photo_bytes(photo).startswith(b"\xff\xd8\xff")
    assert photo.size < 40_000
    assert again.replacement is not None
    assert again.delivery_id != again.replacement.delivery_id, "a second delivery brought it"
    credit = InvoiceItem.objects.get(claim=claims["credited"])
    assert credit.amount == -(claims["credited"].credit or 0) < 0
    file = InvoiceFile.objects.get()
    assert 1 == file.first < file.last < InvoiceItem.objects.count(), "some are new since the last export"
    assert not InvoiceItem.objects.filter(number__lte=file.last, at__gt=file.created_at).exists()
    titles = [section.title for section in waiting_for(User.objects.get(role=Role.DISPATCHER), told)]
    assert "Claims to decide" in titles
    assert "To go again, on no delivery" not in titles
