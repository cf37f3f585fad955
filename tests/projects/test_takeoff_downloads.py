"""Downloads of a take-off from page and API: who may, what is named, what is refused in words."""

from __future__ import annotations

import io
import zipfile

import ezdxf
import pytest
from django.test import Client
from django.urls import reverse

from framing.common.models import Role
from framing.projects.models import Floor, FloorVersion
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
NAMES = ("takeoff_csv", "takeoff_xlsx", "plan_dxf")
TYPES = {
    "takeoff_csv": "text/csv; charset=utf-8",
    "takeoff_xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "plan_dxf": "image/vnd.dxf",
}
FILES = {"takeoff_csv": "materials.csv", "takeoff_xlsx": "takeoff.xlsx", "plan_dxf": "plan.dxf"}


def url(name: str, floor: Floor, where: str = "projects") -> str:
    return reverse(f"{where}:{name}", args=[floor.public_id])


@pytest.mark.parametrize("name", NAMES)
def test_page_and_api_hand_out_the_same_named_file(name: str) -> None:
    floor, client = make.floor(name="Main floor"), client_of(Role.SELLER)
    answer = client.get(url(name, floor))
    assert answer.status_code == 200
    assert answer["Content-Type"] == TYPES[name]
    assert (
        answer["Content-Disposition"]
        == f'attachment; filename="floor-{floor.public_id[:8]}-v1-{FILES[name]}"'
    )
    by_api = client.get(url(name, floor, "api"), headers={"Accept": TYPES[name].split(";")[0]})
    assert by_api.content == answer.content
    assert by_api["Content-Disposition"] == answer["Content-Disposition"]
    assert client.get(url(name, floor, "api")).content == answer.content


def test_files_hold_the_floor() -> None:
    floor, client = make.floor(), client_of(Role.MANAGER)
    drawing = ezdxf.read(io.StringIO(client.get(url("plan_dxf", floor)).content.decode()))  # type: ignore[attr-defined]
    assert len(drawing.modelspace().query('LWPOLYLINE[layer=="JOISTS"]')) == 17
    notes = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="NOTES"]')]
    assert notes[:2] == [floor.project.name, f"{floor.name}, version 1"]
    assert "practice set Standard 1, ASD" in notes[2]
    with zipfile.ZipFile(io.BytesIO(client.get(url("takeoff_xlsx", floor)).content)) as book:
        assert book.testzip() is None
    cuts = client.get(url("takeoff_csv", floor), {"table": "cuts"})
    assert cuts["Content-Disposition"].endswith('-v1-cuts.csv"')
    assert cuts.content.decode("utf-8-sig").splitlines()[1].startswith("1,17,1J01,")


@pytest.mark.parametrize("role", Role.values)
def test_who_reads_floors_may_take_the_files(role: str) -> None:
    floor, client = make.floor(), client_of(role)
    status = 403 if role == Role.SHOP else 200
    assert client.get(url("takeoff_csv", floor)).status_code == status
    assert client.get(url("takeoff_csv", floor, "api")).status_code == status


def test_strangers_are_asked_to_sign_in() -> None:
    floor = make.floor()
    for name in NAMES:
        assert Client().get(url(name, floor)).status_code == 302
        assert Client().get(url(name, floor, "api")).status_code in (401, 403)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_not_there_is_not_found(name: str) -> None:
    floor, client = make.floor(), client_of(Role.PLANNER)
    for where in ("projects", "api"):
        for version in ("2", "0", "x", "9999999999"):
            assert client.get(url(name, floor, where), {"version": version}).status_code == 404
        assert client.get(url(name, floor, where), {"version": "1"}).status_code == 200
        assert client.post(url(name, floor, where)).status_code == 405
    assert client.get(reverse(f"projects:{name}", args=["nothing"])).status_code == 404


def test_the_take_off_page_offers_all_files() -> None:
    floor = make.floor()
    text = client_of(Role.SELLER).get(url("takeoff_page", floor)).content.decode()
    tables = [f"{url('takeoff_csv', floor)}?table={table}" for table in ("materials", "schedule", "cuts")]
    for address in (*tables, url("takeoff_xlsx", floor), url("plan_dxf", floor)):
        assert f'href="{address}"' in text


def test_an_unknown_table_is_not_found_in_words() -> None:
    floor, client = make.floor(), client_of(Role.SELLER)
    answer = client.get(url("takeoff_csv", floor, "api"), {"table": "prices"})
    assert answer.status_code == 404
    assert answer.json()["detail"] == "The take-off has the tables materials, schedule, cuts."
    assert client.get(url("takeoff_csv", floor), {"table": "prices"}).status_code == 404


@pytest.mark.parametrize("name", NAMES)
def test_a_version_that_cannot_be_built_is_refused_with_its_reason(name: str) -> None:
    floor, client = make.floor(), client_of(Role.SELLER)
    version = FloorVersion.objects.get(floor=floor)
    version.document["bays"][0]["profile"] = "9999S999-99"
    version.save()
    page = client.get(url(name, floor))
    assert page.status_code == 422
    assert "9999S999-99" in page.content.decode()
    refused = client.get(url(name, floor, "api"))
    assert refused.status_code == 422
    assert refused["Content-Type"] == "application/problem+json"
    assert "9999S999-99" in refused.json()["errors"][0]["message"]
