"""The change-over grid: what it shows, what one form changes, what it refuses at the cell (R46)."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from framing.common.errors import NotAllowed, Refused
from framing.common.models import AuditEntry, Role
from orders import services
from orders.change_over_reads import GRID_MOST, change_over_grid, rule_minutes
from orders.line_facts import profile_codes
from orders.line_typed import pair_field, pair_read
from orders.models import Bundle, ChangeOverTime
from tests.factories import lines, orders, people
from tests.factories.people import client_of

pytestmark = pytest.mark.django_db
A, B, C = "1000S162-54", "1200S162-54", "1000S162-68"
AB, BA, AC = (A, B), (B, A), (A, C)
SAVE = "orders:change_overs_save"


def put(minutes: dict[tuple[str, str], int | None]) -> int:
    return services.change_overs_set(actor=people.actor(Role.PLANNER), at=lines.AT, minutes=minutes)


def timed() -> dict[tuple[str, str], int]:
    return {(row.before, row.after): row.minutes for row in ChangeOverTime.objects.all()}


def form(
    typed: dict[tuple[str, str], str], known: dict[tuple[str, str], int] | None = None
) -> dict[str, str]:
    """The grid as the browser sends it: every cell, and what was timed when it was shown."""
    cells = {cell.field: str(cell.minutes or "") for cell in change_over_grid(lines.AT).cells}
    told = {pair_field(pair): minutes for pair, minutes in (known or {}).items()}
    return cells | {pair_field(pair): text for pair, text in typed.items()} | {"known": json.dumps(told)}


def text(answer: Any) -> str:
    return str(answer.content.decode())


def test_many_pairs_are_set_all_or_none_and_the_trail_has_one_entry() -> None:
    assert put({AB: 25, AC: 5}) == 2
    assert put({AB: None, BA: 30, AC: 5}) == 2
    assert timed() == {BA: 30, AC: 5}
    entries = AuditEntry.objects.filter(verb="change_over_set").order_by("id")
    assert [entry.change for entry in entries] == [
        {f"{A} to {B}": [None, 25], f"{A} to {C}": [None, 5]},
        {f"{A} to {B}": [25, None], f"{B} to {A}": [None, 30]},
    ]
    for wrong in ({("none", B): 5}, {(A, A): 5}, {AC: 1441}, {AC: -1}):
        with pytest.raises(Refused) as refusal:
            put({AB: 9, **wrong})
        assert refusal.value.field == pair_field(next(iter(wrong)))
    assert timed() == {BA: 30, AC: 5}, "nothing of a refused form is kept"
    assert put({BA: 30}) == 0
    assert AuditEntry.objects.filter(verb="change_over_set").count() == 2
    with pytest.raises(Refused, match="1,001 pairs"):
        put({(A, str(number)): 1 for number in range(1001)})


@pytest.mark.parametrize("role", [role for role in Role.values if role != Role.PLANNER])
def test_only_the_planner_changes_the_grid(role: str) -> None:
    with pytest.raises(NotAllowed):
        services.change_overs_set(actor=people.actor(role), at=lines.AT, minutes={AB: 1})


def test_the_rules_own_figure_stands_beside_what_was_timed() -> None:
    # usual rule: 10 for any, 15 for another coil, 20 for another depth
    assert rule_minutes((A, B, C)) == {
        (A, A): 0, AB: 30, AC: 25, BA: 30, (B, B): 0, (B, C): 45, (C, A): 25, (C, B): 45, (C, C): 0,
    }  # fmt: skip
    put({AB: 3, (C, A): 7})
    cells = {
        (cell.before, cell.after): (cell.minutes, cell.by_rule) for cell in change_over_grid(lines.AT).cells
    }
    assert (cells[AB], cells[BA], cells[C, A]) == ((3, 30), (None, 30), (7, 25))


def test_profiles_in_use_are_those_of_bundles_and_of_timed_pairs() -> None:
    assert change_over_grid(lines.AT).codes == ()
    order = orders.released()
    rolled = set(Bundle.objects.filter(order=order).values_list("profile", flat=True))
    put({BA: 4})
    grid = change_over_grid(lines.AT)
    assert set(grid.codes) == rolled | {A, B}
    order_of = {code: place for place, code in enumerate(profile_codes())}
    assert list(grid.codes) == sorted(grid.codes, key=lambda code: order_of[code])


def test_more_profiles_than_the_grid_holds_are_counted(monkeypatch: pytest.MonkeyPatch) -> None:
    assert GRID_MOST * (GRID_MOST - 1) < 900, "a form has 1,000 fields at most"
    monkeypatch.setattr("orders.change_over_reads.GRID_MOST", 6)
    codes = profile_codes()[:8]
    put({(codes[0], code): 1 for code in codes[1:]})
    grid = change_over_grid(lines.AT)
    assert (len(grid.codes), grid.left_out) == (6, 2)


def test_cells_are_typed_emptied_and_left_by_one_form() -> None:
    put({AB: 25, AC: 5})
    planner = client_of(Role.PLANNER)
    shown = text(planner.get(reverse("orders:change_overs")))
    assert f'id="id_{pair_field(AB)}" value="25" placeholder="30"' in shown
    assert f'id="id_{pair_field(BA)}" value="" placeholder="30"' in shown
    put({(C, A): 12})  # somebody else, meanwhile
    sent = form({AB: "", BA: "40", AC: "5", (C, A): ""}, known={AB: 25, AC: 5})
    assert planner.post(reverse(SAVE), sent)["Location"] == reverse("orders:change_overs")
    assert timed() == {BA: 40, AC: 5, (C, A): 12}, "a cell that was not touched is nobody's to empty"


@pytest.mark.parametrize("typed", ["soon", "-1", "1441", "2.5"])
def test_what_cannot_be_is_refused_at_its_cell_and_stays_as_typed(typed: str) -> None:
    put({AB: 25})
    answer = client_of(Role.PLANNER).post(reverse(SAVE), form({AB: "30", BA: typed}, known={AB: 25}))
    assert answer.status_code == 422
    cell = re.search(rf'<input[^>]*id="id_{pair_field(BA)}"[^>]*>', text(answer))
    assert cell is not None
    assert f'value="{typed}"' in cell[0]
    assert 'aria-invalid="true"' in cell[0]
    assert f'href="#id_{pair_field(BA)}"' in text(answer)
    assert f'id="id_{pair_field(BA)}_error"' in text(answer)
    assert timed() == {AB: 25}


@pytest.mark.parametrize("known", ["", "[1]", "{", "[" * 3000, '{"pair__x": {}}'])
def test_a_garbled_memory_of_the_page_empties_nothing(known: str) -> None:
    put({AB: 25})
    planner = client_of(Role.PLANNER)
    sent = form({AB: "", BA: "40"}) | {"known": known}
    assert planner.post(reverse(SAVE), sent).status_code == 302
    assert timed() == {AB: 25, BA: 40}
    foreign = planner.post(reverse(SAVE), {pair_field(("none", A)): "4"})
    assert foreign.status_code == 422
    assert "is no profile of the catalogue" in text(foreign)
    assert pair_read("pair__a") is None


def test_who_only_reads_sees_figures_without_fields() -> None:
    put({AB: 25})
    shown = text(client_of(Role.SHOP).get(reverse("orders:change_overs")))
    assert "<strong>25</strong>" in shown
    assert "<input class=" not in shown
    assert client_of(Role.SHOP).post(reverse(SAVE), {}).status_code == 403


def test_the_grid_takes_as_many_queries_for_many_pairs() -> None:
    def asked(client: Client) -> int:
        with CaptureQueriesContext(connection) as seen:
            client.get(reverse("orders:change_overs"))
        return len(seen)

    planner = client_of(Role.PLANNER)
    put({AB: 1})
    few = asked(planner)
    codes = profile_codes()[:12]
    put({(a, b): 2 for a in codes for b in codes if a != b})
    assert asked(planner) == few


def test_the_operations_read_and_set_the_grid() -> None:
    planner, seller = client_of(Role.PLANNER), client_of(Role.SHOP)
    pairs = [{"before": A, "after": B, "minutes": 25}, {"before": B, "after": A, "minutes": None}]
    url = reverse("api:orders_api:change_overs_save")
    assert seller.put(url, {"pairs": pairs}, "application/json").status_code == 403
    assert planner.put(url, {"pairs": pairs}, "application/json").json() == pairs[:1]
    grid = seller.get(reverse("api:orders_api:change_over_grid")).json()
    assert grid == {
        "profiles": [A, B],
        "left_out": 0,
        "pairs": [
            {"before": A, "after": B, "minutes": 25, "by_rule": 30},
            {"before": B, "after": A, "minutes": None, "by_rule": 30},
        ],
    }
    wrong = planner.put(url, {"pairs": [{"before": A, "after": A, "minutes": 2}]}, "application/json")
    assert (wrong.status_code, wrong.json()["field"]) == (422, pair_field((A, A)))
