"""Reads lists as people see them: the page's table, what it says, and files of it."""

from __future__ import annotations

import csv
import io
import re
import zipfile
from datetime import date
from html import unescape
from typing import Any

from django.test import Client
from django.urls import reverse
from python_calamine import load_workbook

from framing.common.listing import LISTS
from framing.common.models import Role
from tests.factories import people

PAGES = {key: spec.page for key, spec in LISTS.items()}
KEYS = sorted(PAGES)


def client_of(role: str = Role.MANAGER) -> Client:
    return people.client_of(role)


def get(client: Client, key: str, query: str = "") -> str:
    answer = client.get(f"{reverse(PAGES[key])}?{query}")
    assert answer.status_code == 200, answer.content[:300]
    return answer.content.decode()


def table(page: str) -> list[list[str]]:
    """The rows of the page's table, the head first, as a reader sees them."""
    rows = re.findall(
        r"<tr>(.*?)</tr>", page.split('<table class="stacks">')[1].split("</table>")[0], re.DOTALL
    )
    return [
        [
            unescape(re.sub(r"<[^>]+>", "", cell)).strip()
            for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)
        ]
        for row in rows
    ]


def said(page: str) -> str:
    found = re.search(r'<div class="notice care" role="status">(.*?)</div></div>', page, re.DOTALL)
    return unescape(re.sub(r"<[^>]+>", "", found[1])) if found else ""


def firsts(page: str) -> list[str]:
    return [row[0] for row in table(page)[1:]]


def file_of(client: Client, key: str, form: str, query: str) -> bytes:
    answer = client.get(f"{reverse(LISTS[key].files, args=[form])}?{query}")
    assert answer.status_code == 200
    assert f'filename="{key}.{form}"' in answer["Content-Disposition"]
    return b"".join(answer.streaming_content)


def rows_of_workbook(data: bytes) -> list[list[Any]]:
    return load_workbook(io.BytesIO(data)).get_sheet_by_index(0).to_python()


def rows_of_csv(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"))))


def reads(kind: str, value: Any) -> str:
    """A value of a workbook as the page writes it; numbers must be numbers and dates dates."""
    if value == "":
        return ""
    if kind == "text":
        assert isinstance(value, str)
        return value
    if kind == "day":
        assert isinstance(value, date)
        return f"{value:%b} {value.day}, {value.year}"
    assert isinstance(value, float)
    return {
        "money": f"${value:,.2f}",
        "share": f"{value * 100:.1f} %",
        "count": f"{value:.0f}",
        "feet": f"{value:,.1f}",
        "pounds": f"{round(value):,}",
    }[kind]


def zip_text(data: bytes) -> str:
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        return book.read("xl/worksheets/sheet1.xml").decode()
