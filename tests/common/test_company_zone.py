"""Pages tell times by the company's clock; the API answers in UTC."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.template import Context, Template
from django.test import RequestFactory

from framing.common.middleware import CompanyZoneMiddleware

AT = datetime(2026, 11, 29, 3, 30, tzinfo=UTC)


def told(_request: HttpRequest) -> HttpResponse:
    return HttpResponse(Template('{{ at|date:"M j, H:i" }}').render(Context({"at": AT})))


@pytest.mark.parametrize(
    ("path", "zone", "words"),
    [
        ("/quotes/", "America/Denver", "Nov 28, 20:30"),  # MST is 7 h behind
        ("/quotes/", "Asia/Kolkata", "Nov 29, 09:00"),  # 5 h 30 min ahead
        ("/api/v1/quotes/", "America/Denver", "Nov 29, 03:30"),
    ],
)
def test_a_page_tells_the_companys_time(
    rf: RequestFactory, settings: Any, path: str, zone: str, words: str
) -> None:
    settings.SPANYARD_TIME_ZONE = zone
    answer = CompanyZoneMiddleware(told)(rf.get(path))
    assert answer.content.decode() == words
    assert told(rf.get(path)).content.decode() == "Nov 29, 03:30"  # and the clock is put back after it
