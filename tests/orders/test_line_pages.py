"""Pages and API of lines, plans and coils: what they show, refuse at the field, and let each role do (R46)."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.errors import NotAllowed, Refused
from framing.common.models import Role
from orders import line_reads, services
from orders.models import CoilCount, Line, LinePin, LinePlan
from tests.factories import lines, orders, people
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _the_shop_s_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pages ask the database's clock; here it stands at the day of the samples."""
    for module in ("orders.views.lines", "orders.views.line_setup", "orders.api.lines"):
        monkeypatch.setattr(f"{module}.database_now", lambda: lines.AT)


def text(response: Any) -> str:
    return str(response.content.decode())


def page(client: Client, name: str, *args: Any) -> str:
    answer = client.get(reverse(f"orders:{name}", args=args))
    assert answer.status_code == 200
    return text(answer)


def line_form(**changed: str) -> dict[str, Any]:
    shifts = {f"shifts_{day}": "6:00-14:30" if day < 5 else "" for day in range(7)}
    return {"name": "North", "feet_per_minute": "20", "works": "on", "depths": ["800"], **shifts} | changed


def test_without_lines_the_board_says_what_to_do_first() -> None:
    assert "Set up lines" in page(client_of(Role.PLANNER), "line_board")
    assert "Set up lines" not in page(client_of(Role.SELLER), "line_board")
    lines.line()
    assert "No plan in force" in page(client_of(Role.SELLER), "line_board")
    assert ">Ask for a plan</button>" in page(client_of(Role.PLANNER), "line_board")


def test_a_line_is_entered_and_a_bad_one_comes_back_as_typed() -> None:
    planner = client_of(Role.PLANNER)
    url = reverse("orders:line_new")
    for changed, field in (
        ({"feet_per_minute": "0"}, "feet_per_minute"),
        ({"shifts_2": "14:00-6:00"}, "shifts_2"),
        ({"shifts_2": "6:00-12:00, 11:00-15:00"}, "shifts_2"),
        ({"name": ""}, "name"),
    ):
        answer = planner.post(url, line_form(**changed))
        assert answer.status_code == 422
        assert f'id="id_{field}_error"' in text(answer)
        assert 'value="6:00-14:30"' in text(answer), "what was typed stays"
    assert not Line.objects.exists()
    assert planner.post(url, line_form()).status_code == 302
    line = Line.objects.get()
    url = reverse("orders:line_page", args=[line.public_id])
    assert 'value="6:00-14:30"' in text(planner.get(url))
    assert planner.post(url, line_form(name="North 2")).status_code == 302
    assert "North 2" in page(client_of(Role.SHOP), "line_setup")
    assert "New line" not in page(client_of(Role.SHOP), "line_setup")


def test_the_setup_page_keeps_closed_days_settings_and_pairs() -> None:
    planner = client_of(Role.PLANNER)
    day = (lines.TODAY + timedelta(days=5)).isoformat()
    closure = {"closure-day": day, "closure-words": "Stock-taking"}
    assert planner.post(reverse("orders:closure_add"), closure).status_code == 302
    again = planner.post(reverse("orders:closure_add"), closure)
    assert again.status_code == 422
    assert "id_closure-day_error" in text(again)
    settings = {f"all-{name}": "1" for name in (
        "lead_days", "piece_seconds", "base_minutes", "gauge_minutes", "depth_minutes", "flange_minutes",
        "setup_price", "moved_price",
    )}  # fmt: skip
    wrong = planner.post(reverse("orders:line_settings"), settings | {"all-country": "xx"})
    assert wrong.status_code == 422
    assert "id_all-country_error" in text(wrong)
    assert planner.post(
        reverse("orders:line_settings"), settings | {"all-country": "ca", "all-subdivision": "ab"}
    ).status_code == 302  # fmt: skip
    pair = {"pair-before": "1000S162-54", "pair-after": "1000S162-54", "pair-minutes": "5"}
    assert "id_pair-after_error" in text(planner.post(reverse("orders:change_over"), pair))
    assert planner.post(
        reverse("orders:change_over"), pair | {"pair-after": "1200S162-54"}
    ).status_code == 302  # fmt: skip
    shown = page(planner, "line_setup")
    assert "Stock-taking" in shown
    assert "Public holidays next" in shown
    assert "1200S162-54" in shown
    row = line_reads.closure_list(lines.AT)[0]
    assert planner.post(reverse("orders:closure_remove", args=[row.pk])).status_code == 302
    assert "Stock-taking" not in page(planner, "line_setup")


def test_a_plan_goes_from_asked_to_in_force_by_page() -> None:
    order = orders.released()
    lines.line()
    planner = client_of(Role.PLANNER)
    answer = planner.post(reverse("orders:line_plan_ask"))
    plan = LinePlan.objects.get()
    assert answer["Location"] == reverse("orders:line_plan_page", args=[plan.public_id])
    waiting = page(planner, "line_plan_page", plan.public_id)
    assert "Waiting for the worker" in waiting
    assert 'hx-trigger="every 1s"' in waiting
    assert "is being made" in page(planner, "line_board")
    services.line_plan_make(actor=lines.SYSTEM, at=lines.AT, plan=plan, go_on=lambda _: True)
    shown = page(planner, "line_plan_page", plan.public_id)
    assert "Put in force" in shown
    assert f"{order.number}/1" in shown
    assert "Put in force" not in page(client_of(Role.MANAGER), "line_plan_page", plan.public_id)
    assert planner.post(reverse("orders:line_plan_take", args=[plan.public_id])).status_code == 302
    board = page(planner, "line_board")
    assert "Every order is in time" in board
    assert "draggable" in board
    assert "draggable" not in page(client_of(Role.SHOP), "line_board")


def test_late_orders_stand_in_plain_sight() -> None:
    order = orders.released()
    type(order).objects.filter(pk=order.pk).update(deliver_on=lines.TODAY)
    lines.line()
    lines.in_force()
    board = page(client_of(Role.SELLER), "line_board")
    assert "Late orders" in board
    assert order.number in board
    assert board.count(" late</span>") >= 2


def test_a_bundle_is_moved_by_form_and_the_page_says_what_gets_late() -> None:
    order = orders.released()
    south = (lines.line(), lines.line("South"))[1]
    lines.in_force()
    planner, bundle = client_of(Role.PLANNER), order.bundles.all()[0]
    url = reverse("orders:bundle_move", args=[bundle.public_id])
    day: Any = lines.working_day(3)
    assert f'value="{day}"' in text(planner.get(f"{url}?day={day}&line={south.public_id}"))
    refused = planner.post(url, {"day": lines.TODAY.isoformat()})
    assert refused.status_code == 422
    assert "id_day_error" in text(refused)
    answer = planner.post(url, {"day": day.isoformat(), "line": south.public_id})
    shown = text(planner.get(answer["Location"]))
    assert "What it moves" in shown
    assert "pinned" in shown
    assert planner.post(reverse("orders:bundle_unpin", args=[bundle.public_id])).status_code == 302
    assert not LinePin.objects.exists()


def test_a_rush_is_asked_by_page() -> None:
    orders.released()
    second = orders.released()
    lines.line()
    lines.in_force()
    planner = client_of(Role.PLANNER)
    assert second.number in page(planner, "line_board")
    wrong = planner.post(reverse("orders:line_plan_rush"), {"rush-order": "nothing"})
    assert wrong.status_code == 422
    answer = planner.post(reverse("orders:line_plan_rush"), {"rush-order": second.public_id})
    assert f"{second.number} as a rush" in text(planner.get(answer["Location"]))


def test_coils_say_how_far_they_last() -> None:
    # The sample order is of one thickness; a count of more than the plan takes lasts, of less runs out on its day.
    orders.released()
    lines.line()
    plan = lines.in_force()
    need = plan.figures["coils"][0]
    planner = client_of(Role.PLANNER)
    count = {"mils": need["mils"], "low_lb": "0", "counted_on": lines.TODAY.isoformat()}
    assert "Not counted yet" in page(planner, "coil_page")
    for weight, low, words in (
        (need["lb"] + 100, "0", "Enough for the plan; 100 lb stay"),
        (need["lb"] + 100, "150", "Falls under 150 lb on"),
        (need["lb"] + 100, "100000", "Low now"),
        (need["lb"] - 50, "0", "50 lb short that day. Order coil"),
    ):
        form = count | {"weight_lb": f"{weight:.1f}", "low_lb": low}
        assert planner.post(reverse("orders:coil_count"), form).status_code == 302
        assert words in page(planner, "coil_page")
    ahead = count | {"weight_lb": "1", "counted_on": (lines.TODAY + timedelta(days=1)).isoformat()}
    assert "id_counted_on_error" in text(planner.post(reverse("orders:coil_count"), ahead))
    assert CoilCount.objects.count() == 4
    assert "Enter a count" not in page(client_of(Role.MANAGER), "coil_page")


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"mils": 1}, "mils"),
        ({"weight_lb": Decimal(-1)}, "weight_lb"),
        ({"low_lb": Decimal(10**8)}, "low_lb"),
    ],
)
def test_a_count_that_cannot_be_is_refused_at_the_field(values: dict[str, Any], field: str) -> None:
    given = {"mils": 54, "weight_lb": Decimal(1), "low_lb": Decimal(0), "counted_on": lines.TODAY} | values
    with pytest.raises(Refused) as refusal:
        services.coil_count(actor=people.actor(Role.SHOP), at=lines.AT, **given)  # type: ignore[arg-type]
    assert refusal.value.field == field
    with pytest.raises(NotAllowed):
        services.coil_count(actor=people.actor(Role.MANAGER), at=lines.AT, **(given | values))  # type: ignore[arg-type]


def test_the_board_asks_as_often_for_many_bundles_as_for_few() -> None:
    orders.released()
    lines.line()
    lines.in_force()
    planner = client_of(Role.PLANNER)
    few = _queries(planner)
    for _ in range(4):
        orders.released()
    lines.in_force()
    assert _queries(planner) == few


def _queries(client: Client) -> int:
    page(client, "line_board")
    with CaptureQueriesContext(connection) as caught:
        page(client, "line_board")
    return len(caught)


def api(client: Client, name: str, *args: Any, data: Any = None, method: str = "get") -> Any:
    url = reverse(f"api:orders_api:{name}", args=args)
    if method == "get":
        return client.get(url)
    return getattr(client, method)(url, data, content_type="application/json")


def test_the_api_does_all_of_it() -> None:
    order = orders.released()
    planner = client_of(Role.PLANNER)
    made = {"name": "North", "feet_per_minute": "20", "shifts": list(lines.DAYS)}
    line = api(planner, "line_make", data=made, method="post").json()
    assert line["shifts"] == list(lines.DAYS)
    changed = api(planner, "line_change", line["id"], data=made | {"name": "N"}, method="put").json()
    assert changed["name"] == "N"
    wrong = api(planner, "line_make", data=made | {"feet_per_minute": "0"}, method="post")
    assert (wrong.status_code, wrong.json()["field"]) == (422, "feet_per_minute")
    assert [row["name"] for row in api(planner, "line_list").json()] == ["N"]

    day = (lines.TODAY + timedelta(days=40)).isoformat()
    closure = api(
        planner, "closure_add", data={"day": day, "words": "Stock", "line": line["id"]}, method="post"
    ).json()
    assert [row["id"] for row in api(planner, "closure_list").json()] == [closure["id"]]
    assert api(planner, "closure_remove", closure["id"], method="post").status_code == 204

    settings = api(planner, "line_settings_get").json() | {"lead_days": 1}
    assert api(planner, "line_settings_save", data=settings, method="put").json()["lead_days"] == 1
    pair = {"before": "1000S162-54", "after": "1200S162-54", "minutes": 9}
    assert api(planner, "change_over_set", data=pair, method="post").json() == [pair]
    assert api(planner, "change_over_list").json() == [pair]

    asked = api(planner, "line_plan_ask", method="post")
    assert asked.status_code == 202
    plan_id = asked.json()["id"]
    services.line_plan_make(
        actor=lines.SYSTEM, at=lines.AT, plan=LinePlan.objects.get(public_id=plan_id), go_on=lambda _: True
    )
    plan = api(planner, "line_plan_get", plan_id).json()
    assert [run["order"] for run in plan["runs"]] == [order.number] * 2
    assert api(planner, "line_plan_take", plan_id, method="post").json()["state"] == "in_force"
    assert api(planner, "line_plan_refuse", plan_id, method="post").status_code == 409
    assert api(planner, "line_plan_stop", plan_id, method="post").status_code == 409

    rush = api(planner, "line_plan_rush", data={"order": order.public_id}, method="post")
    assert (rush.status_code, rush.json()["state"]) == (201, "proposed")
    bundle = order.bundles.all()[0]
    pin = {"day": str(lines.working_day(2)), "line": line["id"]}
    pinned = api(planner, "bundle_pin", bundle.public_id, data=pin, method="post").json()
    assert pinned["plan"]["state"] == "proposed"
    assert api(planner, "bundle_unpin", bundle.public_id, method="post").status_code == 204
    assert api(planner, "line_plan_list").json()["count"] == 3

    count = {"mils": plan["figures"]["coils"][0]["mils"], "weight_lb": "9000", "counted_on": str(lines.TODAY)}
    assert api(planner, "coil_count", data=count, method="post").status_code == 201
    coils = api(client_of(Role.SHOP), "coil_list").json()
    assert coils["coils"][0]["count"]["weight_lb"] == "9000.0"
