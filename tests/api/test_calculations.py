"""The API's calculation sheets: all cases of a version, and the paper from asking to bytes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.common.models import OutboxEntry, Role
from framing.common.outbox import outbox_run
from framing.projects import sheets
from framing.projects.models import Floor, FloorVersion
from tests.factories import projects as make
from tests.factories.people import client_of
from tests.factories.sheets import simple_sheet

pytestmark = pytest.mark.django_db


def path(floor: Floor, more: str = "") -> str:
    return f"/api/v1/floors/{floor.public_id}/checks{more}"


def test_all_cases_of_a_floor_with_their_checks() -> None:
    floor = make.floor()
    body = client_of(Role.PLANNER).get(path(floor)).json()
    assert (body["floor"], body["version"], body["method"]) == (floor.public_id, 1, "ASD")
    assert body["problems"] == []
    assert sum(len(case["members"]) for case in body["cases"]) == 17
    case = body["cases"][0]
    assert case["reference"] == "C1"
    required = [check for check in case["checks"] if check["required"]]
    assert case["checks"][case["governing"]]["ratio"] == max(check["ratio"] for check in required)
    assert case["passes"] is all(check["passes"] for check in required)


def test_a_sheet_comes_with_loads_curves_and_workings(monkeypatch: pytest.MonkeyPatch) -> None:
    by_hand = replace(simple_sheet(), check=replace(simple_sheet().check, members=("A.J1",)))
    monkeypatch.setattr(sheets, "member_sheets", lambda *_: (by_hand,))
    (case,) = client_of(Role.SELLER).get(path(make.floor())).json()["cases"]
    assert case["marks"] == [{"mark": "1J01", "count": 1}]
    assert case["supports"][1] == {"at_in": 144.0, "words": "Wall at the high edge"}
    assert [load["symbol"] for load in case["loads"]] == ["wD", "wL"]
    assert case["curves"][0]["points"][20] == pytest.approx([72.0, 14.4, 2.88])
    assert case["workings"][0]["values"][3] == {
        "words": "Nominal strength",
        "symbol": "Mnd",
        "value": 49.8,
        "unit": "kip-in",
        "source": "AISI D100-17, example II-5",
    }
    assert [check["required"] for check in case["checks"]] == [True] * 5 + [False]


def test_the_paper_is_asked_for_and_fetched() -> None:
    floor, seller = make.floor(), client_of(Role.SELLER)
    assert seller.get(path(floor, "/paper")).json() == {"version": 1, "state": "none"}
    assert seller.get(path(floor, "/paper/pdf")).status_code == 404
    for _ in range(2):
        asked = seller.post(path(floor, "/paper"))
        assert (asked.status_code, asked.json()["state"]) == (202, "waiting")
    assert outbox_run(OutboxEntry.objects.get(kind="calculation_paper").pk)
    assert seller.get(path(floor, "/paper")).json()["state"] == "done"
    paper = seller.get(path(floor, "/paper/pdf"), HTTP_ACCEPT="application/pdf")
    assert paper["Content-Type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF")


def test_what_cannot_be_built_is_told_with_its_problems() -> None:
    floor, seller = make.floor(), client_of(Role.SELLER)
    version = FloorVersion.objects.get(floor=floor)
    version.document["bays"][0]["profile"] = "9999S999-99"
    version.save()
    body = seller.get(path(floor)).json()
    assert body["cases"] == []
    assert "9999S999-99" in body["problems"][0]["message"]
    refused = seller.post(path(floor, "/paper"))
    assert refused.status_code == 422
    assert "9999S999-99" in refused.json()["errors"][0]["message"]


def test_who_may_not_ask_and_what_is_not_there() -> None:
    floor = make.floor()
    assert client_of(Role.DISPATCHER).get(path(floor)).status_code == 200
    assert client_of(Role.DISPATCHER).post(path(floor, "/paper")).status_code == 403
    assert client_of(Role.SHOP).get(path(floor)).status_code == 403
    seller = client_of(Role.SELLER)
    for more in ("", "/paper", "/paper/pdf"):
        assert seller.get(path(floor, more) + "?version=7").status_code == 404
        assert seller.get(path(floor, more) + "?version=x").status_code == 404
