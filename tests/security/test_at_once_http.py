"""Fifty equal posts at once through HTTP: one effect, one answer; and fields nobody may send (B5, B6, C2)."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from threading import Barrier
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from framing.common.models import (
    AuditEntry,
    IdempotencyKey,
    MailMessage,
    NumberSeries,
    OutboxEntry,
    Role,
    StoredPaper,
    User,
)
from framing.common.outbox import outbox_run
from orders.models import Order, OrderMove
from quotes.models import Acceptance, QuoteMove, QuoteRevision
from tests.factories import people, quotes

MANY = 50
TOGETHER = 10  # threads; more connections than this a small server does not have
JSON = "application/json"


def client_of(user: User) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(user)
    return client


def builder_client(secret: str) -> Client:
    client = Client(raise_request_exception=False)
    assert client.get(f"/l/{secret}/").status_code == 302
    return client


def at_once(make: Callable[[], Client], post: Callable[[Client], Any], many: int = MANY) -> list[Any]:
    """The answers of `many` posts, each thread with a browser of its own, ten and ten at the same moment."""
    clients = [make() for _ in range(TOGETHER)]
    gate = Barrier(TOGETHER)

    def run(client: Client) -> list[Any]:
        try:
            answers = []
            for _ in range(many // TOGETHER):
                gate.wait()
                answers.append(post(client))
            return answers
        finally:
            connection.close()

    with ThreadPoolExecutor(TOGETHER) as pool:
        return [answer for answers in pool.map(run, clients) for answer in answers]


def said(answers: list[Any]) -> Counter[tuple[int, str]]:
    """How often each answer came: status and body, or where it leads."""
    return Counter((a.status_code, a.get("Location") or a.content.decode()) for a in answers)


@pytest.mark.django_db(transaction=True)
def test_fifty_equal_issues_by_api_are_one() -> None:
    draft = quotes.draft()
    path = f"/api/v1/revisions/{draft.public_id}/issue/"
    answers = at_once(
        lambda: client_of(draft.quote.owner),
        lambda c: c.post(path, "{}", content_type=JSON, headers={"Idempotency-Key": "one"}),
    )
    assert len(answers) == MANY
    ((status, body),) = said(answers)
    assert status == 200
    assert json.loads(body)["issued_at"]
    assert QuoteMove.objects.filter(to_stage="issued").count() == 1
    assert OutboxEntry.objects.filter(kind="quote_paper").count() == 1
    assert AuditEntry.objects.filter(verb="revision_issue").count() == 1
    assert IdempotencyKey.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_fifty_equal_acceptances_by_link_are_one_and_the_back_button_repeats_the_answer() -> None:
    revision = quotes.issued()
    link, secret = quotes.link(revision)
    base = f"/quotes/your/{link.public_id}/"
    form = {"name": "Rae Winter", "title": "Owner", "idempotency_key": "one", "sure": "yes"}
    answers = at_once(lambda: builder_client(secret), lambda c: c.post(base + "accept/", form))
    assert said(answers) == {(302, base): MANY}
    assert Acceptance.objects.count() == 1
    assert OutboxEntry.objects.filter(kind="order_book").count() == 1
    late = builder_client(secret).post(base + "accept/", form)
    assert (late.status_code, late["Location"]) == (302, base)
    assert Acceptance.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_fifty_acceptances_by_link_phone_and_api_are_one() -> None:
    revision = quotes.issued()
    link, secret = quotes.link(revision)
    owner = revision.quote.owner
    posts = (
        lambda n: builder_client(secret).post(
            f"/quotes/your/{link.public_id}/accept/",
            {"name": "Rae", "idempotency_key": f"k{n}", "sure": "yes"},
        ),
        lambda n: client_of(owner).post(
            f"/quotes/revisions/{revision.public_id}/accept/",
            {"name": "Rae", "why": "He called.", "idempotency_key": f"k{n}"},
        ),
        lambda n: client_of(owner).post(
            f"/api/v1/revisions/{revision.public_id}/accept/",
            {"name": "Rae", "why": "He called."}, content_type=JSON, headers={"Idempotency-Key": f"k{n}"},
        ),
    )  # fmt: skip

    answers = mixed(posts)
    done = [answer for answer in answers if answer.status_code in (200, 302)]
    assert len(done) == 1
    words = f"{revision} was accepted by Rae on {Acceptance.objects.get().at:%b %d, %Y} already."
    for answer in answers:
        if answer not in done:
            assert answer.status_code == 409
            assert words in (
                answer.json()["detail"] if "json" in answer["Content-Type"] else answer.content.decode()
            )
    assert QuoteMove.objects.filter(to_stage="booked").count() == 1
    assert OutboxEntry.objects.filter(kind="order_book").count() == 1
    run_all("order_book")
    assert Order.objects.count() == 1


def mixed(posts: Sequence[Callable[[int], Any]]) -> list[Any]:
    """The answers of fifty posts, the ways by turns, ten at the same moment."""

    def one(number: int) -> Any:
        try:
            return posts[number % len(posts)](number)
        finally:
            connection.close()

    with ThreadPoolExecutor(TOGETHER) as pool:
        return list(pool.map(one, range(MANY)))


def run_all(kind: str) -> None:
    """Work off what was asked for, each row by four workers at once."""

    def run(pk: int) -> None:
        try:
            outbox_run(pk)
        finally:
            connection.close()

    rows = list(OutboxEntry.objects.filter(kind=kind).values_list("pk", flat=True))
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(run, rows * 4))


@pytest.mark.django_db(transaction=True)
def test_fifty_issues_by_page_by_api_and_with_the_mail_are_one_offer_and_one_paper() -> None:
    draft = quotes.draft()
    owner, base = draft.quote.owner, f"revisions/{draft.public_id}"
    people_of = [{"name": "Rae", "email": "rae@builder.example"}]
    posts = (
        lambda n: client_of(owner).post(f"/quotes/{base}/issue/", {"idempotency_key": f"k{n}"}),
        lambda n: client_of(owner).post(
            f"/api/v1/{base}/issue/", "{}", content_type=JSON, headers={"Idempotency-Key": f"k{n}"}
        ),
        lambda n: client_of(owner).post(
            f"/api/v1/{base}/issue-and-send/", {"people": people_of}, content_type=JSON,
            headers={"Idempotency-Key": f"k{n}"},
        ),
    )  # fmt: skip
    answers = mixed(posts)
    done = [answer for answer in answers if answer.status_code < 400]
    assert len(done) == 1
    words = f"{draft} was issued and never changes. Revise the quote to make a new revision."
    for answer in answers:
        if answer not in done:
            assert answer.status_code == 409, answer.content
            assert words in (
                answer.json()["detail"] if "json" in answer["Content-Type"] else answer.content.decode()
            )
    assert QuoteMove.objects.filter(to_stage="issued").count() == 1
    assert MailMessage.objects.count() <= 1
    run_all("quote_paper")
    assert StoredPaper.objects.filter(subject_id=draft.pk).count() == 1


@pytest.mark.django_db(transaction=True)
def test_fifty_equal_bookings_make_one_order_with_one_number() -> None:
    quote = quotes.accepted().quote
    manager = people.user(Role.MANAGER)
    answers = at_once(
        lambda: client_of(manager),
        lambda c: c.post(
            "/api/v1/orders/book/",
            {"quote": quote.public_id},
            content_type=JSON,
            headers={"Idempotency-Key": "one"},
        ),
    )
    assert len(said(answers)) == 1
    assert answers[0].status_code in (200, 201)
    order = Order.objects.get()
    assert answers[0].json()["number"] == order.number
    assert OrderMove.objects.count() == 1
    assert NumberSeries.objects.get(series="SO").last == 1


@pytest.mark.django_db
def test_a_key_serves_one_body_and_money_verbs_need_one() -> None:
    revision = quotes.issued()
    client = client_of(revision.quote.owner)
    path = f"/api/v1/revisions/{revision.public_id}/accept/"

    def accept(key: str | None, **body: str) -> Any:
        headers = {} if key is None else {"Idempotency-Key": key}
        return client.post(
            path, {"name": "Rae", "why": "He called."} | body, content_type=JSON, headers=headers
        )

    assert accept(None).status_code == 400
    assert accept("").status_code == 400
    assert accept("k" * 81).status_code == 400
    for odd in ("\ud800", "a\x07b", "\u202e"):
        assert accept(odd).status_code == 400
    assert Acceptance.objects.count() == 0
    first = accept("one")
    assert first.status_code == 200
    for other in ({"name": "Bo"}, {"title": "Owner"}, {"why": "He wrote."}):
        assert accept("one", **other).status_code == 422, other
    assert accept("one").json() == first.json()
    issue = f"/api/v1/revisions/{revision.public_id}/issue/"
    assert client.post(issue, "{}", content_type=JSON).status_code == 400
    assert (
        client.post(
            "/api/v1/orders/book/", {"quote": revision.quote.public_id}, content_type=JSON
        ).status_code
        == 400
    )


EXTRA: dict[str, Any] = {
    "price": "0.01", "unit_price": "0.01", "total": "0.01", "goods": "0.01", "cost": "0.00", "tax": "0", "freight": "0",
    "stage": "booked", "status": "booked", "owner": 1, "owner_id": 1, "quote_id": 1, "id": 1, "pk": 1,
    "public_id": "x" * 20, "number": 99, "issued_at": "2020-01-01T00:00:00Z", "valid_until": "2099-01-01T00:00:00Z",
    "is_staff": True, "is_superuser": True, "role": "administrator", "created_at": "2020-01-01", "discount": "0.9",
    "lines": [], "price_book": 1, "engine_version": "x", "at": "2020-01-01", "recorded_by": 1, "approved": True,
}  # fmt: skip


def money_of(revision: QuoteRevision) -> dict[str, Any]:
    """What only a service may set."""
    row = QuoteRevision.objects.filter(pk=revision.pk).values().get()
    quote = type(revision.quote).objects.filter(pk=revision.quote_id).values().get()
    return {f"r.{k}": v for k, v in row.items()} | {f"q.{k}": v for k, v in quote.items()}


@pytest.mark.django_db
@pytest.mark.parametrize("by", ["api", "page"])
def test_fields_that_nobody_may_send_change_nothing(by: str) -> None:
    revision = quotes.draft()
    client = client_of(revision.quote.owner)
    before = money_of(revision)
    if by == "api":
        path = f"/api/v1/revisions/{revision.public_id}/change/"
        answer = client.post(path, EXTRA | {"terms": "Net 30."}, content_type=JSON)
        assert answer.status_code in (200, 422)
    else:
        path = f"/quotes/revisions/{revision.public_id}/change/"
        form = {
            "discount_percent": "0",
            "lead_time_days": str(before["r.lead_time_days"]),
            "terms": "Net 30.",
        }
        assert client.post(path, {k: str(v) for k, v in EXTRA.items()} | form).status_code == 302
    changed = {name for name, value in money_of(revision).items() if before[name] != value}
    assert changed <= {"r.terms", "r.updated_at", "q.updated_at"}


@pytest.mark.django_db
def test_fields_that_nobody_may_send_make_nothing_either() -> None:
    home = quotes.project()
    quotes.price_book()
    client = client_of(home.owner)
    plain = client.post("/api/v1/quotes/new/", {"project": home.public_id}, content_type=JSON).json()
    extra = client.post("/api/v1/quotes/new/", EXTRA | {"project": home.public_id}, content_type=JSON).json()
    assert {k: plain[k] for k in ("total", "tax", "freight")} == {
        k: extra[k] for k in ("total", "tax", "freight")
    }
    rows = QuoteRevision.objects.order_by("-id")[:2]
    assert {row.quote.stage for row in rows} == {"bid"}
    assert {row.quote.owner_id for row in rows} == {home.owner_id}
    assert {row.issued_at for row in rows} == {None}
    assert all(row.total > Decimal(1) for row in rows)
    made = client.post(
        "/api/v1/builders",
        EXTRA | {"name": "Bo Homes", "contact_name": "Bo", "email": "bo@example.test"}, content_type=JSON,
    )  # fmt: skip
    assert made.status_code == 201
    assert made.json()["name"] == "Bo Homes"
    assert home.owner.__class__.objects.get(pk=home.owner_id).role == Role.SELLER
    issue = f"/api/v1/revisions/{rows[0].public_id}/issue/"
    client.post(issue, EXTRA, content_type=JSON, headers={"Idempotency-Key": "k"})
    fresh = QuoteRevision.objects.get(pk=rows[0].pk)
    assert (fresh.total, fresh.number) == (rows[0].total, 1)
    assert fresh.issued_at is None or fresh.issued_at.year > 2020
