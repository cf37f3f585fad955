"""A drawing changed as a whole, by page and by API."""

from __future__ import annotations

import json

import pytest

from framing.common.models import Role
from tests.factories import people
from tests.factories import projects as make
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("address", ["/projects/{}/draw/change/", "/api/v1/projects/{}/draw/change"])
def test_a_whole_floor_is_changed_and_nothing_is_saved(address: str) -> None:
    floor = make.floor()
    client, saved = client_of(people.user(Role.PLANNER)), floor.versions.get().document

    def ask(**body: object) -> tuple[int, dict[str, object]]:
        path = address.format(floor.project.public_id)
        answer = client.post(path, json.dumps(body), content_type="application/json")
        return answer.status_code, answer.json()

    status, turned = ask(document=saved, change="turn")
    assert status == 200
    assert turned["document"]["bays"][0]["direction"] != saved["bays"][0]["direction"]  # type: ignore[index]
    status, metric = ask(document=saved, change="metric")
    assert metric["document"]["units"] == "metric"  # type: ignore[index]
    assert ask(document=saved, change="upside down")[0] in (400, 422)
    broken = saved | {"outline": [["0", "0"], ["ten", "0"], ["0", "5'"]]}
    status, refused = ask(document=broken, change="mirror")
    assert status == 422
    assert "outline.1.0" in json.dumps(refused) or "ten" in json.dumps(refused)
    assert floor.versions.count() == 1
