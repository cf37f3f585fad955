"""The take-off page: what it says, how large it is, what it asks of the database, who reads it."""

from __future__ import annotations

import json
from html import unescape
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.actors import person
from framing.common.models import Role
from framing.projects import services
from framing.projects.models import Floor, FloorVersion
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
HOUSE = Path(__file__).parents[1] / "plans" / "house.json"
PAGE_MOST = 120_000


@pytest.fixture
def client() -> Client:
    return client_of(Role.PLANNER)


def house() -> Floor:
    home = make.project()
    document = json.loads(HOUSE.read_text())
    return services.floor_create(actor=person(home.owner), at=make.AT, project=home, document=document)


def url(floor: Floor, name: str = "takeoff_page") -> str:
    return reverse(f"projects:{name}", args=[floor.public_id])


def text_of(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


def test_the_page_holds_bill_plan_schedule_and_cut_list_within_its_size(client: Client) -> None:
    text = text_of(client, url(house()))
    assert len(text.encode()) <= PAGE_MOST
    for words in (
        "Full-depth bearing clip for 8 in joists",
        "26 = 8 + 6 + 12",
        "4 boxes of 250",
        "772 and 5 % allowance are 810.6",
        'data-places="56"',
        "56 places",
        "dw-sketch",
        "1J04, 26 of 26",
        "<h2>Joist schedule</h2>",
        "<h2>Cut list</h2>",
        "All pieces",
    ):
        assert words in text, words
    assert "$" not in text  # no prices


def test_each_line_is_a_part_that_opens_and_its_terms_are_known_to_the_script(client: Client) -> None:
    text = text_of(client, url(house()))
    lights = json.loads(unescape(text.split('<template id="lights">')[1].split("</template>")[0]))
    assert text.count("<details><summary>") == text.count('class="bill-line"')
    numbers = [int(part.split('"')[0]) for part in text.split('data-term="')[1:]]
    assert numbers == list(range(len(lights["terms"])))
    plan = ET.fromstring("<svg" + text.split("<figure", 1)[1].split("<svg", 1)[1].split("</figure>")[0])  # noqa: S314  # our own
    drawn = {part.attrib["data-id"] for part in plan.iter() if "data-id" in part.attrib}
    assert set(lights["members"]) <= drawn


def test_the_database_is_asked_as_often_for_a_large_floor_as_for_a_small_one(client: Client) -> None:
    counts = []
    for floor in (make.floor(), house()):
        with CaptureQueriesContext(connection) as asked:
            client.get(url(floor))
        counts.append(len(asked))
    assert counts[0] == counts[1] <= 6


def test_the_floor_page_leads_here(client: Client) -> None:
    floor = make.floor()
    assert f'href="{url(floor)}">Take-off</a>' in text_of(client, url(floor, "floor_page"))


def test_files_of_the_take_off_are_offered_for_the_version_shown(client: Client) -> None:
    floor = make.floor(name="Twice")
    services.floor_save(
        actor=person(floor.project.owner),
        at=make.AT,
        floor=floor,
        document=make.document("Twice", depth="10'"),
        base_version=1,
    )
    newest, older = text_of(client, url(floor)), text_of(client, url(floor) + "?version=1")
    assert f'href="{url(floor, "takeoff_xlsx")}"' in newest
    assert f'href="{url(floor, "takeoff_csv")}?table=cuts"' in newest
    assert f'href="{url(floor, "plan_dxf")}?version=1"' in older
    assert f'href="{url(floor, "takeoff_csv")}?table=cuts&amp;version=1"' in older
    assert "version 1 (newest is 2)" in older
    assert "13&#x27;-9&quot;" in older
    assert "13&#x27;-9&quot;" not in newest


def test_a_version_that_cannot_be_built_says_why(client: Client) -> None:
    floor = make.floor()
    version = FloorVersion.objects.get(floor=floor)
    version.document["bays"][0]["profile"] = "9999S999-99"
    version.save()
    text = text_of(client, url(floor))
    assert "be built, so there is nothing to count" in text
    assert "9999S999-99" in text
    assert "Bill of materials" not in text


def test_a_floor_that_fails_or_is_built_again_says_so(client: Client) -> None:
    home = make.project()
    document = make.document("Weak", depth="22'", profile="800S200-43")
    document["repeat"] = 3
    floor = services.floor_create(actor=person(home.owner), at=make.AT, project=home, document=document)
    text = text_of(client, url(floor))
    assert "Some members fail a check." in text
    assert "built 3 times; counts are for one" in text


@pytest.mark.parametrize("version", ["2", "0", "x", "9999999999"])
def test_what_is_not_there_is_not_found(client: Client, version: str) -> None:
    assert client.get(url(make.floor()), {"version": version}).status_code == 404


def test_the_shop_does_not_come_here() -> None:
    floor = make.floor()
    assert client_of(Role.SHOP).get(url(floor)).status_code == 403
    assert client_of(Role.DISPATCHER).get(url(floor)).status_code == 200
