"""Days of deliveries: past and shut ones, windows by the site's clock, and two dispatchers at once."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, time, timedelta
from threading import Barrier
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from framing.common.errors import ApplicationError, Clash, Refused
from framing.common.models import Role
from framing.projects.models import Site
from orders import delivery_board_views, services
from orders.delivery_days import clock_words, next_working_day, shut_days, week_words
from orders.delivery_reads import board
from orders.models import Closure, Delivery, DeliveryMove
from orders.selectors import delivery_get
from tests.factories import deliveries, orders, people
from tests.factories.notices import choose

pytestmark = pytest.mark.django_db
AT = orders.AT
DAY = orders.PLANNED_FOR
CHRISTMAS = date(2098, 12, 25)


def client(name: str = "") -> Client:
    user = people.user(Role.DISPATCHER)
    if name:
        user.name = name
        user.save()
    return people.client_of(user)


def text(response: Any) -> str:
    return str(response.content.decode())


def of_alberta() -> None:
    services.line_settings_save(actor=people.actor(Role.PLANNER), at=AT, country="CA", subdivision="AB")


def url(delivery: Delivery, name: str = "reschedule") -> str:
    return reverse(f"orders:delivery_{name}", args=[delivery.public_id])


# --- days on which the company is shut ---


def test_public_holidays_and_closures_of_the_whole_shop_are_shut_and_a_lines_are_not() -> None:
    of_alberta()
    by = people.user(Role.PLANNER)
    Closure.objects.create(day=DAY, words="stock-taking", made_by=by)
    found = shut_days([DAY, CHRISTMAS, CHRISTMAS + timedelta(days=2)])
    assert found[DAY] == "stock-taking"
    assert "Christmas" in found[CHRISTMAS]
    assert CHRISTMAS + timedelta(days=2) not in found


def test_a_shut_day_is_refused_until_somebody_says_that_it_goes_all_the_same() -> None:
    of_alberta()
    order = orders.bundled()
    with pytest.raises(Refused, match="Christmas Day: we are shut") as refusal:
        deliveries.made(order, planned_for=CHRISTMAS)
    assert refusal.value.field == "planned_for"
    delivery = deliveries.made(order, planned_for=CHRISTMAS, shut_ok=True)
    with pytest.raises(Refused, match="we are shut"):
        deliveries.moved(delivery, planned_for=CHRISTMAS.replace(year=2097))
    moved = deliveries.moved(delivery, planned_for=CHRISTMAS)
    assert moved.window_from == time(7, 30), "the day stays, so it is not asked again"


def test_the_form_asks_only_where_we_are_shut_and_keeps_what_was_typed() -> None:
    of_alberta()
    delivery, who = orders.planned(), client()
    asked = {
        "planned_for": str(CHRISTMAS),
        "why": "The crane is free.",
        "window_from": "07:30",
        "window_to": "09:00",
    }
    assert "shut_ok" not in text(who.get(url(delivery)))
    refused = who.post(url(delivery), asked)
    assert refused.status_code == 422
    shown = text(refused)
    assert "Christmas Day: we are shut" in shown
    assert 'name="shut_ok"' in shown
    assert "The crane is free." in shown
    assert who.post(url(delivery), asked | {"shut_ok": "on"}).status_code == 302
    assert Delivery.objects.get().planned_for == CHRISTMAS


def test_a_new_delivery_asks_too_and_by_the_operation() -> None:
    of_alberta()
    order, who = orders.bundled(), client()
    asked = {"planned_for": str(CHRISTMAS), "contact": "Rae"}
    form = reverse("orders:delivery_new", args=[order.public_id])
    assert 'name="shut_ok"' in text(who.post(form, asked))
    path = f"/api/v1/orders/{order.public_id}/deliveries/"
    refused = who.post(path, asked, content_type="application/json")
    assert (refused.status_code, refused.json()["field"]) == (422, "planned_for")
    assert who.post(path, asked | {"shut_ok": True}, content_type="application/json").status_code == 201


def test_the_board_says_why_a_day_is_shut() -> None:
    of_alberta()
    row = next(row for row in board(CHRISTMAS, 1, AT.date(), AT).rows)
    assert (row.closed, "Christmas" in row.shut) == (True, True)
    page = client().get(reverse("orders:delivery_board") + f"?day={CHRISTMAS}")
    assert "Shut: Christmas Day" in text(page)


# --- the week that the board opens at ---

FRIDAY, SATURDAY, SUNDAY, MONDAY = (date(2098, 11, day) for day in (21, 22, 23, 24))


def closed(*days: date) -> None:
    by = people.user(Role.PLANNER)
    Closure.objects.bulk_create(Closure(day=day, words="stock-taking", made_by=by) for day in days)


@pytest.fixture
def board_at(monkeypatch: pytest.MonkeyPatch, settings: Any) -> Callable[..., str]:
    """The board's page as it is at a moment; the company's clock is Edmonton's."""
    settings.SPANYARD_TIME_ZONE = "America/Edmonton"
    who = client()

    def shown(at: datetime | date, query: str = "") -> str:
        moment = at if isinstance(at, datetime) else datetime.combine(at, time(18), UTC)
        monkeypatch.setattr(delivery_board_views, "database_now", lambda: moment)
        return text(who.get(reverse("orders:delivery_board") + query))

    return shown


@pytest.mark.parametrize("today", [SATURDAY, SUNDAY])
def test_on_a_weekend_the_board_opens_at_the_week_that_comes(
    board_at: Callable[..., str], today: date
) -> None:
    page = board_at(today)
    assert "Next week, Nov 24 to Nov 30, 2098" in page
    assert "Nothing more is loaded before Monday, November 24." in page
    assert "Next working day" in page
    assert "?span=week&amp;day=2098-11-17" in page, "the week that is over is one step back"
    assert "?span=week&amp;day=2098-12-01" in page
    asked = board_at(today, f"?day={today}")
    assert "This week, Nov 17 to Nov 23, 2098" in asked
    assert "Nothing more is loaded" not in asked


def test_on_a_working_day_it_opens_at_its_own_week_and_says_how_far_off_others_are(
    board_at: Callable[..., str],
) -> None:
    page = board_at(FRIDAY)
    assert "This week, Nov 17 to Nov 23, 2098" in page
    assert ">Today</a>" in page
    assert "Next working day" not in page
    words = {day: week_words(day, FRIDAY) for day in (date(2098, 11, 10), date(2098, 11, 3), SUNDAY, MONDAY)}
    assert list(words.values()) == ["Last week", "2 weeks ago", "This week", "Next week"]
    assert week_words(date(2098, 12, 7), FRIDAY) == "In 2 weeks"


def test_a_shut_monday_and_a_shut_fortnight_are_passed_over(board_at: Callable[..., str]) -> None:
    closed(MONDAY)
    assert next_working_day(SATURDAY) == date(2098, 11, 25)
    assert "before Tuesday, November 25." in board_at(MONDAY)
    closed(*(MONDAY + timedelta(days=step) for step in range(1, 19)))
    assert next_working_day(SATURDAY) == date(2098, 12, 15)
    assert "In 4 weeks, Dec 15 to Dec 21, 2098" in board_at(SATURDAY)
    assert next_working_day(FRIDAY) == FRIDAY


def test_at_the_years_end_it_opens_in_the_new_year(board_at: Callable[..., str]) -> None:
    of_alberta()
    new_years_day = date(2100, 1, 1)  # a Friday, and a holiday
    assert new_years_day in shut_days([new_years_day])
    assert next_working_day(new_years_day) == date(2100, 1, 4)
    assert "Next week, Jan 4 to Jan 10, 2100" in board_at(new_years_day)
    assert "January 2100" in board_at(new_years_day, "?span=month")
    closed(*(date(2099, 12, day) for day in (28, 29, 30, 31)))
    assert "In 2 weeks, Jan 4 to Jan 10, 2100" in board_at(date(2099, 12, 26))


def test_what_is_still_to_load_on_a_shut_day_keeps_its_week_in_sight(board_at: Callable[..., str]) -> None:
    delivery = orders.planned()
    Delivery.objects.update(planned_for=SUNDAY)
    page = board_at(SATURDAY)
    assert "This week, Nov 17 to Nov 23, 2098" in page
    assert delivery.number in page
    Delivery.objects.update(loaded_at=AT)
    under_way = board_at(SATURDAY)
    assert "Next week" in under_way
    assert "Loaded before, not received yet" in under_way
    assert delivery.number in under_way
    assert "Loaded before" not in board_at(SATURDAY, f"?day={SATURDAY}"), "its own week shows it"
    Delivery.objects.update(delivered_at=AT, received_by="Rae")
    assert delivery.number not in board_at(SATURDAY)


def test_which_day_it_is_goes_by_the_companys_own_clock(board_at: Callable[..., str]) -> None:
    """5:00 of Saturday UTC is Friday night in Edmonton, 8:00 is Saturday there."""
    assert "This week, Nov 17" in board_at(datetime(2098, 11, 22, 5, tzinfo=UTC))
    assert "Next week, Nov 24" in board_at(datetime(2098, 11, 22, 8, tzinfo=UTC))


# --- past days, windows, the site's clock ---


@pytest.mark.parametrize(
    ("zone", "days"), [("Pacific/Honolulu", -1), ("America/New_York", 0), ("Pacific/Auckland", 0)]
)
def test_today_is_the_sites_own(zone: str, days: int) -> None:
    """At 3:00 UTC it is still the day before in Honolulu, at 22:00 that of New York: both may be planned for."""
    delivery = orders.planned()
    Site.objects.update(time_zone=zone)
    delivery = delivery_get(delivery.public_id)
    at = datetime(2026, 8, 20, 3 if days else 22, tzinfo=UTC)
    today = date(2026, 8, 20) + timedelta(days=days + (zone == "Pacific/Auckland"))

    def moved_to(day: date) -> Delivery:
        return services.delivery_reschedule(
            actor=deliveries.dispatcher(), at=at, delivery=delivery, planned_for=day, why="x"
        )

    with pytest.raises(Refused, match="is over; plan today or later"):
        moved_to(today - timedelta(days=1))
    assert moved_to(today).planned_for == today


def test_the_form_says_whose_clock_it_is_and_how_far_off_ours(settings: Any) -> None:
    settings.SPANYARD_TIME_ZONE = "America/Edmonton"
    at = datetime(2026, 8, 20, 12, tzinfo=UTC)
    assert clock_words("America/St_Johns", at) == (
        "The site's own clock, Newfoundland (St Johns): 3 hours 30 minutes ahead of ours."
    )
    assert clock_words("America/Vancouver", at).endswith("1 hour behind ours.")
    assert clock_words("America/Denver", at).endswith("it shows what ours shows.")
    delivery = orders.planned()
    Site.objects.update(time_zone="America/St_Johns")
    who = client()
    assert "Newfoundland (St Johns)" in text(who.get(url(delivery)))
    deliveries.moved(delivery)
    assert "Newfoundland (St Johns)" in text(who.get(url(delivery, "page")))


def test_a_window_that_ends_before_it_begins_is_refused_at_its_field_and_stays_typed() -> None:
    delivery, who = orders.planned(), client()
    shown = who.post(
        url(delivery),
        {"planned_for": "2099-02-03", "window_from": "09:00", "window_to": "07:30", "why": "Rain."},
    )
    assert shown.status_code == 422
    assert "The window ends at 7:30, not after it begins at 9:00." in text(shown)
    assert all(
        kept in text(shown) for kept in ('value="09:00"', 'value="07:30"', "Rain.", 'value="2099-02-03"')
    )


# --- two dispatchers at once ---


def test_who_comes_second_is_told_what_the_first_did_and_may_send_it_again() -> None:
    delivery, one, two = orders.planned(), client("Dina Fairlie"), client("Otto Kern")
    seen = {"planned_for": "2099-02-03", "why": "Rain.", "edition": delivery.edition}
    other = seen | {"planned_for": "2099-02-04", "why": "The crane is free."}
    assert one.post(url(delivery), seen).status_code == 302
    clash = two.post(url(delivery), other)
    assert clash.status_code == 422
    shown = text(clash)
    assert "Dina Fairlie changed delivery" in shown
    assert "February 3, 2099" in shown
    assert "The crane is free." in shown
    assert 'name="edition" value="2"' in shown
    assert two.post(url(delivery), other | {"edition": 2}).status_code == 302
    assert [move.to_day for move in DeliveryMove.objects.order_by("id")] == [
        date(2099, 2, 3),
        date(2099, 2, 4),
    ]


@pytest.mark.parametrize(
    ("name", "asked"),
    [("change", {"contact": "Kit", "gear": "crane"}), ("drop", {"why": "sold"})],
)
def test_changing_and_dropping_mind_what_was_seen_too(name: str, asked: dict[str, Any]) -> None:
    delivery, who = orders.planned(), client()
    assert f'name="edition" value="{delivery.edition}"' in text(who.get(url(delivery, name)))
    deliveries.moved(delivery)
    assert "while you were here" in text(who.post(url(delivery, name), asked | {"edition": delivery.edition}))
    assert Delivery.objects.get().state == "planned"
    assert who.post(url(delivery, name), asked | {"edition": delivery.edition + 1}).status_code == 302


def test_a_tampered_edition_is_refused_in_words() -> None:
    delivery, who = orders.planned(), client()
    answer = who.post(url(delivery), {"planned_for": "2099-02-03", "why": "x", "edition": "<b>"})
    assert answer.status_code == 422
    assert DeliveryMove.objects.count() == 0


def test_an_operation_may_name_the_edition_it_saw() -> None:
    delivery, who = orders.planned(), client()
    path = f"/api/v1/deliveries/{delivery.public_id}/day/"
    asked = {"planned_for": "2099-02-03", "why": "Rain.", "edition": 1}
    assert who.post(path, asked, content_type="application/json").json()["edition"] == 2
    second = who.post(path, asked | {"planned_for": "2099-02-04"}, content_type="application/json")
    assert second.status_code == 409


@pytest.mark.django_db(transaction=True)
def test_of_six_dispatchers_who_saw_the_same_one_moves_it() -> None:
    delivery, who = orders.planned(), deliveries.dispatcher()
    barrier = Barrier(6)

    def one(number: int) -> Any:
        try:
            barrier.wait()
            return services.delivery_reschedule(
                actor=who,
                at=AT,
                delivery=delivery,
                planned_for=DAY + timedelta(days=number + 1),
                why="x",
                edition=1,
            )
        except ApplicationError as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(one, range(6)))
    assert sum(isinstance(answer, Delivery) for answer in answers) == 1
    assert sum(isinstance(answer, Clash) for answer in answers) == 5
    assert DeliveryMove.objects.count() == 1


# --- who learns of it ---


@pytest.mark.parametrize(
    ("on", "address", "words"),
    [
        (True, "rae@winter.example", "The builder is told by mail to rae@winter.example."),
        (True, "", "has no mail address here: call."),
        (False, "rae@winter.example", "The builder is not mailed; call if he should know."),
    ],
)
def test_who_moves_a_delivery_reads_whether_the_builder_learns_of_it(
    on: bool, address: str, words: str
) -> None:
    delivery, who = orders.planned(), client()
    builder = delivery.order.revision.quote.project.builder
    type(builder).objects.filter(pk=builder.pk).update(email=address)
    choose("moved", "builder", on)
    done = who.post(url(delivery), {"planned_for": "2099-02-03", "why": "Rain."}, follow=True)
    assert words in text(done)
