"""What the shop refuses, by page and by operation alike: at which field, and what it says to do instead."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse

from framing.common.models import Role
from orders import services
from orders.models import Line, LinePin, ShopAction
from tests.factories import lines, orders, people
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _the_shop_s_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages ask the database's clock; here it stands at the day of the samples."""
    for module in ("orders.views.lines", "orders.views.line_setup", "orders.api.lines"):
        monkeypatch.setattr(f"{module}.database_now", lambda: lines.AT)


def refused(page: Any, operation: Any, field: str, words: str) -> None:
    """Both answer 422 with the same words: the page at the field, the operation naming it."""
    assert (page.status_code, operation.status_code) == (422, 422)
    shown = page.content.decode().replace("&#x27;", "'")
    assert f"id_{field}_error" in shown
    assert words in shown
    assert operation.json()["field"] == field
    assert words in operation.content.decode()


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"feet_per_minute": "0"}, "feet_per_minute", "more than 0"),
        ({"shifts_1": "14:00-6:00"}, "shifts_1", "ends before it begins; write 14:00-6:00+1"),
    ],
)
def test_a_line_that_cannot_run(changed: dict[str, str], field: str, words: str) -> None:
    planner = client_of(Role.PLANNER)
    shifts = {f"shifts_{day}": hours for day, hours in enumerate(lines.DAYS)}
    typed = {"name": "North", "feet_per_minute": "20", "works": "on", **shifts} | changed
    page = planner.post(reverse("orders:line_new"), typed)
    given = {
        "name": "North",
        "feet_per_minute": typed["feet_per_minute"],
        "shifts": [typed[f"shifts_{day}"] for day in range(7)],
    }
    operation = planner.post(reverse("api:orders_api:line_make"), given, content_type="application/json")
    refused(page, operation, field, words)
    assert not Line.objects.exists()


@pytest.mark.parametrize(
    ("ahead", "words"), [(2, "stands: pin it to"), (0, "today is frozen; choose a later day")]
)
def test_a_pin_on_a_day_that_takes_none(ahead: int, words: str) -> None:
    bundle = orders.released().bundles.order_by("number")[0]
    lines.line()
    day: Any = lines.working_day(2) if ahead else lines.TODAY
    planner = client_of(Role.PLANNER)
    if ahead:
        services.closure_add(
            actor=people.actor(Role.PLANNER), at=lines.AT, day=day, words="Stock-taking", line=None
        )
    pin = {"day": day.isoformat()}
    page = planner.post(reverse("orders:bundle_move", args=[bundle.public_id]), pin)
    operation = planner.post(
        reverse("api:orders_api:bundle_pin", args=[bundle.public_id]), pin, content_type="application/json"
    )
    refused(page, operation, "day", words)
    assert pin["day"] in page.content.decode(), "what was typed stays"
    assert not LinePin.objects.exists()


def test_codes_that_lead_nowhere() -> None:
    bundle, other = orders.released().bundles.order_by("number")
    far = orders.released().bundles.order_by("number")[0]
    stray, foreign = other.pieces.all()[0], far.pieces.all()[0]
    cases = {
        "4006381333931": "is not one of our codes",
        "ABCDEFGH2345": "find the bundle in the list and ask the planner for a new tag",
        stray.code: "belongs to bundle 2, not to bundle 1. Put it there",
        foreign.code: f"belongs to bundle 1 of order {far.order.number}, not to bundle 1",
    }
    shop = client_of(Role.SHOP)
    for code, words in cases.items():
        scan = {"code": code, "hand": bundle.public_id}
        page = shop.post(reverse("orders:floor_scan"), scan)
        operation = shop.post(
            reverse("api:orders_api:code_scan"),
            scan | {"action_id": str(uuid4())},
            content_type="application/json",
        )
        refused(page, operation, "code", words)
    assert not ShopAction.objects.exists(), "what is refused leaves nothing"


def test_a_tag_of_before_its_bundle_got_a_new_code_opens_nothing() -> None:
    bundle = orders.released().bundles.get(number=1)
    old, bundle.code = bundle.code, "22223333ABCD"
    bundle.save(update_fields=["code"])
    shop = client_of(Role.SHOP)
    door = shop.get(f"/t/{old}/")
    assert door.status_code == 404
    assert "No tag has this code" in door.content.decode()
    assert "See bundles" in door.content.decode()
    scanned = shop.post(reverse("orders:floor_scan"), {"code": old})
    assert scanned.status_code == 422
    assert "may be an old one" in scanned.content.decode()
    assert not ShopAction.objects.exists()
