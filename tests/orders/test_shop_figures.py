"""The shop's figures: hand-worked weeks, what a plan says of which day, the page, its files and its limits."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from html import unescape
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from framing.common.models import Role
from framing.engine.line import RollLine, Shift
from orders.models import (
    Bundle,
    Claim,
    Delivery,
    Line,
    LinePlan,
    LineRun,
    LineSettings,
    LineShift,
    Order,
    OrderMove,
    Piece,
    Remake,
)
from orders.services import bundle_finish, claim_open
from orders.shop_figures import DayCapacity, Finished, Waiting, backlog, on_time, rolled, summed
from orders.shop_figures_claims import by_month, together
from orders.shop_figures_reads import held_minutes, shift_ft, shop_figures
from quotes.figures_periods import Period
from tests.api.test_orders import api
from tests.factories import orders, people
from tests.factories.people import client_of

MONDAY = date(2026, 11, 23)
NEXT = MONDAY + timedelta(days=7)
TWO_WEEKS = Period("own", MONDAY, NEXT + timedelta(days=6))
PAGE = "orders:shop_figures"


def test_an_order_counts_in_the_week_it_was_finished_and_is_late_after_its_due_day() -> None:
    found = on_time(
        [
            Finished("A", MONDAY, MONDAY),  # on the due day itself: on time
            Finished("B", MONDAY + timedelta(days=6), MONDAY),  # Sunday of that week, six days late
            Finished("C", NEXT, None),
        ],
        MONDAY,
        NEXT,
    )
    assert [(row.week, row.on_time, row.late, row.undated, row.share) for row in found] == [
        (MONDAY, 1, 1, 0, 0.5),
        (NEXT, 0, 0, 1, None),
    ]
    total = summed(found, MONDAY)
    assert (total.on_time, total.late, total.undated) == (1, 1, 1)
    assert Finished("B", MONDAY + timedelta(days=6), MONDAY).days_late == 6


def test_feet_per_shift_stand_beside_what_the_shifts_could_do() -> None:
    # 960 ft of 2 shifts of 1,000 ft: 480 ft a shift, 48 %; the second week has no shift
    tuesday = MONDAY + timedelta(days=1)
    capacity = {MONDAY: DayCapacity(1000.0, 1), tuesday: DayCapacity(1000.0, 1)}
    finished = [(MONDAY, 192 * 900), (tuesday, 192 * 60)]
    first, second = rolled(finished, capacity, {tuesday: 25}, MONDAY, NEXT)
    assert (first.feet, first.bundles, first.per_shift, first.capacity_per_shift) == (960, 2, 480, 1000)
    assert (first.share, first.setup_minutes) == (0.48, 25)
    assert (second.feet, second.per_shift, second.share) == (0, None, None)


def test_days_outside_the_period_have_no_shifts() -> None:
    capacity = {MONDAY: DayCapacity(10.0, 1), MONDAY + timedelta(days=1): DayCapacity(10.0, 1)}
    (row,) = rolled([], capacity, {MONDAY: 5}, MONDAY + timedelta(days=1), MONDAY + timedelta(days=1))
    assert (row.week, row.shifts, row.setup_minutes) == (MONDAY, 1, 0)


def test_the_backlog_has_what_is_overdue_first_and_what_has_no_day_last() -> None:
    found = backlog(
        [
            Waiting(None, 192, 1),
            Waiting(NEXT, 192, 2),
            Waiting(NEXT + timedelta(days=2), 384, 2),
            Waiting(MONDAY, 96, 3),
        ],
        NEXT,
    )
    assert [(row.name, row.orders, row.bundles, row.feet) for row in found] == [
        ("Overdue", 1, 1, 0.5),
        ("Nov 30", 1, 2, 3.0),
        ("No day", 1, 1, 1.0),
    ]


def test_a_shorter_shift_makes_its_share_of_the_longest() -> None:
    long, short = Shift(0, 360, 840, over_midnight=False), Shift(1, 360, 600, over_midnight=False)
    told = RollLine("N", 3600, (long, short), capacity_ft_per_shift=8000)
    assert (shift_ft(told, 480), shift_ft(told, 240)) == (8000, 4000)
    by_speed = RollLine("N", 3600, (long, short))
    assert shift_ft(by_speed, 240) == 14_400  # 60 ft a minute for 4 h


def test_a_day_has_the_change_overs_of_the_plan_that_held_on_it() -> None:
    tuesday = MONDAY + timedelta(days=1)
    taken = [(1, MONDAY), (2, tuesday)]
    by_plan = {1: {MONDAY: 30, tuesday: 40, NEXT: 50}, 2: {MONDAY: 99, tuesday: 15}}
    # plan 2 was taken on Tuesday: Monday stays plan 1's, and next Monday, of which it says nothing, has none
    assert held_minutes(taken, by_plan) == {MONDAY: 30, tuesday: 15}


def test_claims_stand_against_the_bundles_received_in_their_month() -> None:
    # 40 bundles in November and 3 claims: 7.5 for each 100; in December a claim and no bundle; January outside
    november, december = date(2026, 11, 30), date(2026, 12, 1)
    opened = [(november, "short"), (november, "short"), (november, "wrong"), (december, "other")]
    months = [date(2026, 11, 1), date(2026, 12, 1)]
    first, last = by_month(opened, [november] * 40, months, date(2026, 11, 10), date(2026, 12, 20))
    assert (first.first, first.last, last.first, last.last) == (
        date(2026, 11, 10), november, december, date(2026, 12, 20),
    )  # fmt: skip
    assert [first.count(kind) for kind in ("short", "damaged", "wrong", "other", "")] == [2, 0, 1, 0, 3]
    assert (first.per_100("short"), first.per_100("damaged"), first.per_100()) == (5.0, 0.0, 7.5)
    assert (last.count(), last.per_100()) == (1, None)
    total = together((first, last))
    assert (total.first, total.last, total.bundles, total.count("short"), total.per_100()) == (
        first.first, last.last, 40, 2, 10.0,
    )  # fmt: skip


# --- from rows ---


def rolled_order(day: date, on_site: date | None) -> Order:
    """An order of which every bundle was finished on a day."""
    order = orders.rolling()
    at = datetime(day.year, day.month, day.day, 18, tzinfo=UTC)
    Order.objects.filter(pk=order.pk).update(deliver_on=on_site)
    Bundle.objects.filter(order=order).update(started_at=at)
    for bundle in order.bundles.all():
        bundle_finish(actor=people.actor(Role.SHOP), at=at, bundle=bundle)
    return order


@pytest.mark.django_db
def test_figures_are_read_from_rows(settings: Any) -> None:
    settings.SPANYARD_TIME_ZONE = "UTC"
    LineSettings.objects.create(lead_days=2)
    line = Line.objects.create(name="North", feet_per_minute=10)
    for weekday in range(5):
        LineShift.objects.create(line=line, weekday=weekday, starts=360, ends=840)
    # on site Friday with two working days' lead: due Wednesday
    good = rolled_order(MONDAY + timedelta(days=2), MONDAY + timedelta(days=4))
    bad = rolled_order(MONDAY + timedelta(days=3), MONDAY + timedelta(days=4))
    waits = orders.released()
    Order.objects.filter(pk=waits.pk).update(deliver_on=None)
    piece = good.pieces.exclude(bundle=None)[0]
    at = datetime(2026, 11, 24, 9, tzinfo=UTC)
    Remake.objects.create(
        piece=piece, reason="bent", asked_by=people.user(), created_at=at, made_at=at, made_by=people.user()
    )
    plan = LinePlan.objects.create(number=1, state="in_force", frozen_through=MONDAY, taken_at=at)
    LineRun.objects.create(
        plan=plan, line=line, bundle=waits.bundles.all()[0], position=1, day=date(2026, 11, 25),
        start_minute=400, end_day=date(2026, 11, 25), end_minute=500, setup_minutes=35,
    )  # fmt: skip
    found = shop_figures(TWO_WEEKS, datetime(2026, 12, 1, tzinfo=UTC))
    assert [(row.on_time, row.late) for row in found.on_time] == [(1, 1), (0, 0)]
    assert [(order.number, order.days_late) for order in found.late] == [(bad.number, 1)]
    first, second = found.rolled
    bundled = Piece.objects.filter(order__in=(good, bad)).exclude(bundle=None)
    feet = sum(bundled.values_list("length_16", flat=True)) / 192
    assert first.feet == pytest.approx(feet)
    # 8 h at 10 ft a minute are 4,800 ft a shift, five shifts a week
    assert (first.bundles, first.shifts, first.capacity_ft, first.setup_minutes) == (4, 5, 24_000, 35)
    assert (second.bundles, second.shifts) == (0, 5)
    assert [(row.reason, row.pieces, row.length_16) for row in found.scrap] == [
        ("Bent or twisted", 1, piece.length_16)
    ]
    assert [(row.name, row.orders, row.bundles) for row in found.backlog] == [("No day", 1, 2)]


@pytest.mark.django_db
def test_an_order_that_was_opened_again_counts_when_it_was_finished_last() -> None:
    order = rolled_order(MONDAY, None)
    later = datetime(2026, 12, 1, 12, tzinfo=UTC)
    OrderMove.objects.create(order=order, at=later, from_stage="rolling", to_stage="bundled", by="Sam")
    found = shop_figures(TWO_WEEKS, later)
    assert [row.undated for row in found.on_time] == [0, 1]


@pytest.mark.django_db
def test_the_page_its_files_and_the_api_say_the_same(settings: Any) -> None:
    settings.SPANYARD_TIME_ZONE = "UTC"
    rolled_order(MONDAY, MONDAY)
    planner = client_of(Role.PLANNER)
    query = {"period": "own", "first": "2026-11-23", "last": "2026-12-06"}
    page = planner.get(reverse(PAGE), query).content.decode()
    for words in ("On time 100.0 %", "Feet per shift against capacity", "Backlog by week", "<svg"):
        assert words in page
    file = planner.get(reverse("orders:shop_figures_csv", args=["on-time"]), query)
    assert file["Content-Type"] == "text/csv; charset=utf-8"
    assert file.content.decode().splitlines() == [
        "Week of,On time,Late,No day,On time %",
        "2026-11-23,1,0,0,100.0",
        "2026-11-30,0,0,0,",
        "All,1,0,0,100.0",
    ]
    for key in ("late", "feet", "change-over", "scrap", "backlog", "claims"):
        assert planner.get(reverse("orders:shop_figures_csv", args=[key]), query).status_code == 200
    assert planner.get(reverse("orders:shop_figures_csv", args=["nothing"])).status_code == 404
    body = api(Role.PLANNER).get("shop-figures/?period=own&first=2026-11-23&last=2026-12-06").json()
    assert [row["on_time"] for row in body["on_time"]] == [1, 0]
    assert [(row["bundles"], row["short"], row["per_100"]) for row in body["claims"]] == [(0, 0, None)] * 2
    assert api(Role.PLANNER).get("shop-figures/?period=never").status_code == 422


def claim_at(delivery: Delivery, day: date, kind: str, hour: int = 12) -> Claim:
    return claim_open(
        actor=people.actor(Role.DISPATCHER), at=datetime(day.year, day.month, day.day, hour, tzinfo=UTC),
        order=delivery.order, kind=kind, words="Found on site", delivery=delivery,
    )  # fmt: skip


@pytest.mark.django_db
def test_each_number_of_claims_leads_to_the_claims_that_it_counts(settings: Any) -> None:
    settings.SPANYARD_TIME_ZONE = "America/New_York"
    delivery = orders.delivered()
    Delivery.objects.filter(pk=delivery.pk).update(
        loaded_at=datetime(2026, 11, 2, tzinfo=UTC), delivered_at=datetime(2026, 12, 1, 3, tzinfo=UTC)
    )  # November 30 in New York
    bundles = delivery.bundles.count()
    claim_at(delivery, date(2026, 11, 10), "short")
    claim_at(delivery, date(2026, 12, 1), "short", 3)  # still November 30 there
    claim_at(delivery, date(2026, 12, 1), "damaged", 6)
    claim_at(delivery, date(2027, 1, 5), "wrong")
    query = {"period": "own", "first": "2026-11-05", "last": "2026-12-31"}
    manager = client_of(Role.MANAGER)
    text = manager.get(reverse(PAGE), query).content.decode()
    assert f"Claims: {3 / bundles * 100:.1f} for each 100 bundles received" in text
    rows = (
        manager.get(reverse("orders:shop_figures_csv", args=["claims"]), query).content.decode().splitlines()
    )
    assert rows[0].startswith("Month,Bundles,Short,Damaged,Wrong,Other,Short per 100")
    assert rows[1].startswith(f"2026-11,{bundles},2,0,0,0,{200 / bundles:.1f},0.0,0.0,{200 / bundles:.1f}")
    assert rows[2] == "2026-12,0,0,1,0,0,,,,"
    counted = re.findall(r'href="(/orders/claims/[^"]*)">(\d+|[\d-]{7}|All)<', text)
    assert len(counted) == 7, "each month and all of them, as a whole and by each kind that was claimed"
    sums = {"2026-11": 2, "2026-12": 1, "All": 3}
    for url, told in counted:
        shown = manager.get(unescape(url)).content.decode()
        assert len(set(re.findall(r"C-20\d\d-\d+", shown))) == (sums.get(told) or int(told)), url


@pytest.mark.django_db
def test_a_period_that_is_none_is_said_at_its_field_and_an_empty_one_kindly() -> None:
    planner = client_of(Role.PLANNER)
    answer = planner.get(reverse(PAGE), {"period": "own", "first": "2026-12-01", "last": "2026-11-01"})
    assert answer.status_code == 422
    assert "is before the first" in answer.content.decode()
    assert 'value="2026-12-01"' in answer.content.decode()
    assert "Nothing in this period" in planner.get(reverse(PAGE)).content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("role", Role.values)
def test_the_figures_are_for_planner_manager_and_administrator(role: str) -> None:
    allowed = role in ("planner", "manager", "administrator")
    assert client_of(role).get(reverse(PAGE)).status_code == (200 if allowed else 403)


@pytest.mark.django_db
def test_figures_ask_as_often_with_many_rows(django_assert_num_queries: Any) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    order = rolled_order(MONDAY, MONDAY)
    planner = client_of(Role.PLANNER)
    with CaptureQueriesContext(connection) as few:
        planner.get(reverse(PAGE))
    Bundle.objects.bulk_create(
        Bundle(
            order=order, number=n, profile="p", zone="z", length_16=9, weight_lb=9, code=uuid4().hex[:12],
            started_at=orders.AT, finished_at=datetime(2026, 11, 24, tzinfo=UTC),
        )
        for n in range(10, 210)
    )  # fmt: skip
    with django_assert_num_queries(len(few)):
        assert planner.get(reverse(PAGE)).status_code == 200
