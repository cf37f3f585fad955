"""The API's take-off: lines with their terms, schedule and cut list of a version."""

from __future__ import annotations

import pytest

from framing.common.models import Role
from framing.projects.models import Floor, FloorVersion
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


def path(floor: Floor) -> str:
    return f"/api/v1/floors/{floor.public_id}/takeoff"


def test_lines_come_with_terms_that_add_up_and_places() -> None:
    floor = make.floor()
    body = client_of(Role.PLANNER).get(path(floor)).json()
    assert (body["floor"], body["version"], body["repeat"], body["problems"]) == (floor.public_id, 1, 1, [])
    clips = next(line for line in body["lines"] if line["code"].startswith("bearing_clip"))
    assert (clips["exact"], clips["unit"], clips["bought"], clips["sold_by"]) == (34, "piece", 34, "piece")
    (term,) = clips["terms"]
    assert (term["rule"], term["quantity"], len(term["places"]), term["marks"]) == ("R20", 34, 34, ["1J01"])
    assert term["places"][0] == "clip:A.J1:low:0"
    for line in body["lines"]:
        assert sum(term["quantity"] for term in line["terms"]) == line["exact"]


def test_schedule_and_cut_list() -> None:
    body = client_of(Role.SELLER).get(path(make.floor())).json()
    (mark,) = body["schedule"]
    assert (mark["mark"], mark["kind"], mark["length_16"], mark["pieces"]) == ("1J01", "Joist", 2640, 17)
    (cut,) = body["cuts"]
    assert (cut["first"], cut["last"], cut["pieces"], cut["holes_16"]) == (1, 17, 17, mark["holes_16"])


def test_a_version_that_cannot_be_built_is_answered_with_its_problems() -> None:
    floor = make.floor()
    version = FloorVersion.objects.get(floor=floor)
    version.document["bays"][0]["profile"] = "9999S999-99"
    version.save()
    body = client_of(Role.PLANNER).get(path(floor)).json()
    assert "9999S999-99" in body["problems"][0]["message"]
    assert body["lines"] == body["schedule"] == body["cuts"] == []


def test_other_versions_and_roles() -> None:
    floor = make.floor()
    assert client_of(Role.PLANNER).get(path(floor), {"version": "2"}).status_code == 404
    assert client_of(Role.SHOP).get(path(floor)).status_code == 403
