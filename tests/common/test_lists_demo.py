"""Lists of the demo company: filters, order and columns in the address; what can't be read is said; files."""

from __future__ import annotations

import re
from html import unescape

import pytest
from django.contrib.auth.models import AnonymousUser
from django.http import QueryDict
from django.test import Client
from django.urls import reverse

from framing.common.access import TABLE
from framing.common.listing import LISTS, list_read
from framing.common.models import Role, User
from framing.common.templatetags.figures import NOTHING
from framing.projects.models import Builder
from quotes.models import Quote
from tests.common.list_reading import (
    KEYS,
    file_of,
    firsts,
    get,
    reads,
    rows_of_csv,
    rows_of_workbook,
    said,
    table,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo")]


@pytest.mark.parametrize("key", KEYS)
def test_every_column_sorts_both_ways_over_all_rows(key: str) -> None:
    spec = LISTS[key]
    reader = User.objects.get(role=Role.MANAGER)
    client = Client()
    client.force_login(reader)
    tried = 0
    for name, column in spec.columns(Role.MANAGER).items():
        asked = list_read(spec, QueryDict(f"sort={name}&cols={name}"), audience="manager", reader=reader)
        if not column.sort_path:
            assert asked.said
            continue
        ways = []
        for sort in (name, f"-{name}"):
            page = get(client, key, f"sort={sort}&cols={name}&stage=")
            assert not [line for line in said(page).splitlines() if "sorted" in line]
            rows = list_read(
                spec, QueryDict(f"sort={sort}&cols={name}&stage="), audience="manager", reader=reader
            ).rows()
            ways.append([row.pk for row in rows])
            tried += 1
        assert sorted(ways[0]) == sorted(ways[1])
        assert len(ways[0]) == len(set(ways[0]))
    assert tried >= 10


def test_order_is_by_the_shown_value_and_empty_stands_last() -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    amounts = [
        float(row[1].strip("$").replace(",", ""))
        for row in table(get(client, "quotes", "sort=-total&cols=number,total"))[1:]
    ]
    assert amounts == sorted(amounts, reverse=True)
    assert len(amounts) == min(Quote.objects.count(), 50)
    for sort in ("valid_until", "-valid_until"):
        days = [row[1] for row in table(get(client, "quotes", f"sort={sort}&cols=number,valid_until"))[1:]]
        empty = days.index(NOTHING) if NOTHING in days else len(days)
        assert set(days[empty:]) <= {NOTHING}
    names = [name.lower() for name in firsts(get(client, "builders", "sort=-name"))]
    assert names == sorted(names, reverse=True)


def test_filters_hold_together_and_stand_in_the_address() -> None:
    client = Client()
    reader = User.objects.filter(role=Role.SELLER).order_by("id")[0]
    client.force_login(reader)
    mine = set(firsts(get(client, "quotes", "owner=mine")))
    issued = set(firsts(get(client, "quotes", "stage=issued")))
    both = set(firsts(get(client, "quotes", "owner=mine&stage=issued")))
    assert both == mine & issued
    assert both
    assert both < mine
    by_key = set(firsts(get(client, "quotes", f"owner={reader.pk}")))
    assert by_key == mine
    team = set(firsts(get(client, "quotes", "owner=team")))
    assert team >= mine
    page = get(client, "quotes", "owner=mine&stage=issued&sort=total")
    link = re.search(r'href="\?([^"]+)">Project</a>', page)
    assert link
    assert unescape(link[1]) == "stage=issued&owner=mine&sort=project"


def test_ranges_take_their_ends_in() -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    rows = table(get(client, "quotes", "cols=number,total&sort=total"))[1:]
    middle = rows[len(rows) // 2][1].strip("$").replace(",", "")
    up = {row[0] for row in table(get(client, "quotes", f"cols=number,total&total_from={middle}"))[1:]}
    down = {row[0] for row in table(get(client, "quotes", f"cols=number,total&total_to={middle}"))[1:]}
    every = {row[0] for row in rows}
    assert up | down == every
    assert rows[len(rows) // 2][0] in up & down
    assert up != every
    assert down != every


def test_the_search_of_a_list_is_the_find_box() -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    builder = Builder.objects.order_by("id")[0]
    assert firsts(get(client, "builders", f"q={builder.phone}")) == [builder.name]
    wrong = f"{builder.name.split()[0][:-1]}x"
    page = get(client, "builders", f"q={wrong}")
    assert builder.name in firsts(page)
    assert f"Nothing has “{wrong.lower()}”" in said(page)
    assert "At least" not in said(page)
    assert "at least 2 letters" in said(get(client, "builders", "q=a"))


SILLY = (
    "stage=nonsense", "owner=0", "owner=x", "total_from=abc", "total_from=1e9999", "valid_from=2026-13-45",
    "begun_from=0001-01-01", "begun_to=9999-12-31", "sort=nothing", "sort=-", "sort=total,total,-total",
    "cols=nothing", "cols=,,,", "cols=total&cols=zz", "page=0", "page=-1", "page=x", "page=99999999999999999999",
    "colour=red", "q=a", "search=%2B%2B", "search=" + "x" * 300, "all=1", "=", "&&&", "stage=&stage=", "sort=margin",
    "tier=none", "state=gone", "units=cubits", "site_from=tomorrow", "owner=" + "9" * 40,
)  # fmt: skip


@pytest.mark.parametrize("key", KEYS)
def test_no_address_breaks_a_list(key: str) -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    for query in (*SILLY, "&".join(SILLY)):
        get(client, key, query)


def test_what_is_left_out_is_said_with_what_was_typed() -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    page = get(client, "quotes", "colour=red&stage=nonsense&total_from=abc&sort=zz&cols=number,yy&page=77")
    words = said(page)
    for part in ("“colour”", "Stage “nonsense”", "Total from “abc”", "“zz”", "“yy”", "“77”"):
        assert part in words
    assert 'value="abc"' in page
    assert len(firsts(page)) > 5
    assert said(get(client, "quotes", "stage=issued&sort=-total&cols=number,total")) == ""
    many = said(get(client, "quotes", "&".join(f"x{at}=1" for at in range(40))))
    assert "32 more were left out" in many


def test_columns_stand_in_the_asked_order_and_the_first_stays() -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    assert table(get(client, "quotes", "cols=number,total,builder"))[0] == ["Quote", "Total", "Builder"]
    assert table(get(client, "quotes", "cols=total,city"))[0] == ["Quote", "Total", "City"]
    assert table(get(client, "orders", "cols=number,steel,weight"))[0] == [
        "Order",
        "Steelft",
        "Bundles' weightlb",
    ]


@pytest.mark.parametrize("role", Role.values)
def test_columns_of_cost_are_for_those_who_may_see_them(role: str) -> None:
    sees = "read" in TABLE["cost"].get(role, ())
    shown = LISTS["quotes"].columns(role)
    assert ("margin" in shown) == sees == (role == Role.MANAGER)
    client = Client()
    client.force_login(User.objects.filter(role=role).order_by("id")[0])
    answer = client.get(f"{reverse('quotes:quote_list')}?cols=number,margin&sort=margin")
    if "read" not in TABLE["quote"].get(role, ()):
        assert answer.status_code == 403
        return
    page = answer.content.decode()
    assert ("Margin" in page) == sees
    if not sees:
        assert "There is no column “margin” here" in page
        assert "can&#x27;t be sorted by “margin”" in page


@pytest.mark.parametrize(
    ("key", "query"),
    [
        (
            "quotes",
            "sort=-total&cols=number,project,builder,city,stage,goods,total,margin,valid_until,begun,owner",
        ),
        ("quotes", "stage=issued"),
        (
            "orders",
            "stage=&cols=number,project,stage,bundles,steel,weight,booked,released,deliver_on,owner&sort=deliver_on",
        ),
        ("deliveries", "state="),
        ("builders", "sort=-projects"),
        ("projects", "cols=name,site,units,floors,begun"),
    ],
)
def test_a_workbook_is_what_the_page_shows(key: str, query: str) -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    shown = table(get(client, key, query))
    spec = LISTS[key]
    asked = list_read(spec, QueryDict(query), audience="manager", reader=User.objects.get(role=Role.MANAGER))
    columns = [spec.columns(Role.MANAGER)[name] for name in asked.columns]
    rows = rows_of_workbook(file_of(client, key, "xlsx", query))
    assert rows[0] == [f"{one.label} ({one.unit})" if one.unit else one.label for one in columns]
    assert len(rows) == len(shown)
    assert len(rows) > 3
    for row, seen in zip(rows[1:], shown[1:], strict=True):
        assert [reads(column.kind, value) for column, value in zip(columns, row, strict=True)] == [
            "" if cell == NOTHING or (cell == "list price" and key == "builders") else cell for cell in seen
        ]


def test_csv_has_the_same_cells() -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    query = "sort=-total&cols=number,builder,total,valid_until"
    book = rows_of_workbook(file_of(client, "quotes", "xlsx", query))
    lines = rows_of_csv(file_of(client, "quotes", "csv", query))
    assert len(book) == len(lines)
    for row, line in zip(book[1:], lines[1:], strict=True):
        assert row[:2] == line[:2]
        assert f"{row[2]:.2f}" == line[2]
        assert (row[3].isoformat() if row[3] else "") == line[3]


@pytest.mark.parametrize("role", Role.values)
def test_files_are_for_those_who_may_read_the_list(role: str) -> None:
    client = Client()
    client.force_login(User.objects.filter(role=role).order_by("id")[0])
    for spec in LISTS.values():
        allowed = 200 if spec.act[1] in TABLE[spec.act[0]].get(role, ()) else 403
        for address in (reverse(spec.files, args=["csv"]), f"/api/v1/lists/{spec.key}.csv"):
            answer = client.get(address)
            assert answer.status_code == allowed
            if answer.streaming:
                assert b"".join(answer.streaming_content).startswith("\ufeff".encode())
    assert AnonymousUser().is_authenticated is False


def test_the_operation_hands_out_the_same_file() -> None:
    client = Client()
    client.force_login(User.objects.get(role=Role.MANAGER))
    query = "stage=issued&sort=total"
    page = file_of(client, "quotes", "csv", query)
    answer = client.get(f"/api/v1/lists/quotes.csv?{query}")
    assert b"".join(answer.streaming_content) == page
    assert answer["Content-Type"].startswith("text/csv")
