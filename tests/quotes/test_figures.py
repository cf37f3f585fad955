"""Figures by hand: a dozen quotes whose every figure is derived in the comments, and their sums under many quotes."""

from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from statistics import median

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from framing.common.actors import person
from framing.common.errors import NotAllowed, Refused
from framing.common.models import Role
from quotes.figures_lists import WHAT, Counted, counted_read, quotes_counted, rows_counted, sums_counted
from quotes.figures_periods import period_read
from quotes.figures_reads import figures_read
from quotes.figures_shapes import Tally
from quotes.figures_whose import ALL, Whose, whose_offered, whose_read
from quotes.models import LostReason
from tests.factories import people
from tests.quotes.figures_history import Ground, Told, fill, local, seller

pytestmark = pytest.mark.django_db

TODAY = date(2026, 4, 20)
QUARTER = period_read("2026-q1", "", "", TODAY)


@pytest.fixture(autouse=True)
def in_edmonton(settings):
    settings.SPANYARD_TIME_ZONE = "America/Edmonton"


class Book:
    """The dozen: Ada and Ben are of team North, Cy of team South."""

    def __init__(self):
        ground = Ground.lay()
        self.ada, self.ben, self.cy = seller("North", "Ada"), seller("North", "Ben"), seller("South", "Cy")

        def told(owner, month, day, currency="USD", year=2026):
            return Told(ground, owner, local(month, day, 9, year=year), currency)

        # 1 plain: 1,100 at a cost of 770, ten days
        told(self.ada, 1, 5).issue(local(1, 5), "1100", cost="770").book(local(1, 15))
        # 2 revised: R2 of 1,800 counts, from the first issue of R1 (twenty days)
        told(self.ada, 1, 10).issue(local(1, 10), "2000", cost="1500").issue(
            local(1, 20), "1800", cost="1440"
        ).book(local(1, 30))
        # 3 declined for its price after twenty days
        told(self.ben, 1, 12).issue(local(1, 12), "900").decline(local(2, 1), "price")
        # 4 lapsed, nobody asked why
        told(self.ben, 1, 2).issue(local(1, 2), "550").lapse(local(2, 1))
        # 5 declined, then revised: open again
        told(self.cy, 2, 3).issue(local(2, 3), "700").decline(local(2, 5), "date").draft(local(2, 6), "650")
        # 6 still open
        told(self.cy, 2, 10).issue(local(2, 10), "400")
        # 7 a draft, never offered
        told(self.cy, 2, 11).draft(local(2, 11), "9999")
        # 8 booked on the last evening of February by Edmonton's clocks (March 1 in UTC), with alternate A
        told(self.ada, 2, 1).issue(local(2, 1), "3000", cost="2700", picks=("2500", "2000")).book(
            local(2, 28, 23), picked=True
        )
        # 9 offered last year, booked at a loss
        told(self.ben, 12, 20, year=2025).issue(local(12, 20, year=2025), "600", cost="660").book(local(1, 3))
        # 10 and 11 in Canadian dollars, over the night when clocks go forward (March 8)
        told(self.cy, 3, 1, "CAD").issue(local(3, 1), "1000").decline(local(3, 11), "other", "Built in wood")
        told(self.cy, 3, 2, "CAD").issue(local(3, 2), "2000", cost="1000").book(local(3, 22))
        # 12 lapsed after the quarter
        told(self.ada, 3, 3).issue(local(3, 3), "800").lapse(local(4, 2))
        # 13 lapsed, and staff found out why
        told(self.ben, 1, 8).issue(local(1, 8), "1000").lapse(local(2, 7), "material")
        # 14 declined, revised, booked: won once, ten days from the first issue
        told(self.ada, 2, 2).issue(local(2, 2), "100").decline(local(2, 4), "price").issue(
            local(2, 6), "120", cost="90"
        ).book(local(2, 12))


@pytest.fixture
def book():
    return Book()


@pytest.fixture
def manager():
    return people.actor(Role.MANAGER)


def by_currency(figures):
    return {each.currency: each for each in figures.currencies}


def tally(count, value):
    return Tally(count, Decimal(value))


def test_win_rate_by_count_and_by_value(book, manager):
    """USD won: 1 (1,100), 2 (1,800), 8 (2,500), 9 (600), 14 (120) = 6,120; declined: 3 (900); lapsed: 4 (550) and
    13 (1,000). CAD won: 11 (2,000); declined: 10 (1,000). Numbers 5, 6, 7 are open, 12 lapsed in April.
    """
    figures = figures_read(manager, QUARTER, ALL)
    found = by_currency(figures)
    assert found["USD"].outcomes == {
        "booked": tally(5, 6120),
        "declined": tally(1, 900),
        "lapsed": tally(2, 1550),
    }
    assert found["CAD"].outcomes == {
        "booked": tally(1, 2000),
        "declined": tally(1, 1000),
        "lapsed": tally(0, 0),
    }
    assert found["USD"].rate_by_count.share == Decimal(5) / 8
    assert found["USD"].rate_by_value.share == Decimal(6120) / 8570
    assert found["CAD"].rate_by_value.share == Decimal(2000) / 3000
    assert figures.rate.share == Decimal("0.6")  # 6 of 10, over both currencies


def test_median_days_from_the_first_issue_to_the_answer(book, manager):
    """Answered: 1 ten days; 2 and 3 twenty; 8 27 days and 11 hours; 9 fourteen; 14 ten; 10 ten and 11 twenty, each an
    hour less for the night of March 8. In order: 9 d 23 h, 10, 10, 14, 19 d 23 h, 20, 20, 27 d 11 h: the middle is
    half of 14 d and 19 d 23 h.
    """
    figures = figures_read(manager, QUARTER, ALL)
    assert figures.answered == 8
    assert figures.median == (timedelta(days=14) + timedelta(days=19, hours=23)) / 2


def test_quoted_and_booked_by_month(book, manager):
    """Quoted USD, by the newest offer: January 1, 2 (1,800), 3, 4, 13 = 5,350; February 5 (700), 6 (400), 8 (the pick,
    2,500), 14 (120) = 3,720; March 12 (800). Number 9 was first issued in 2025. Booked on the last evening of
    February by the company's clocks is February.
    """
    months = by_currency(figures_read(manager, QUARTER, ALL))["USD"].months
    assert [month.key for month in months] == ["2026-01", "2026-02", "2026-03"]
    assert [month.quoted for month in months] == [tally(5, 5350), tally(4, 3720), tally(1, 800)]
    assert [month.booked for month in months] == [tally(3, 3500), tally(2, 2620), tally(0, 0)]
    assert [month.lost for month in months] == [tally(0, 0), tally(3, 2450), tally(0, 0)]


def test_reasons_of_lost_quotes(book, manager):
    """USD: 13 for the material (named afterwards), 3 for its price, 4 never answered; the earlier "price" of 14 and
    "date" of 5 count no more. Equal counts stand by value.
    """
    found = by_currency(figures_read(manager, QUARTER, ALL))
    assert [(row.reason, row.lost) for row in found["USD"].reasons] == [
        ("material", tally(1, 1000)),
        ("price", tally(1, 900)),
        ("silent", tally(1, 550)),
    ]
    assert [(row.reason, row.lost) for row in found["CAD"].reasons] == [("other", tally(1, 1000))]


def test_margin_by_month_of_booked_quotes(book, manager):
    """January: 3,500 at 770 + 1,440 + 660 = 2,870, so 630 / 3,500 = 18 %. February: the pick's 2,500 at 2,000 and 120
    at 90: 530 / 2,620. March: nothing. CAD March: half.
    """
    found = by_currency(figures_read(manager, QUARTER, ALL))
    margins = [month.earned.margin for month in found["USD"].months]
    assert margins == [Decimal("0.18"), Decimal(530) / 2620, None]
    assert found["USD"].earned.margin == Decimal(1160) / 6120
    assert [month.earned.margin for month in found["CAD"].months] == [None, None, Decimal("0.5")]


def test_a_loss_is_a_negative_margin(book, manager):
    """Number 9 alone in its week: (600 - 660) / 600."""
    week = period_read("own", "2026-01-01", "2026-01-04", TODAY)
    (usd,) = figures_read(manager, week, ALL).currencies
    assert usd.earned.margin == Decimal("-0.1")


@pytest.mark.parametrize(
    ("who", "margins", "usd", "cad"),
    [
        ("manager", "all", 5, 1),
        ("ada", "own", 5, 0),
        ("cy", "own", 0, 1),
        ("administrator", "none", None, None),
    ],
)
def test_margins_are_those_that_the_reader_may_see(book, manager, who, margins, usd, cad):
    """Managers see all; Ada hers and Ben's, all of the USD; Cy the one in CAD; the administrator none."""
    actor = {
        "manager": manager,
        "ada": person(book.ada),
        "cy": person(book.cy),
        "administrator": people.actor(Role.ADMINISTRATOR),
    }[who]
    figures = figures_read(actor, QUARTER, ALL)
    found = by_currency(figures)
    assert figures.margins == margins
    assert found["USD"].won.count == 5  # what counts as won is the same for all
    assert [each.earned and each.earned.count for each in (found["USD"], found["CAD"])] == [usd, cad]
    assert all((month.earned is None) == (margins == "none") for month in found["USD"].months)


def test_a_quote_with_two_offers_counts_once_by_the_newer(manager):
    """R2 of 1,300 replaced R1 of 1,000 before the builder declined; another's R2 is still open."""
    ground, ada = Ground.lay(), seller("North")
    lost = Told(ground, ada, local(1, 5)).issue(local(1, 5), "1000").issue(local(1, 9), "1300")
    lost.decline(local(1, 20), "price")
    Told(ground, ada, local(2, 5)).issue(local(2, 5), "400").issue(local(2, 9), "500")
    (usd,) = figures_read(manager, QUARTER, ALL).currencies
    assert usd.outcomes["declined"] == tally(1, 1300)
    assert [month.quoted for month in usd.months] == [tally(1, 1300), tally(1, 500), tally(0, 0)]
    assert [row.lost for row in usd.reasons] == [tally(1, 1300)]


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER])
def test_who_sees_no_prices_gets_no_figures(role):
    with pytest.raises(NotAllowed):
        figures_read(people.actor(role), QUARTER, ALL)
    with pytest.raises(NotAllowed):
        quotes_counted(people.actor(role), QUARTER, ALL, Counted("decided"))


def test_a_seller_or_a_team_alone(book, manager):
    """Ben: 3 declined, 4 and 13 lapsed, 9 booked. North is Ada and Ben."""
    ben = figures_read(manager, QUARTER, Whose(f"seller:{book.ben.pk}", "Ben"))
    assert [ben.count(stage) for stage in ("booked", "declined", "lapsed")] == [1, 1, 2]
    north = by_currency(figures_read(manager, QUARTER, Whose("team:North")))
    assert set(north) == {"USD"}
    assert north["USD"].won == tally(5, 6120)


def test_an_april_that_has_one_lapse(book, manager):
    """Number 12: decided in April, quoted in March."""
    april = figures_read(manager, period_read("2026-04", "", "", TODAY), ALL)
    (usd,) = april.currencies
    assert (usd.decided, usd.quoted) == (tally(1, 800), tally(0, 0))
    assert usd.rate_by_count.share == 0
    assert april.median is None


def test_a_period_without_anything(book, manager):
    figures = figures_read(manager, period_read("2019", "", "", TODAY), ALL)
    assert figures.currencies == ()
    assert (figures.rate.share, figures.median_days, figures.answered) == (None, None, 0)


# --- the quotes behind a figure ---


def numbers(manager, counted, period=QUARTER, whose=ALL):
    rows = quotes_counted(manager, period, whose, counted)
    return len(rows), sum((row.value for row in rows), Decimal(0))


def test_each_figure_leads_to_the_quotes_that_it_counts(book, manager):
    figures = figures_read(manager, QUARTER, ALL)
    for each in figures.currencies:
        for what in ("booked", "declined", "lapsed"):
            tally = each.outcomes[what]
            assert numbers(manager, Counted(what, each.currency)) == (tally.count, tally.value)
        for reason in each.reasons:
            counted = Counted("lost", each.currency, reason=reason.reason)
            assert numbers(manager, counted) == (reason.lost.count, reason.lost.value)
        for month in each.months:
            for what, tally in (("quoted", month.quoted), ("booked", month.booked), ("lost", month.lost)):
                counted = Counted(what, each.currency, month.first)
                assert numbers(manager, counted) == (tally.count, tally.value)
            earned = numbers(manager, Counted("margin", each.currency, month.first))
            assert earned == (month.earned.count, month.earned.price)
    assert numbers(manager, Counted("answered"))[0] == figures.answered
    assert numbers(manager, Counted("decided"))[0] == figures.rate.decided


def test_a_month_of_the_list_stays_within_the_period(book, manager):
    """Own days from January 16: of January's bookings only number 2 (the 30th)."""
    period = period_read("own", "2026-01-16", "2026-02-10", TODAY)
    assert numbers(manager, Counted("booked", "USD", date(2026, 1, 1)), period) == (1, 1800)


def test_the_list_says_days_reason_and_margin(book, manager):
    rows = rows_counted(quotes_counted(manager, QUARTER, ALL, Counted("lost", "USD")), margins=False)
    assert [(row.first_day, row.decided_day, row.reason, row.margin) for row in rows] == [
        (date(2026, 1, 8), date(2026, 2, 7), "Another material", None),
        (date(2026, 1, 2), date(2026, 2, 1), "No answer", None),  # told after number 3, the same hour
        (date(2026, 1, 12), date(2026, 2, 1), "The price", None),
    ]
    booked = rows_counted(quotes_counted(manager, QUARTER, ALL, Counted("margin", "CAD")), margins=True)
    assert [row.margin for row in booked] == [Decimal("0.5")]
    open_ones = rows_counted(quotes_counted(manager, QUARTER, ALL, Counted("quoted")), margins=False)
    assert sum(row.decided_day is None for row in open_ones) == 2  # 5 and 6


def test_the_list_of_margins_holds_ones_own_alone(book):
    assert numbers(person(book.cy), Counted("margin"))[0] == 1
    assert numbers(people.actor(Role.ADMINISTRATOR), Counted("margin"))[0] == 0


def test_sums_of_a_list_stand_by_currency(book, manager):
    rows = quotes_counted(manager, QUARTER, ALL, Counted("decided"))
    assert sums_counted(rows) == [("CAD", tally(2, 3000)), ("USD", tally(8, 8570))]


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (("won", "", "", ""), "what"),
        (("lost", "", "2026-13", ""), "month"),
        (("lost", "", "1899-01", ""), "month"),
        (("lost", "", "", "weather"), "reason"),
    ],
)
def test_a_list_that_is_none_is_refused(asked, field):
    with pytest.raises(Refused) as error:
        counted_read(*asked)
    assert error.value.field == field


def test_sellers_and_teams_to_choose_from(book):
    offered = whose_offered()
    labels = [whose.label for whose in offered]
    assert labels[0] == "All sellers"
    assert {"Team North", "Team South", "Ada", "Ben", "Cy"} <= set(labels)
    with pytest.raises(Refused) as error:
        whose_read("seller:999999", offered)
    assert error.value.field == "who"


# --- many quotes ---


def many(count, seed):
    """Random quotes of three sellers in two currencies over half a year, and what a plain loop makes of them."""
    rng, ground = Random(seed), Ground.lay()  # noqa: S311 - sums, no secrets
    sellers = [seller("North"), seller("North"), seller("")]
    kept = []
    for _ in range(count):
        owner, currency = rng.choice(sellers), rng.choice(["USD", "CAD"])
        first = local(rng.randint(1, 5), rng.randint(1, 28), rng.randint(0, 23))
        price, cost = Decimal(rng.randint(1000, 90000)) / 10, Decimal(rng.randint(500, 90000)) / 10
        told = Told(ground, owner, first, currency).issue(first, str(price), cost=str(cost))
        at = first + timedelta(hours=rng.randint(1, 900))
        end = rng.choice(["booked", "declined", "lapsed", "open"])
        reason = ""
        if end == "booked":
            told.book(at)
        elif end == "declined":
            reason = rng.choice([value for value in LostReason.values if value != "silent"])
            told.decline(at, reason, "Said so")
        elif end == "lapsed":
            reason = "silent"
            told.lapse(at)
        kept.append((owner, currency, first, at, price, cost, end, reason))
    return sellers, kept


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_sums_agree_with_a_plain_loop(seed, manager):
    """Months add up to the period, sellers to the company, rates lie within 0 and 1, and the median is the middle."""
    sellers, kept = many(40, seed)
    year = period_read("2026", "", "", TODAY)
    figures = figures_read(manager, year, ALL)
    found = by_currency(figures)
    won, decided, reasons = defaultdict(Decimal), defaultdict(int), defaultdict(int)
    for _, currency, _, _, price, _, end, reason in kept:
        if end != "open":
            decided[currency] += 1
            won[currency] += price if end == "booked" else 0
        if reason:
            reasons[currency, reason] += 1
    for currency, each in found.items():
        assert each.won.value == won[currency]
        assert each.decided.count == decided[currency]
        assert {(currency, row.reason): row.lost.count for row in each.reasons} == {
            key: value for key, value in reasons.items() if key[0] == currency
        }
        assert sum(month.booked.value for month in each.months) == each.won.value
        assert sum(month.lost.count for month in each.months) == each.lost.count
        assert sum(month.quoted.count for month in each.months) == each.quoted.count
        assert sum(month.earned.price for month in each.months) == each.earned.price == each.won.value
        assert 0 <= each.rate_by_count.share <= 1
        assert 0 <= each.rate_by_value.share <= 1
    took = [at - first for _, _, first, at, *_, end, _ in kept if end in ("booked", "declined")]
    assert abs(figures.median - median(took)) < timedelta(milliseconds=1)
    alone = [figures_read(manager, year, Whose(f"seller:{owner.pk}")) for owner in sellers]
    for currency, each in found.items():
        parts = [by_currency(one)[currency] for one in alone if currency in by_currency(one)]
        assert sum(part.won.value for part in parts) == each.won.value
        assert sum(part.decided.count for part in parts) == each.decided.count
        assert sum(part.quoted.value for part in parts) == each.quoted.value
    assert sum(one.answered for one in alone) == figures.answered


def test_as_many_queries_for_ten_quotes_as_for_five_hundred(manager):
    """Sums are the database's: five queries, whatever stands behind them."""
    year, ground, owner = period_read("2026", "", "", TODAY), Ground.lay(), seller("North")

    def queries():
        with CaptureQueriesContext(connection) as caught:
            figures = figures_read(manager, year, ALL)
        return len(caught), figures.count("booked"), figures.count("lapsed")

    fill(ground, owner, 8, local(2, 1))
    assert queries() == (5, 2, 2)
    fill(ground, owner, 492, local(2, 2))
    assert queries() == (5, 125, 125)


def test_periods_by_their_names():
    quarter = period_read("2026-q4", "", "", TODAY)
    assert (quarter.first, quarter.last) == (date(2026, 10, 1), date(2026, 12, 31))
    assert quarter.name == "4th quarter of 2026"
    assert [near.key for near in quarter.neighbours] == ["2026-q3", "2027-q1"]
    month = period_read("2026-12", "", "", TODAY)
    assert (month.name, [near.key for near in month.neighbours]) == ("December 2026", ["2026-11", "2027-01"])
    year = period_read("2026", "", "", TODAY)
    assert (len(year.months), [near.key for near in year.neighbours]) == (12, ["2025", "2027"])
    last = period_read("", "", "", TODAY)
    assert (last.first, last.last) == (date(2025, 5, 1), date(2026, 4, 30))
    assert last.neighbours == (None, None)
    own = period_read("own", "2026-01-31", "2026-03-01", TODAY)
    assert own.months == (date(2026, 1, 1), date(2026, 2, 1), date(2026, 3, 1))
    assert own.name == "January 31, 2026 to March 1, 2026"
    assert period_read(own.key, own.query["first"], own.query["last"], TODAY) == own
    assert period_read("2000-01", "", "", TODAY).neighbours[0] is None


def test_a_day_begins_and_ends_by_the_companys_clocks():
    """March 8, 2026 has 23 hours in Edmonton."""
    start, end = period_read("own", "2026-03-08", "2026-03-08", TODAY).bounds
    assert end.timestamp() - start.timestamp() == 23 * 3600
    assert (start.hour, end.hour) == (7, 6)  # in UTC


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        (("2026-13", "", ""), "period"),
        (("2026-q5", "", ""), "period"),
        (("1999", "", ""), "period"),
        (("soon", "", ""), "period"),
        (("own", "", "2026-01-01"), "first"),
        (("own", "2026-02-30", "2026-03-01"), "first"),
        (("own", "2026-01-01", ""), "last"),
        (("own", "2026-01-02", "2026-01-01"), "last"),
        (("own", "2010-01-01", "2026-01-01"), "last"),
        (("own", "0001-01-01", "2026-01-01"), "first"),
    ],
)
def test_a_period_that_is_none_is_refused_at_its_field(asked, field):
    with pytest.raises(Refused) as error:
        period_read(*asked, TODAY)
    assert error.value.field == field


def test_every_list_has_words():
    assert set(WHAT) == {"quoted", "decided", "booked", "lost", "declined", "lapsed", "answered", "margin"}
    assert replace(QUARTER, key="2026-q2").name == "2nd quarter of 2026"
