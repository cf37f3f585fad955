"""Figures and pipeline as pages, workbooks and operations: the same numbers, and margins only for who may see them."""

import io
import re
import zipfile
from datetime import date
from decimal import Decimal
from html import unescape

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from python_calamine import load_workbook

from framing.common.models import Role
from framing.projects.models import Project
from quotes import figures_views, pipeline_views
from quotes.api import figures as operations
from tests.factories import people
from tests.quotes.figures_history import Ground, Told, fill, local, seller

pytestmark = pytest.mark.django_db
NOW = local(4, 20)
QUARTER = {"period": "2026-q1"}


@pytest.fixture(autouse=True)
def in_edmonton(settings, monkeypatch):
    """The company's zone, and April 20, 2026 for what asks the database's clock."""
    settings.SPANYARD_TIME_ZONE = "America/Edmonton"
    for module in (figures_views, pipeline_views, operations):
        monkeypatch.setattr(module, "database_now", lambda: NOW)


class Story:
    """Four quotes of the first quarter in USD, one in CAD, one open offer; Ada and Cy are in no team together."""

    def __init__(self):
        ground = Ground.lay()
        self.ada, self.cy = seller("North", "Ada Byrd"), seller("", "Cy Ott")

        def told(owner, month, day, currency="USD"):
            return Told(ground, owner, local(month, day), currency)

        told(self.ada, 1, 5).issue(local(1, 5), "1100", cost="770").book(local(1, 15))  # 30 %
        told(self.cy, 2, 1).issue(local(2, 1), "2000", cost="1010").book(local(2, 9))  # 49.5 %
        told(self.ada, 2, 2).issue(local(2, 2), "900").decline(local(2, 7), "price")
        told(self.cy, 2, 3).issue(local(2, 3), "550").lapse(local(3, 5))
        told(self.cy, 3, 3, "CAD").issue(local(3, 3), "700").decline(local(3, 7), "other", "=HYPERLINK(1)")
        self.open = told(self.cy, 4, 10).issue(local(4, 10), "4000", days=12)


@pytest.fixture
def story():
    return Story()


def client_of(who):
    return people.client_of(who)


def page(client, name, **query):
    answer = client.get(reverse(f"quotes:{name}", query=query))
    return answer, unescape(answer.content.decode())


def rates(text):
    return re.findall("[\N{MINUS SIGN}\\d.]+ %", text)


def test_a_manager_reads_rates_months_reasons_and_margins(story):
    """USD: 3,100 won of 4,550; by count 2 of 4, over both currencies 2 of 5. Margin 1,320 / 3,100 = 42.6 %."""
    answer, text = page(client_of(Role.MANAGER), "figures", **QUARTER)
    assert answer.status_code == 200
    assert "1st quarter of 2026" in text
    assert {"40.0 %", "68.1 %", "0.0 %", "30.0 %", "49.5 %", "42.6 %"} <= set(rates(text))
    assert "2 of 5 decided" in text
    assert "$3,100.00 of $4,550.00" in text
    assert {"The price", "No answer", "Another reason"} <= set(re.findall(r'<th scope="row">([^<]+)', text))
    assert "booked ÷ (booked + declined + lapsed)" in text
    assert (
        text.count('role="img"') == 10
    )  # values and reasons in two currencies, margins in one; each for two widths


@pytest.mark.parametrize("who", ["administrator", "cy", "ada"])
def test_margins_of_others_stand_nowhere(story, who):
    """Neither on the page, in its drawings, in the workbook, in the lists, nor in the API."""
    user = {"cy": story.cy, "ada": story.ada}.get(who) or people.user(Role.ADMINISTRATOR)
    client = client_of(user)
    _, text = page(client, "figures", **QUARTER)
    _, listed = page(client, "figures_quotes", what="margin", **QUARTER)
    sheet = b"".join(
        str(row).encode()
        for rows in read_workbook(client, "figures_xlsx", **QUARTER).values()
        for row in rows
    ).decode()
    api = client.get("/api/v1/figures/", QUARTER).content.decode()
    listed_api = client.get("/api/v1/figures/quotes/", {**QUARTER, "what": "margin"}).content.decode()
    margins = {"ada": ("30.0 %", "0.3"), "cy": ("49.5 %", "0.495")}
    for owner, (percent, share) in margins.items():
        sees = owner == who
        assert (percent in rates(text)) == sees
        assert (percent in rates(listed)) == sees
        assert (f'"margin":"{share}' in api) == sees
        assert (f'"margin":"{share}' in listed_api) == sees
        assert (f" {share}]" in sheet) == sees
    assert ("Margin" in text) == (who != "administrator")
    assert ("own and your team" in text) == (who != "administrator")


@pytest.mark.parametrize("role", [Role.PLANNER, Role.SHOP, Role.DISPATCHER])
def test_who_sees_no_prices_is_refused(role):
    client = client_of(role)
    for name in ("figures", "figures_quotes", "figures_xlsx", "pipeline", "pipeline_xlsx"):
        assert page(client, name)[0].status_code == 403
    for address in ("figures/", "figures/quotes/", "pipeline/"):
        assert client.get(f"/api/v1/{address}").status_code == 403
    assert reverse("quotes:figures") not in client.get("/").content.decode()


def test_each_figure_leads_to_the_quotes_that_it_counts(story):
    client = client_of(Role.MANAGER)
    _, text = page(client, "figures", **QUARTER)
    links = re.findall(r'<td class="num"><a href="([^"]+figures/quotes/[^"]+)">([^<]+)</a>', text)
    assert len(links) > 20
    for address, words in links:
        answer = client.get(address)
        assert answer.status_code == 200
        listed = unescape(answer.content.decode())
        rows = len(re.findall(r'<th scope="row" data-label="Quote">', listed))
        assert rows > 0
        if words.isdigit():
            assert rows == int(words), address
        elif "$" in words:
            assert f'<td class="num">{words}</td>' in listed, address  # the sum of the list


def test_the_list_says_what_it_counts(story):
    client = client_of(Role.MANAGER)
    _, text = page(
        client, "figures_quotes", what="lost", currency="USD", month="2026-02", reason="price", **QUARTER
    )
    heading = " ".join(re.sub("<[^>]+>", " ", re.search(r"<h1[^>]*>(.+?)</h1>", text)[1]).split())
    assert heading == "Quotes lost February 2026, within 1st quarter of 2026, USD, reason: The price"
    assert "Feb 7, 2026" in text
    assert "Ada Byrd" in text
    empty = page(client, "figures_quotes", what="lost", month="2026-01", **QUARTER)[1]
    assert "No quote counts here" in empty


def test_a_list_that_is_none_says_so(story):
    answer, text = page(client_of(Role.MANAGER), "figures_quotes", what="weather")
    assert answer.status_code == 422
    assert "“weather” is no figure" in text


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ({"period": "own", "first": "2026-05-01", "last": "2026-04-01"}, "is before the first, May 1, 2026"),
        ({"period": "own", "first": "", "last": "2026-04-01"}, "Name the first day"),
        ({"period": "soon"}, "“soon” is no period"),
        ({"who": "seller:424242"}, "Nobody who owns quotes"),
    ],
)
def test_a_refused_period_is_said_at_its_field_and_nothing_typed_is_lost(story, query, words):
    answer, text = page(client_of(Role.MANAGER), "figures", **query)
    assert answer.status_code == 422
    assert words in text
    assert 'aria-invalid="true"' in text
    for name in ("first", "last"):
        if query.get(name):
            assert f'value="{query[name]}"' in text


def test_the_ways_to_the_periods_beside_keep_the_seller(story):
    who = f"seller:{story.ada.pk}"
    _, text = page(client_of(Role.MANAGER), "figures", who=who, **QUARTER)
    assert f"period=2025-q4&who=seller%3A{story.ada.pk}" in text
    assert "1st quarter of 2026, Ada Byrd" in text
    own = page(client_of(Role.MANAGER), "figures", period="own", first="2026-01-01", last="2026-02-01")[1]
    assert 'rel="prev"' not in own
    asked = page(client_of(Role.MANAGER), "figures", period="2023-05")[1]
    assert '<option value="2023-05" selected>May 2023</option>' in asked
    assert "Nothing in this period" in asked


def test_sixty_months_scroll_on_a_phone(story):
    """No second drawing for phones; the months' table has sixty rows."""
    _, text = page(client_of(Role.MANAGER), "figures", period="own", first="2022-01-01", last="2026-12-31")
    assert text.count('class="plot long"') == 3
    assert "Jan 2022" in text
    assert "Dec 2026" in text


# --- the pipeline ---


def test_the_pipeline_shows_groups_sums_and_steps(story):
    answer, text = page(client_of(story.cy), "pipeline")
    assert answer.status_code == 200
    assert "Lapses in 2 days, not sent yet" in text
    assert "$4,000.00" in text
    assert "Apr 22, 2026" in text
    assert re.findall(r'data-state="(\w+)"', text) == ["bid", "issued"]
    assert "Lapsed" not in re.findall(r'<span class="state"[^>]*>([^<]+)', text)  # over thirty days ago


def test_a_filtered_pipeline_and_a_refused_one(story):
    client = client_of(Role.MANAGER)
    assert "No quote fits" in page(client, "pipeline", low="5000")[1]
    answer, text = page(client, "pipeline", low="much", high="10")
    assert answer.status_code == 422
    assert "“much” is no value" in text
    assert 'value="much"' in text
    assert 'value="10"' in text
    assert "11 days or longer" in page(client, "pipeline", age="11")[1]


def test_an_empty_company_is_told_the_first_step():
    client = client_of(Role.MANAGER)
    assert "Nothing in the pipeline" in page(client, "pipeline")[1]
    assert "Nothing in this period" in page(client, "figures")[1]


# --- workbooks ---


def read_workbook(client, name, **query):
    answer = client.get(reverse(f"quotes:{name}", query=query))
    assert answer.status_code == 200
    assert answer["Content-Disposition"].startswith("attachment")
    book = load_workbook(io.BytesIO(answer.content))
    return {sheet: book.get_sheet_by_name(sheet).to_python() for sheet in book.sheet_names}


def test_the_workbook_of_figures_holds_the_tables(story):
    sheets = read_workbook(client_of(Role.MANAGER), "figures_xlsx", **QUARTER)
    assert list(sheets) == ["Decided", "USD months", "USD reasons", "CAD months", "CAD reasons"]
    usd = sheets["Decided"][1]
    assert usd == ["USD", 2, 3100, 1, 900, 1, 550, 0.5, pytest.approx(3100 / 4550)]
    january, february, march = sheets["USD months"][1:]
    assert january == [date(2026, 1, 1), 1, 1100, 1, 1100, pytest.approx(0.3)]
    assert february[:5] == [date(2026, 2, 1), 3, 3450, 1, 2000]
    assert march[5] == ""
    assert sheets["USD reasons"][1:] == [["The price", 1, 900], ["No answer", 1, 550]]


def test_the_workbook_of_the_pipeline_holds_texts_as_texts(story):
    name = "=cmd|' /C calc'!A0"
    Project.objects.filter(pk=story.open.quote.project_id).update(name=name)
    answer = client_of(Role.MANAGER).get(reverse("quotes:pipeline_xlsx", query={"stage": "issued"}))
    book = load_workbook(io.BytesIO(answer.content))
    (head, row) = book.get_sheet_by_name("Pipeline").to_python()
    found = dict(zip(head, row, strict=True))
    assert found["Project"] == name
    assert (found["Value before tax"], found["Days in stage"]) == (4000, 10)
    assert found["Last day"] == date(2026, 4, 22)
    assert found["Next step"] == "Lapses in 2 days, not sent yet"
    assert b"<f>" not in b"".join(parts_of(answer.content))


def parts_of(data):
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return [archive.read(name) for name in archive.namelist()]


def test_a_file_that_is_too_long_is_refused(story, monkeypatch):
    monkeypatch.setattr(pipeline_views, "FILE_MOST", 1)
    answer, text = page(client_of(Role.MANAGER), "pipeline_xlsx")
    assert answer.status_code == 422
    assert "Narrow the filter" in text


# --- operations ---


def test_the_operation_says_the_same_numbers(story):
    body = client_of(Role.MANAGER).get("/api/v1/figures/", QUARTER).json()
    assert (body["first"], body["last"], body["margins"]) == ("2026-01-01", "2026-03-31", "all")
    assert (body["rate_by_count"], body["answered"], body["median_days"]) == (
        "0.4000",
        4,
        6.5,
    )  # 10, 8, 5, 4 days
    usd, cad = body["currencies"]
    assert usd["outcomes"]["booked"] == {"count": 2, "value": "3100.00"}
    assert usd["rate_by_value"] == "0.6813"
    assert usd["earned"] == {"count": 2, "price": "3100.00", "margin": "0.4258"}
    assert [month["month"] for month in usd["months"]] == ["2026-01", "2026-02", "2026-03"]
    assert cad["reasons"] == [
        {"reason": "other", "words": "Another reason", "lost": {"count": 1, "value": "700.00"}}
    ]


def test_the_operation_lists_quotes_and_the_pipeline(story):
    client = client_of(Role.MANAGER)
    body = client.get("/api/v1/figures/quotes/", {**QUARTER, "what": "booked"}).json()
    assert (body["count"], body["next_page"]) == (2, None)
    assert body["sums"] == [{"currency": "USD", "count": 2, "value": "3100.00"}]
    assert [row["owner"] for row in body["quotes"]] == ["Cy Ott", "Ada Byrd"]
    assert {row["margin"] for row in body["quotes"]} == {None}
    line = client.get("/api/v1/pipeline/", {"stage": "issued"}).json()
    (row,) = line["quotes"]
    assert row["next_step"] == {"words": "Lapses in 2 days, not sent yet", "tone": "care", "ours": True}
    assert (row["value"], row["last_day"], row["days_in_stage"]) == ("4000.00", "2026-04-22", 10)
    assert line["sums"] == [{"currency": "USD", "count": 1, "value": "4000.00", "stage": "issued"}]


@pytest.mark.parametrize(
    ("address", "query", "field"),
    [
        ("figures/", {"period": "2026-99"}, "period"),
        ("figures/quotes/", {"what": "won"}, "what"),
        ("pipeline/", {"high": "x"}, "high"),
        ("pipeline/", {"who": "team:Nowhere"}, "who"),
    ],
)
def test_an_operation_names_the_parameter_that_it_refuses(address, query, field):
    answer = client_of(Role.MANAGER).get(f"/api/v1/{address}", query)
    assert answer.status_code == 422
    assert answer.json()["field"] == field


def test_pages_take_as_many_queries_for_few_quotes_as_for_many(story):
    client = client_of(Role.MANAGER)
    addresses = [
        reverse("quotes:figures", query=QUARTER),
        reverse("quotes:figures_quotes", query={**QUARTER, "what": "quoted"}),
        reverse("quotes:pipeline"),
        "/api/v1/pipeline/",
    ]

    def queries():
        counts = []
        for address in addresses:
            with CaptureQueriesContext(connection) as caught:
                assert client.get(address).status_code == 200
            counts.append(len(caught))
        return counts

    few = queries()
    fill(Ground.lay(), story.cy, 500, local(2, 1))
    assert queries() == few
    assert max(few) <= 16


def test_money_is_never_rounded_on_its_way(story):
    found = client_of(Role.MANAGER).get("/api/v1/figures/", QUARTER).json()
    total = sum(Decimal(month["quoted"]["value"]) for month in found["currencies"][0]["months"])
    assert total == Decimal(found["currencies"][0]["quoted"]["value"]) == Decimal(4550)
