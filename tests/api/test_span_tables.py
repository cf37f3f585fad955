"""The API's span tables: the page's rules and figures, the CSV, and the paper from ask to PDF."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest
from django.test import Client

from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.engine.catalogue import load_catalogue
from framing.projects.models import SpanTableAsk
from tests.factories import people

pytestmark = pytest.mark.django_db
TABLE, PAPERS = "/api/v1/span-table", "/api/v1/span-table/papers"


@pytest.fixture
def client() -> Client:
    client = Client()
    client.force_login(people.user(Role.SELLER))
    return client


def ask(client: Client, body: Any) -> Any:
    return client.post(PAPERS, body, content_type="application/json")


def test_the_table_as_json(client: Client) -> None:
    body = client.get(f"{TABLE}?use=offices&spacings=16&spacings=24&depths=12&point_load=true").json()
    assert body["asked"]["live_psf"] == 50
    assert body["asked"]["point_load"] is True
    assert body["catalogue_version"] == load_catalogue().version
    assert (body["practice"], body["practice_version"]) == ("Standard", 1)
    assert {row["depth_in"] for row in body["rows"]} == {12}
    cell = body["rows"][0]["cells"][0]
    assert set(cell) == {"spacing", "span_in", "span", "governs"}
    assert cell["spacing"] == "16 in"
    feet, inch = cell["span"].rstrip('"').split("'-")
    assert int(feet) * 12 + int(inch) == cell["span_in"]
    assert any("licensed engineer" in caution for caution in body["cautions"])


def test_json_and_csv_tell_the_same_spans(client: Client) -> None:
    rows = client.get(TABLE).json()["rows"]
    answer = client.get("/api/v1/span-table.csv", headers={"Accept": "text/csv"})
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    told = list(csv.DictReader(io.StringIO(answer.content.decode())))
    by_csv = {(line["profile"], f"{line['spacing_in']} in"): float(line["span_in"]) for line in told}
    by_json = {(row["profile"], cell["spacing"]): cell["span_in"] for row in rows for cell in row["cells"]}
    assert by_csv == by_json
    assert len(by_json) == 4 * len(load_catalogue().profiles)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ("dead_psf=-1", "dead_psf"),
        ("dead_psf=0", "dead_psf"),
        ("dead_psf=nan", "dead_psf"),
        ("dead_psf=inf", "dead_psf"),
        ("live_psf=1e300", "live_psf"),
        ("live_limit=10", "live_limit"),
        ("spacings=13", "spacings"),
        ("use=moon_base", "use"),
        ("dead_from=layers", "layers"),
        ("method=GUESS", "method"),
    ],
)
def test_a_slip_is_refused_at_its_field(client: Client, given: str, field: str) -> None:
    for address in (TABLE, "/api/v1/span-table.csv"):
        answer = client.get(f"{address}?{given}")
        assert answer.status_code == 422
        assert field in answer.json()["errors"]


@pytest.mark.parametrize("body", [[], 7, {"dead_psf": {"a": 1}}, {"spacings": 16}, {"layers": [["x"]]}])
def test_a_body_of_another_shape_is_refused(client: Client, body: Any) -> None:
    answer = ask(client, body)
    assert answer.status_code == 422
    assert not SpanTableAsk.objects.exists()


def test_the_paper_from_ask_to_pdf(client: Client) -> None:
    first = ask(client, {"use": "offices", "depths": ["8"]})
    assert first.status_code == 202
    told = first.json()
    assert told["state"] == "waiting"
    assert ask(client, {"use": "offices", "depths": ["8"], "dead_psf": 10}).json() == told
    here = f"{PAPERS}/{told['id']}"
    early = client.get(f"{here}/pdf", headers={"Accept": "application/pdf"})
    assert (early.status_code, early["Content-Type"]) == (404, "application/problem+json")
    assert outbox_run(OutboxEntry.objects.get(kind="span_table_paper").pk)
    assert client.get(here).json() == told | {"state": "done"}
    pdf = client.get(f"{here}/pdf")
    assert pdf["Content-Type"] == "application/pdf"
    assert pdf.content.startswith(b"%PDF-")
    assert told["reference"] in pdf["Content-Disposition"]


def test_who_does_not_read_the_catalogue_gets_nothing() -> None:
    shop = Client()
    shop.force_login(people.user(Role.SHOP))
    for address in (TABLE, "/api/v1/span-table.csv", f"{PAPERS}/{'0' * 20}", f"{PAPERS}/{'0' * 20}/pdf"):
        assert shop.get(address).status_code == 403
    assert ask(shop, {}).status_code == 403


@pytest.mark.parametrize("public_id", ["0" * 20, "%00", "..%2F.."])
def test_an_ask_that_is_not_there_is_not_found(client: Client, public_id: str) -> None:
    assert client.get(f"{PAPERS}/{public_id}").status_code == 404
    assert client.get(f"{PAPERS}/{public_id}/pdf").status_code == 404
