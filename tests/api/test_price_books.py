"""Price books and the queue of approvals by the API: each verb, who may, files in and out, what never goes out."""

from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from framing.common.clock import database_now
from framing.common.models import Role
from quotes import services
from quotes.models import PriceBook
from quotes.price_changes import changes_between
from quotes.price_documents import read_price_document
from quotes.price_files import FILE_MOST, XLSX_TYPE, csv_of, read_price_file
from quotes.price_reads import document_of
from tests.factories import people, quotes

pytestmark = pytest.mark.django_db
API = "/api/v1/price-book/"
JSON = "application/json"


def api(role: str = Role.MANAGER) -> Client:
    return people.client_of(role)


def post(client: Client, path: str, body: Any = None) -> Any:
    return client.post(API + path, json.dumps(body or {}), content_type=JSON)


def version(book: PriceBook, verb: str = "") -> str:
    return f"versions/{book.public_id}/{verb}"


def plain(document: Any) -> dict[str, Any]:
    data: dict[str, Any] = document.model_dump(mode="json")
    return data


def test_a_version_goes_from_a_document_to_force() -> None:
    quotes.price_book()
    client = api()
    made = post(client, "draft/", {"document": quotes.price_document(valid_days=20)})
    assert made.status_code == 201
    body = made.json()
    assert (body["state"], body["edit"], body["version"]) == (
        "draft",
        1,
        PriceBook.objects.get(state="draft").version,
    )
    draft = PriceBook.objects.get(public_id=body["id"])
    changed = post(
        client, version(draft, "change/"), {"document": quotes.price_document(valid_days=21), "edit": 1}
    )
    assert changed.json()["edit"] == 2
    stale = post(
        client, version(draft, "change/"), {"document": quotes.price_document(valid_days=22), "edit": 1}
    )
    assert (stale.status_code, stale.json()["errors"]) == (409, {"edit": 2})
    sent = post(client, version(draft, "send/"), {"note": "Holds longer.", "edit": 2})
    assert sent.json()["state"] == "review"
    back = post(client, version(draft, "give-back/"), {"why": "Not yet."})
    assert back.json()["state"] == "draft"
    post(client, version(draft, "send/"), {"note": "Now.", "edit": 2})
    day = (database_now() + timedelta(days=2)).date().isoformat()
    forced = post(client, version(draft, "force/"), {"valid_from": day, "edit": 2})
    assert forced.status_code == 200
    assert (forced.json()["state"], forced.json()["valid_from"], forced.json()["valid_until"]) == (
        "in_force",
        day,
        None,
    )
    whole = client.get(API + version(draft)).json()
    assert whole["document"]["valid_days"] == 21
    states = [row["state"] for row in client.get(API + "versions/").json()]
    assert states == ["in_force", "in_force"]


def test_wrong_fields_are_named_and_leave_no_trace() -> None:
    client = api()
    document = quotes.price_document()
    bad = document | {"items": [document["items"][0] | {"price": "0"}]}
    answer = post(client, "draft/", {"document": bad})
    assert answer.status_code == 422
    words = "must be over 0; it is 0. What is given at no charge says why"
    assert answer.json()["errors"] == [{"place": "items.0.price", "message": words}]
    assert post(client, "draft/", {"document": [1]}).status_code == 422
    assert post(client, "draft/").status_code == 422
    assert not PriceBook.objects.exists()


def test_a_draft_is_thrown_away() -> None:
    draft = quotes.price_draft()
    client = api()
    assert post(client, version(draft, "discard/")).status_code == 204
    assert client.get(API + version(draft)).status_code == 404


def test_files_go_out_and_come_back_unchanged() -> None:
    book = quotes.price_book()
    client = api()
    for path, kind in (("prices.csv", "text/csv"), ("prices.xlsx", XLSX_TYPE)):
        answer = client.get(API + version(book, path))
        assert answer.status_code == 200
        assert answer["Content-Type"].startswith(kind)
        assert changes_between(document_of(book), read_price_file(answer.content)) == ()
        seen = client.post(API + "file/preview/", answer.content, content_type=kind)
        assert seen.status_code == 200
        assert seen.json()["changes"] == []


def test_a_file_is_previewed_and_kept_as_a_draft() -> None:
    quotes.price_book()
    draft = quotes.draft()
    client = api()
    data = csv_of(read_price_document(quotes.price_document())).replace(b",3.96,2.73,", b",7.92,2.73,")
    seen = client.post(API + "file/preview/", data, content_type="text/csv").json()
    (change,) = seen["changes"]
    assert change["moved"] == [{"field": "price", "old": "3.96", "new": "7.92", "percent": "100.00"}]
    assert (seen["open_quotes"], seen["effects"][0]["revision"]) == (1, draft.public_id)
    assert seen["effects"][0]["total_now"] == str(draft.total)
    assert not PriceBook.objects.filter(state="draft").exists()
    kept = client.post(API + "file/", data, content_type="text/csv")
    assert kept.status_code == 201
    book = PriceBook.objects.get(state="draft")
    assert client.get(API + version(book, "changes/")).json()["changes"] == seen["changes"]


def test_a_wrong_file_is_told_by_row_and_column() -> None:
    quotes.price_book()
    data = csv_of(read_price_document(quotes.price_document())).replace(b",3.96,2.73,", b",=1+1,2.73,")
    answer = api().post(API + "file/", data, content_type="text/csv")
    assert answer.status_code == 422
    (problem,) = answer.json()["errors"]
    assert problem["place"] == "row 10, column H (price)"
    assert api().post(API + "file/", b"x" * (FILE_MOST + 1), content_type="text/csv").status_code == 413
    assert api().post(API + "file/", b"{}", content_type=JSON).status_code == 415
    assert api().post(API + "file/", b"", content_type="text/csv").status_code == 422


def test_costs_go_to_managers_only() -> None:
    book = quotes.price_book()
    seen = api(Role.SELLER).get(API + version(book)).json()
    assert "cost" not in json.dumps(seen["document"])
    assert "margin_floor" not in seen["document"]
    assert "cost" in api().get(API + version(book)).json()["document"]["items"][0]
    assert b"cost" not in api(Role.SELLER).get(API + version(book, "prices.csv")).content.splitlines()[0]


@pytest.mark.parametrize("role", Role.values)
def test_who_may(role: str) -> None:
    draft, client = quotes.price_draft(), api(role)
    reads = role in (Role.SELLER, Role.MANAGER, Role.ADMINISTRATOR)
    for path in ("versions/", version(draft), version(draft, "prices.csv"), version(draft, "prices.xlsx")):
        assert client.get(API + path).status_code == (200 if reads else 403), path
    writes = role == Role.MANAGER
    for path in (
        "draft/",
        *(version(draft, f"{verb}/") for verb in ("change", "send", "give-back", "force")),
    ):
        assert (post(client, path).status_code == 403) is not writes, path
    for path in ("file/", "file/preview/"):
        assert (client.post(API + path, b"", content_type="text/csv").status_code == 403) is not writes, path
    assert (client.get(API + version(draft, "changes/")).status_code == 403) is not writes
    assert (post(client, version(draft, "discard/")).status_code == 403) is not writes


def test_the_queue_a_question_and_its_answer() -> None:
    draft = quotes.draft(discount_share=Decimal("0.08"))
    seller = people.client_of(draft.quote.owner)
    at = f"/api/v1/revisions/{draft.public_id}/approval/"
    assert seller.post(at + "ask/", {"reason": "Six more follow."}, content_type=JSON).status_code == 201
    client = api()
    (row,) = client.get("/api/v1/approvals/").json()
    assert (row["revision"], row["reason"], row["total"]) == (
        draft.public_id,
        "Six more follow.",
        str(draft.total),
    )
    assert float(row["margin_before"]) > float(row["margin_after"])
    assert float(row["given"]) > 0
    assert "over the seller's limit" in row["reasons"][0]
    asked = client.post(at + "question/", {"text": "Which?"}, content_type=JSON)
    assert (asked.status_code, asked.json()["is_question"]) == (201, True)
    assert client.get("/api/v1/approvals/").json() == []
    assert seller.post(at + "question/", {"text": "Which?"}, content_type=JSON).status_code == 403
    assert seller.post(at + "answer/", {"text": "Mill Lane."}, content_type=JSON).status_code == 201
    assert seller.post(at + "answer/", {"text": "Mill Lane."}, content_type=JSON).status_code == 409
    assert [word["text"] for word in client.get("/api/v1/approvals/").json()[0]["words"]] == [
        "Which?",
        "Mill Lane.",
    ]
    assert seller.get("/api/v1/approvals/").status_code == 403


def test_line_discounts_by_the_api() -> None:
    draft = quotes.draft()
    seller = people.client_of(draft.quote.owner)
    path = f"/api/v1/revisions/{draft.public_id}/change/"
    answer = seller.post(path, {"line_discounts": {"strap": "0.0500"}}, content_type=JSON)
    assert answer.status_code == 200
    assert answer.json()["line_discounts"] == [{"code": "strap", "share": "0.0500"}]
    strap = next(line for line in answer.json()["lines"] if line["code"] == "strap")
    assert (strap["exact_unit"], strap["sold_by"]) == ("ft", "ft")
    assert any(line["code"] == "less:strap" for line in answer.json()["lines"])
    assert seller.post(path, {"line_discounts": {"freight": "0.05"}}, content_type=JSON).status_code == 422
    assert seller.post(path, {"line_discounts": {"strap": "1.5"}}, content_type=JSON).status_code == 422
    services.revision_change(
        actor=people.actor(Role.MANAGER), revision=draft, at=quotes.AT, line_discounts={}
    )
    assert not draft.line_discounts.exists()
