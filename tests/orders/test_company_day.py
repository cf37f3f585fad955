"""What people call today is the day where the company is, also in the evening, when it is tomorrow in UTC already."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from framing.common.actors import SYSTEM
from framing.common.models import Role
from orders import services
from orders.models import Delivery
from orders.waiting import Row, waiting_for
from quotes.models import PriceBook
from tests.factories import orders, people, projects, quotes

pytestmark = pytest.mark.django_db
EVENING = datetime(2026, 11, 19, 1, 30, tzinfo=UTC)  # in New York it is the 18th, 20:30
TODAY = date(2026, 11, 18)


def rows(role: Role, title: str) -> list[Row]:
    found = {section.title: section for section in waiting_for(people.user(role), EVENING)}
    return list(found[title].rows) if title in found else []


@pytest.mark.parametrize(("day", "title"), [(TODAY, "Today and overdue"), (TODAY + timedelta(1), "Planned")])
def test_tomorrows_delivery_is_not_due_in_the_evening(day: date, title: str) -> None:
    delivery = orders.planned()
    Delivery.objects.update(planned_for=day)
    (row,) = rows(Role.DISPATCHER, title)
    assert row.url.endswith(f"/{delivery.public_id}/")


def test_what_came_in_the_evening_is_of_that_day() -> None:
    order = orders.delivered().order
    services.claim_open(
        actor=people.actor(Role.MANAGER), at=EVENING, order=order, kind="short", words="Two are missing",
        bundle=order.bundles.first(),
    )  # fmt: skip
    (row,) = rows(Role.DISPATCHER, "Claims to decide")
    assert row.when == TODAY


def test_the_lead_time_counts_from_the_day_of_booking() -> None:
    quote = quotes.accepted().quote
    order = services.order_book(actor=SYSTEM, at=EVENING, quote=quote)
    assert order.deliver_on == TODAY + timedelta(order.revision.lead_time_days)


def test_a_price_book_may_begin_today_in_the_evening_and_prices_the_same_evening() -> None:
    quotes.price_book()
    dearer = quotes.services.price_book_import(
        actor=people.actor(Role.MANAGER),
        data=quotes.price_document(number=2, valid_from=TODAY),
        at=EVENING,
    )
    assert PriceBook.objects.in_force(TODAY).get() == dearer
    later = quotes.services.price_book_import(
        actor=people.actor(Role.MANAGER),
        data=quotes.price_document(number=3, valid_from=TODAY + timedelta(1)),
        at=EVENING,
    )
    home = projects.project()
    projects.floor(home)
    draft = quotes.services.quote_create(actor=people.actor(Role.MANAGER), project=home, at=EVENING)
    assert draft.price_book == dearer != later
