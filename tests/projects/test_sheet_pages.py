"""The pages of calculation sheets: what they say, where they lead, who may ask for the paper."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import OutboxEntry, Role, StoredPaper
from framing.common.outbox import outbox_run
from framing.engine.catalogue import Catalogue
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, MemberSheet
from framing.projects import services, sheets
from framing.projects.models import Floor, FloorVersion
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.factories.sheets import failing_sheet, simple_sheet

pytestmark = pytest.mark.django_db


def by_hand(result: FloorResult, catalogue: Catalogue, practice: Practice) -> tuple[MemberSheet, ...]:
    """Two sheets of known numbers for a floor of 17 joists."""
    del catalogue, practice
    ids = tuple(member.id for member in result.members)
    first, second = simple_sheet(), failing_sheet()
    return (
        replace(first, check=replace(first.check, members=ids[:14])),
        replace(second, check=replace(second.check, members=ids[14:], plies=2)),
    )


@pytest.fixture
def client() -> Client:
    return client_of(people.user(Role.SELLER, name="Ira Penn"))


@pytest.fixture
def two_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheets, "member_sheets", by_hand)


def url(name: str, floor: Floor, *more: str) -> str:
    return reverse(f"projects:{name}", args=[floor.public_id, *more])


def text_of(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


@pytest.mark.usefixtures("two_sheets")
def test_the_list_names_each_case_its_members_and_its_worst_check(client: Client) -> None:
    floor = make.floor()
    text = text_of(client, url("sheet_list", floor))
    for words in ("14 × 1J01", "2 × 800S200-54", "0.483", "1.027", "1 of 2 cases fails.", "Standard 1, ASD"):  # noqa: RUF001
        assert words in text, words
    assert url("sheet_page", floor, "C2") in text
    assert "Make the PDF" in text


@pytest.mark.usefixtures("two_sheets")
def test_a_sheet_shows_inputs_loads_workings_and_checks(client: Client) -> None:
    text = text_of(client, url("sheet_page", make.floor(), "C1"))
    for words in (
        "Passes.",
        "ASCE 7-16 Table 4.3-1",
        "Mnd = (1 - 0.22 (Mcrd / My)^0.5)",
        "AISI S100-16 F4.1",
        "in<sup>4</sup>",
        "0.000775",
        "Limit L/480",
        "For information",
        "The bearing clip stiffens the web",
        "not an engineer",
        "<title>C1: Joist, span 12&#x27;-0&quot;</title>".replace("&#x27;", "'").replace("&quot;", '"'),
    ):
        assert words in text, words
    assert text.count('scope="row"') > 20
    assert "Fails" not in text


@pytest.mark.usefixtures("two_sheets")
def test_a_failing_sheet_says_so_and_leads_back(client: Client) -> None:
    floor = make.floor()
    text = text_of(client, url("sheet_page", floor, "C2"))
    assert "Fails." in text
    assert 'class="fails"' in text
    assert f'rel="prev" href="{url("sheet_page", floor, "C1")}"' in text
    assert 'rel="next"' not in text
    assert "Over</span>" in text


def test_a_sheet_without_drawn_parts_leaves_their_headings_out(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    bare = replace(simple_sheet(), supports=(), loads=(), reactions=(), section=(), curves=(), workings=())
    monkeypatch.setattr(sheets, "member_sheets", lambda *_: (bare,))
    text = text_of(client, url("sheet_page", make.floor(), "C1"))
    assert "dw-member" not in text
    for heading in ("Workings", "Reactions", "Extremes", "Loads on the member"):
        assert f"<h2>{heading}</h2>" not in text


def test_the_floor_page_leads_to_the_sheets_of_what_is_saved_only(client: Client) -> None:
    floor = make.floor()
    page = text_of(client, url("floor_page", floor))
    assert f'href="{url("sheet_list", floor)}">Calculation sheets' in page
    assert f'href="{url("sheet_page", floor, "C1")}"' in page
    drawn = client.post(url("floor_page", floor), {"intent": "draw", "width": "12'", "depth": "10'"})
    assert url("sheet_list", floor) not in drawn.content.decode()


def test_an_older_version_keeps_its_own_sheets(client: Client) -> None:
    floor = make.floor(name="First floor")
    services.floor_save(
        actor=person(floor.project.owner),
        at=make.AT,
        floor=floor,
        document=make.document("First floor", depth="10'"),
        base_version=1,
    )
    newest = text_of(client, url("sheet_list", floor))
    older = text_of(client, url("sheet_list", floor) + "?version=1")
    assert "version 2" in newest
    assert "version 1 (newest is 2)" in older
    assert "C1/?version=1" in older
    assert "13&#x27;-" in older
    assert "13&#x27;-" not in newest
    sheet = text_of(client, url("sheet_page", floor, "C1") + "?version=1")
    assert f"{url('sheet_list', floor)}?version=1" in sheet
    asked = client.post(url("sheet_paper_ask", floor), {"version": "1"})
    assert asked["Location"] == url("sheet_list", floor) + "?version=1"


def test_a_version_that_cannot_be_built_says_why_and_offers_no_paper(client: Client) -> None:
    floor = make.floor()
    version = FloorVersion.objects.get(floor=floor)
    version.document["bays"][0]["profile"] = "9999S999-99"
    version.save()
    text = text_of(client, url("sheet_list", floor))
    assert "be built, so there is nothing to calculate" in text
    assert "9999S999-99" in text
    assert "Make the PDF" not in text
    assert client.get(url("sheet_page", floor, "C1"))["Location"] == url("sheet_list", floor)
    assert client.post(url("sheet_paper_ask", floor)).status_code == 422


@pytest.mark.parametrize("version", ["2", "0", "-1", "x", "9999999999", "\u0663"])
def test_what_is_not_there_is_not_found(client: Client, version: str) -> None:
    floor = make.floor()
    for name in ("sheet_list", "sheet_paper", "sheet_paper_state"):
        assert client.get(url(name, floor), {"version": version}).status_code == 404
    assert client.post(url("sheet_paper_ask", floor), {"version": version}).status_code == 404
    assert client.get(url("sheet_page", floor, "C999")).status_code == 404


def test_the_paper_is_asked_for_waited_for_and_downloaded(client: Client) -> None:
    floor = make.floor()
    assert client.get(url("sheet_paper", floor)).status_code == 404
    page = client.post(url("sheet_paper_ask", floor), follow=True).content.decode()
    assert "The PDF is being made." in page
    assert f'hx-get="{url("sheet_paper_state", floor)}"' in page
    assert "Make the PDF" not in page
    entry = OutboxEntry.objects.get(kind="calculation_paper")
    assert f'id="job-{entry.pk}"' in text_of(client, url("sheet_paper_state", floor))
    assert outbox_run(entry.pk)
    state = text_of(client, url("sheet_paper_state", floor))
    assert "Download the PDF" in state
    assert "job-" not in state
    paper = client.get(url("sheet_paper", floor))
    assert paper["Content-Type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF")
    assert "-calculation.pdf" in paper["Content-Disposition"]
    assert "Download the PDF" in text_of(client, url("sheet_page", floor, "C1"))
    client.post(url("sheet_paper_ask", floor))
    assert StoredPaper.objects.count() == 1
    assert "asked for the calculation sheets of version 1." in text_of(client, url("floor_page", floor))


def test_stopped_work_is_said_and_can_be_asked_for_again(client: Client) -> None:
    floor = make.floor()
    client.post(url("sheet_paper_ask", floor))
    OutboxEntry.objects.update(parked_at=make.AT, error="broken")
    text = text_of(client, url("sheet_list", floor))
    assert "This work stopped." in text
    assert "Make the PDF" in text


def test_who_only_reads_finds_no_button() -> None:
    floor = make.floor()
    dispatcher = client_of(people.user(Role.DISPATCHER))
    assert "Make the PDF" not in text_of(dispatcher, url("sheet_list", floor))
    assert dispatcher.post(url("sheet_paper_ask", floor)).status_code == 403
    assert client_of(people.user(Role.SHOP)).get(url("sheet_list", floor)).status_code == 403
