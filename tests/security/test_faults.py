"""Errors tell nothing and leave nothing: the request's id, no trace, the transaction gone (C18)."""

from __future__ import annotations

import logging
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.test import Client

from framing.common.models import AuditEntry, IdempotencyKey, OutboxEntry
from quotes import selectors, services
from quotes.models import Acceptance, QuoteMove
from tests.factories import quotes

SECRET = "inside-7f3a"
JSON = "application/json"
INSIDE = (SECRET, "Traceback", "RuntimeError", "quotes/services", ".py", "django", "line ")


def broken(*args: Any, **more: Any) -> Any:
    raise RuntimeError(f"{SECRET} in quotes_quote")


@pytest.fixture
def client(settings: Any) -> Client:
    assert settings.DEBUG is False
    return Client(raise_request_exception=False)


def tells_nothing(answer: Any, *, api: bool) -> None:
    text = answer.content.decode()
    assert answer.status_code == 500
    assert [word for word in INSIDE if word in text] == []
    assert answer["X-Request-Id"] in text
    assert answer["Content-Type"].startswith("application/problem+json" if api else "text/html")
    assert "no-store" in answer["Cache-Control"]
    assert answer["Content-Security-Policy"]
    if api:
        assert set(answer.json()) == {"type", "title", "status", "detail", "request_id"}


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/quotes/", "/api/v1/quotes/"])
def test_a_page_that_breaks_names_the_request_only(
    client: Client, path: str, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    client.force_login(quotes.draft().quote.owner)
    monkeypatch.setattr(selectors, "quote_list", broken)
    with caplog.at_level(logging.ERROR):
        tells_nothing(client.get(path), api=path.startswith("/api/"))
    assert any(SECRET in str(record.exc_info) for record in caplog.records), "the log has the trace"


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("way", ["link", "phone", "api"])
@pytest.mark.parametrize("late", ["outbox_add", "audit_record", "move_quote"])
def test_an_act_that_breaks_half_way_leaves_nothing(
    client: Client, way: str, late: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    revision = quotes.issued()
    link, secret = quotes.link(revision)
    client.get(f"/l/{secret}/")
    client.force_login(revision.quote.owner)
    form = {"name": "Rae", "why": "He called.", "idempotency_key": "one", "sure": "yes"}
    posts = {
        "link": lambda: client.post(f"/quotes/your/{link.public_id}/accept/", form),
        "phone": lambda: client.post(f"/quotes/revisions/{revision.public_id}/accept/", form),
        "api": lambda: client.post(
            f"/api/v1/revisions/{revision.public_id}/accept/", {"name": "Rae", "why": "He called."},
            content_type=JSON, headers={"Idempotency-Key": "one"},
        ),
    }  # fmt: skip
    before = counts()
    with monkeypatch.context() as patch:
        patch.setattr(services.accepting, late, broken)
        tells_nothing(posts[way](), api=way == "api")
    revision.quote.refresh_from_db()
    assert revision.quote.stage == "issued"
    assert counts() == before
    assert posts[way]().status_code in (200, 302), "the same post again does it once"
    assert Acceptance.objects.count() == 1


def counts() -> list[int]:
    return [
        model.objects.count() for model in (Acceptance, QuoteMove, AuditEntry, OutboxEntry, IdempotencyKey)
    ]


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/", "/quotes/", "/api/v1/quotes/", "/l/some-secret/"])
def test_pages_without_a_database_still_answer(
    client: Client, path: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.force_login(quotes.draft().quote.owner)

    def gone(*args: Any, **more: Any) -> Any:
        raise OperationalError(f"{SECRET} connection to server at 10.0.0.5 failed")

    monkeypatch.setattr(connection, "cursor", gone)
    tells_nothing(client.get(path), api=path.startswith("/api/"))
    assert client.get("/health/live").status_code == 200
    ready = client.get("/health/ready")
    assert (ready.status_code, ready.json()) == (503, {"ready": False})


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("path", "status"), [("/nothing-here", 404), ("/api/v1/nothing-here", 404), ("/l/wrong/", 404)]
)
def test_what_is_not_there_names_the_request_too(client: Client, path: str, status: int) -> None:
    answer = client.get(path)
    assert answer.status_code == status
    if path.startswith("/api/"):
        assert answer.json()["request_id"] == answer["X-Request-Id"]
    else:
        assert answer["X-Request-Id"] in answer.content.decode()
