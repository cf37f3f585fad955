"""Pages of span tables and profiles: rights, key texts, downloads, the paper made once, slips at their field."""

from __future__ import annotations

import csv
import io
from urllib.parse import urlencode

import pypdf
import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import escape

from framing.common.clock import database_now
from framing.common.models import AuditEntry, OutboxEntry, Role, StoredPaper
from framing.common.outbox import ATTEMPTS_MOST, outbox_run
from framing.engine.catalogue import load_catalogue
from framing.engine.errors import LoadRefused
from framing.engine.practice import Practice
from framing.engine.sizing.span_table import SpanCase, span_table
from framing.engine.strength.profile import profile_strength
from framing.engine.units import format_length
from framing.projects import services, span_tables, tasks
from framing.projects.models import SpanTableAsk
from framing.projects.span_forms import usual_values
from framing.projects.span_tables import GOVERNS
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
PAGE, CSV, ASK = (
    "/projects/profiles/spans/",
    "/projects/profiles/spans/table.csv",
    "/projects/profiles/spans/paper/",
)
USUAL = usual_values(Practice()) | {"asked": ["1"]}


@pytest.fixture
def client() -> Client:
    return client_of(people.user(Role.SELLER))


def query(**values: str | list[str]) -> str:
    return urlencode(USUAL | values, doseq=True)


def text_of(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address)
    assert response.status_code == status
    return response.content.decode()


@pytest.mark.parametrize("role", [Role.SELLER, Role.MANAGER, Role.PLANNER, Role.ADMINISTRATOR])
def test_who_reads_the_catalogue_reads_its_spans(role: str) -> None:
    client = client_of(people.user(role))
    assert "Clear spans of floor joists" in text_of(client, PAGE)


def test_the_shop_floor_and_strangers_do_not() -> None:
    shop = client_of(people.user(Role.SHOP))
    for address in (PAGE, CSV):
        assert shop.get(address).status_code == 403
        assert Client().get(address).status_code == 302
    assert shop.post(ASK).status_code == 403
    assert not SpanTableAsk.objects.exists()


def test_the_page_shows_what_the_engine_says(client: Client) -> None:
    text = text_of(client, PAGE)
    table = span_table(load_catalogue(), SpanCase(dead_psf=10.0, live_psf=40.0), Practice())
    for row in table.rows:
        shown = text[text.index(f"{row.profile.designator}<") :].split("</tr>")[0]
        for cell in row.cells:
            assert escape(format_length(int(cell.span_in) * 16, "imperial")) in shown
            assert f">{GOVERNS[cell.governs].letter}</abbr>" in shown
    for words in ("40 psf", "10 psf", "live L/480, total L/240", "AISI S100, ASD", "licensed engineer"):
        assert words in text, words
    assert load_catalogue().version in text
    assert "Make the PDF" in text


def test_the_profiles_and_their_spans_are_a_step_apart(client: Client) -> None:
    profiles = text_of(client, reverse("projects:profile_list"))
    assert f'href="{PAGE}"' in profiles
    assert f'href="{reverse("projects:profile_list")}"' in text_of(client, PAGE)


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("dead_psf", "-7", "A load can&#x27;t be negative."),
        ("dead_psf", "0", "A load is over 0 psf."),
        ("dead_psf", "heavy", "is no number"),
        ("live_psf", "99999", "is over 1,000 psf"),
        ("live_limit", "L/9", "is outside L/120 to L/1000"),
        ("spacings", [], "Tick at least one."),
    ],
)
def test_a_slip_is_said_at_its_field_and_nothing_typed_is_lost(
    client: Client, field: str, typed: str | list[str], words: str
) -> None:
    text = text_of(client, f"{PAGE}?{query(**{field: typed, 'partition_psf': '12.25'})}", 422)
    assert words in text
    assert f'id="id_{field}_error"' in text
    assert 'value="12.25"' in text
    assert not typed or f'value="{typed}"' in text
    assert "Download CSV" not in text


def test_a_table_without_any_span_says_so(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    real = span_tables.engine_table

    def none(*given):
        table = real(*given)
        cells = tuple(
            span_tables.SpanCell(0.0, "outside AISI S100 B4.1", "h/t") for _ in table.case.spacings_in
        )
        rows = tuple(span_tables.SpanRow(row.profile, cells) for row in table.rows)
        return span_tables.SpanTable(table.case, rows, table.notes)

    monkeypatch.setattr(span_tables, "engine_table", none)
    text = text_of(client, PAGE)
    assert "No profile spans under these loads." in text
    assert "Make the PDF" not in text


def test_what_the_engine_refuses_stands_above_the_form(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*given):
        raise LoadRefused("The live load is 40 psf; it must be less.")

    monkeypatch.setattr(span_tables, "engine_table", refuse)
    assert "it must be less" in text_of(client, PAGE, 422)
    assert client.get(CSV).status_code == 302
    assert client.post(ASK).status_code == 302
    assert not SpanTableAsk.objects.exists()


def test_the_csv_is_the_table(client: Client) -> None:
    response = client.get(f"{CSV}?{query(depths='10', spacings=['16', '24'], dead_psf='15')}")
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert response["Content-Disposition"].startswith('attachment; filename="span-table-')
    rows = list(csv.DictReader(io.StringIO(response.content.decode())))
    assert {(row["spacing_in"], row["dead_psf"]) for row in rows} == {("16", "15"), ("24", "15")}
    assert len(rows) == 2 * sum(profile.depth_in == 10 for profile in load_catalogue().profiles)
    assert client.get(f"{CSV}?{query(dead_psf='x')}")["Location"].startswith(f"{PAGE}?")


def test_the_paper_is_asked_for_made_and_fetched(client: Client) -> None:
    asked = query(use="offices", spans="two", units="metric")
    answer = client.post(f"{ASK}?{asked}")
    assert (answer.status_code, answer["Location"].split("?")[0]) == (302, PAGE)
    row = SpanTableAsk.objects.get()
    assert "The PDF is being made." in text_of(client, answer["Location"])
    paper = reverse("projects:span_paper", args=[row.public_id])
    assert client.get(paper).status_code == 404
    assert outbox_run(OutboxEntry.objects.get(kind="span_table_paper").pk)
    assert paper in text_of(client, answer["Location"])
    pdf = client.get(paper)
    assert pdf["Content-Type"] == "application/pdf"
    pages = pypdf.PdfReader(io.BytesIO(pdf.content)).pages
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)
    for words in (
        row.reference,
        "Offices",
        "50 psf",
        "two equal spans",
        "1000S162-54",
        "406 mm",
        "licensed engineer",
    ):
        assert words in text, words
    assert load_catalogue().version in text


def test_equal_asks_are_one_ask_with_one_paper(client: Client) -> None:
    other = client_of(people.user(Role.MANAGER))
    for browser in (client, other, client):
        browser.post(f"{ASK}?{query(dead_psf='12', depths='8')}")
    browser.post(f"{ASK}?{query(dead_psf='12.0', depths='8')}")
    assert SpanTableAsk.objects.count() == OutboxEntry.objects.filter(kind="span_table_paper").count() == 1
    assert AuditEntry.objects.filter(verb="span_table_ask").count() == 1
    entry = OutboxEntry.objects.get(kind="span_table_paper")
    assert outbox_run(entry.pk)
    assert not outbox_run(entry.pk)
    tasks.span_table_paper(entry.payload)
    assert StoredPaper.objects.filter(kind="span_table").count() == 1
    client.post(f"{ASK}?{query(dead_psf='13', depths='8')}")
    assert SpanTableAsk.objects.count() == 2


def test_another_practice_set_makes_another_paper(client: Client) -> None:
    client.post(ASK)
    actor = people.actor(Role.MANAGER)
    services.practice_set_put(actor=actor, at=make.AT, name="Short", values={"longest_piece_16": 3840})
    client.post(ASK)
    first, second = SpanTableAsk.objects.order_by("id")
    assert first.digest != second.digest
    assert [row.practice.name for row in (first, second)] == ["Standard", "Short"]


def test_stopped_work_can_be_asked_for_again(client: Client) -> None:
    client.post(ASK)
    job = OutboxEntry.objects.get(kind="span_table_paper")
    OutboxEntry.objects.filter(pk=job.pk).update(parked_at=database_now(), attempts=ATTEMPTS_MOST)
    assert "Try the PDF again" in text_of(client, PAGE)
    client.post(ASK)
    assert outbox_run(job.pk)
    assert AuditEntry.objects.filter(verb="span_table_ask").count() == 2
    assert "Download PDF" in text_of(client, PAGE)


def test_the_profiles_show_computed_strengths(client: Client) -> None:
    text = text_of(client, reverse("projects:profile_list"))
    profile = load_catalogue().profile("1000S162-54")
    strength = profile_strength(
        profile.shape,
        profile.steel,
        method=Practice().method,
        hole_depth_in=profile.hole_depth_in,
        hole_length_in=profile.hole_length_in,
    )
    for value, digits in (
        (strength.effective_inertia_in4, 2), (strength.section_modulus_in3, 3),
        (strength.local_moment_kipin, 1), (strength.distortional_moment_kipin, 1),
    ):  # fmt: skip
        assert f"{value:.{digits}f}" in text
    assert f"{strength.shear_lb:,.0f}" in text
    assert "G3 holds for h/t up to 200" in text
    assert "allowable strength (ASD)" in text
    actor = people.actor(Role.MANAGER)
    services.practice_set_put(actor=actor, at=make.AT, name="By LRFD", values={"method": "LRFD"})
    assert "design strength (LRFD)" in text_of(client, reverse("projects:profile_list"))
