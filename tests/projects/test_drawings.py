"""The drawings of a floor: page, paper and who may have them."""

from __future__ import annotations

from io import BytesIO

import pypdfium2 as pdfium
import pytest
from django.test import Client
from django.urls import reverse

from framing.common.errors import NotAllowed, Refused
from framing.common.models import AuditEntry, OutboxEntry, Role, StoredPaper
from framing.common.outbox import outbox_run
from framing.projects.drawing_documents import drawings_paper_of, render_drawings
from framing.projects.drawing_sheets import current_drawings
from framing.projects.models import Floor, FloorVersion
from framing.projects.selectors import floor_version
from framing.projects.version_services import drawings_ask
from framing.projects.versions import DRAWINGS_PAPER, current_basis
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


def url(name: str, floor: Floor) -> str:
    return reverse(f"projects:{name}", args=[floor.public_id])


def text_of(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


def broken(floor: Floor) -> FloorVersion:
    version = FloorVersion.objects.get(floor=floor)
    version.document["bays"][0]["profile"] = "9999S999-99"
    version.save()
    return version


def test_the_page_shows_plan_marks_and_details_once_each() -> None:
    floor = make.floor()
    text = text_of(client_of(Role.PLANNER), url("drawings_page", floor))
    drawings = current_drawings(floor_version(floor))
    assert text.count('class="dw-plan"') == 1
    assert text.count('class="dw-elevation"') == len(drawings.elevations) == 1
    assert text.count('class="dw-detail"') == len(drawings.details)
    assert [row.name for row in drawings.details] == ["platform", "bridging"]
    assert 'id="mark-1J01"' in text
    assert "Make the PDF" in text
    assert ">1 of 3<" in text


def test_the_floor_page_leads_to_its_drawings() -> None:
    floor = make.floor()
    client = client_of()
    assert f'href="{url("drawings_page", floor)}">Drawings' in text_of(client, url("floor_page", floor))


def test_the_set_is_numbered_through() -> None:
    sheets = current_drawings(floor_version(make.floor())).sheets(make.AT)
    assert len(sheets) == 3
    for number, sheet in enumerate(sheets, 1):
        assert f">{number} of {len(sheets)}<" in sheet
        assert ">11/02/2026<" in sheet


def test_the_paper_is_asked_for_waited_for_and_downloaded() -> None:
    floor, client = make.floor(), client_of()
    assert client.get(url("drawings_paper", floor)).status_code == 404
    page = client.post(url("drawings_paper_ask", floor), follow=True).content.decode()
    assert "The PDF is being made." in page
    assert f'hx-get="{url("drawings_paper_state", floor)}"' in page
    entry = OutboxEntry.objects.get(kind="drawings_paper")
    assert outbox_run(entry.pk)
    assert "Download the PDF" in text_of(client, url("drawings_paper_state", floor))
    paper = client.get(url("drawings_paper", floor))
    assert paper["Content-Type"] == "application/pdf"
    assert "-drawings.pdf" in paper["Content-Disposition"]
    client.post(url("drawings_paper_ask", floor))
    OutboxEntry.objects.update(done_at=None)
    assert outbox_run(entry.pk)
    assert StoredPaper.objects.count() == 1
    assert AuditEntry.objects.filter(verb="drawings_ask").count() == 2
    assert "asked for the drawings of version 1." in text_of(client, url("floor_page", floor))


def test_the_paper_has_one_landscape_sheet_each_and_equal_papers_are_equal() -> None:
    drawings = current_drawings(floor_version(make.floor()))
    paper = drawings_paper_of(drawings, make.AT)
    made = render_drawings(paper)
    assert made.pages == len(drawings.sheets(make.AT)) == 3
    assert made.data == render_drawings(paper).data
    with pdfium.PdfDocument(BytesIO(made.data)) as document:
        assert all(page.get_width() > page.get_height() for page in document)
        words = [page.get_textpage().get_text_range() for page in document]
    assert "1J01" in words[1]
    assert "Full-depth bearing clip" in words[2]


def test_stopped_work_is_put_back_in_line_by_asking_again() -> None:
    version = floor_version(make.floor())
    entry = drawings_ask(actor=people.actor(), at=make.AT, version=version)
    OutboxEntry.objects.filter(pk=entry.pk).update(parked_at=make.AT, attempts=3, error="no room")
    assert DRAWINGS_PAPER.state(current_basis(version)).job == entry
    drawings_ask(actor=people.actor(), at=make.AT, version=version)
    entry.refresh_from_db()
    assert (entry.parked_at, entry.attempts) == (None, 0)


def test_a_version_that_cannot_be_built_says_why_and_is_not_asked_for() -> None:
    floor, client = make.floor(), client_of()
    version = broken(floor)
    text = text_of(client, url("drawings_page", floor))
    assert "so there is nothing to draw" in text
    assert "9999S999-99" in text
    assert "Make the PDF" not in text
    assert client.post(url("drawings_paper_ask", floor)).status_code == 422
    with pytest.raises(Refused, match="can't be built"):
        drawings_ask(actor=people.actor(), at=make.AT, version=version)
    with pytest.raises(ValueError, match="no drawings"):
        current_drawings(version).sheets(make.AT)
    assert OutboxEntry.objects.count() == 0


def test_who_only_reads_finds_no_button() -> None:
    floor = make.floor()
    dispatcher = client_of(Role.DISPATCHER)
    assert "Make the PDF" not in text_of(dispatcher, url("drawings_page", floor))
    assert dispatcher.post(url("drawings_paper_ask", floor)).status_code == 403
    assert client_of(Role.SHOP).get(url("drawings_page", floor)).status_code == 403
    with pytest.raises(NotAllowed):
        drawings_ask(actor=people.actor(Role.DISPATCHER), at=make.AT, version=floor_version(floor))


def test_the_api_gives_the_drawings_and_the_paper() -> None:
    floor, client = make.floor(), client_of()
    path = f"/api/v1/floors/{floor.public_id}/drawings"
    body = client.get(path).json()
    assert (body["floor"], body["version"], body["problems"]) == (floor.public_id, 1, [])
    assert body["plan"].startswith("<svg")
    assert [row["name"] for row in body["elevations"]] == ["1J01"]
    assert all(row["svg"].startswith("<svg") for row in body["elevations"] + body["details"])
    assert client.get(f"{path}/paper").json() == {"version": 1, "state": "none"}
    assert client.get(f"{path}/paper/pdf").status_code == 404
    asked = client.post(f"{path}/paper")
    assert (asked.status_code, asked.json()["state"]) == (202, "waiting")
    assert outbox_run(OutboxEntry.objects.get(kind="drawings_paper").pk)
    assert client.get(f"{path}/paper").json()["state"] == "done"
    assert client.get(f"{path}/paper/pdf").content.startswith(b"%PDF")
    broken(floor)
    body = client.get(path).json()
    assert (body["plan"], body["elevations"], body["details"]) == ("", [], [])
    assert "9999S999-99" in body["problems"][0]["message"]
