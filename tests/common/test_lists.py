"""Lists of few rows: columns by rights, pages, files, and how often the database is asked."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common import listing_files
from framing.common.listing import LISTS
from framing.common.listing_columns import Money
from framing.common.models import Role
from framing.projects.models import Builder, Project, Site
from quotes.models import Quote
from tests.common.find_filling import fill
from tests.common.list_reading import (
    PAGES,
    client_of,
    file_of,
    firsts,
    get,
    rows_of_csv,
    rows_of_workbook,
    table,
    zip_text,
)
from tests.factories import orders, projects, quotes

pytestmark = pytest.mark.django_db


def test_no_list_of_orders_or_deliveries_has_money() -> None:
    for key in ("orders", "deliveries", "builders", "projects"):
        assert not [one for one in LISTS[key].columns(Role.ADMINISTRATOR).values() if isinstance(one, Money)]


def test_margin_is_that_of_the_newest_revision() -> None:
    revision = quotes.issued()
    page = get(client_of(), "quotes", "cols=number,margin")
    assert table(page)[1] == [f"{revision.quote.number}-R1", f"{float(revision.margin or 0) * 100:.1f} %"]


def test_orders_begin_with_open_ones() -> None:
    closed, booked = orders.closed(), orders.booked()
    client = client_of(Role.PLANNER)
    assert firsts(get(client, "orders")) == [booked.number]
    assert set(firsts(get(client, "orders", "stage="))) == {closed.number, booked.number}
    assert firsts(get(client, "orders", "stage=closed")) == [closed.number]


@pytest.mark.parametrize(
    ("key", "query"),
    [("builders", "q=home"), ("projects", ""), ("quotes", "cols=number,margin,goods&sort=margin")],
)
def test_the_database_is_asked_as_often_for_200_rows_as_for_10(
    django_assert_num_queries: Any, key: str, query: str
) -> None:
    fill(10, 10, 10)
    client = client_of()
    address = f"{reverse(PAGES[key])}?{query}"
    client.get(address)
    with CountedQueries() as few:
        client.get(address)
    Quote.objects.all().delete()
    fill_more()
    with CountedQueries() as many:
        client.get(address)
    assert few.count == many.count
    assert 5 <= many.count <= 9


def fill_more() -> None:
    Project.objects.all().delete()
    Site.objects.all().delete()
    Builder.objects.all().delete()
    fill(200, 200, 200)


class CountedQueries:
    def __enter__(self) -> CountedQueries:
        self.captured = CaptureQueriesContext(connection)
        self.captured.__enter__()
        return self

    def __exit__(self, *args: Any) -> None:
        self.captured.__exit__(*args)
        self.count = len(self.captured)


def test_pages_of_fifty_keep_the_address() -> None:
    fill(120, 1, 1)
    client = client_of()
    seen: list[str] = []
    for number in (1, 2, 3):
        page = get(client, "builders", f"owner=&sort=-name&page={number}")
        seen += firsts(page)
    assert len(seen) == len(set(seen)) == 120
    page = get(client, "builders", "sort=-name&page=2")
    assert "51 to 100 of 120" in page
    assert 'href="?sort=-name&amp;page=3"' in page


EVIL = ("=cmd|' /C calc'!A0", "+1+1", "-2+3", "@SUM(A1)", " =1+1", "\uff1d1+1", '=HYPERLINK("http://x")')


def test_names_that_look_like_formulas_stay_names() -> None:
    for number, name in enumerate(EVIL):
        projects.builder(name=f"{name}{number}", contact_name=name)
    client = client_of()
    shown = sorted(Builder.objects.values_list("name", flat=True))
    book = rows_of_workbook(file_of(client, "builders", "xlsx", ""))
    assert sorted(row[0] for row in book[1:]) == shown
    text = zip_text(file_of(client, "builders", "xlsx", ""))
    assert "<f>" not in text
    for line in rows_of_csv(file_of(client, "builders", "csv", ""))[1:]:
        assert line[0].startswith("'")
        assert line[1].startswith("'")
        assert line[0][1:] in shown


@pytest.mark.parametrize("text", ["=x", "+x", "-x", "@x", "\tx", "\rx", " =x"])
def test_every_sign_of_a_formula_is_held(text: str) -> None:
    assert listing_files.harmless(text) == f"'{text}"
    assert listing_files.harmless(f"a{text}") == f"a{text}"


def test_a_file_takes_all_pages_and_refuses_too_many_rows(monkeypatch: pytest.MonkeyPatch) -> None:
    fill(120, 1, 1)
    client = client_of()
    assert len(rows_of_csv(file_of(client, "builders", "csv", ""))) == 121
    monkeypatch.setattr(listing_files, "ROWS_MOST", 100)
    answer = client.get(reverse("projects:builder_file", args=["xlsx"]))
    assert answer.status_code == 422
    assert "This list has 120 rows; a file takes 100 at most" in answer.content.decode()
    assert client.get("/api/v1/lists/builders.csv").status_code == 422
    assert client.get(reverse("projects:builder_file", args=["pdf"])).status_code == 404


def test_the_words_are_made_anew_by_a_command() -> None:
    projects.builder(name="Anew Homes")
    out = io.StringIO()
    call_command("rebuild_find", stdout=out)
    assert "builder: 1\n" in out.getvalue()
