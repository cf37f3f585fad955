"""Lines, shifts, closed days, change-overs: what is kept, and what is refused at which field (R46)."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from framing.common.errors import Clash, NotAllowed, Refused
from framing.common.models import AuditEntry, Role
from orders import services
from orders.line_facts import closed_days, public_holidays, settings_now
from orders.line_reads import shift_summary, shift_texts
from orders.line_typed import shifts_read, span_words
from orders.models import ChangeOverTime, Closure, Line, LineShift
from tests.factories import lines, people

pytestmark = pytest.mark.django_db
AT = lines.AT


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("6:00-14:30", ((360, 870),)),
        ("15-23, 6:00 to 14:30", ((360, 870), (900, 1380))),
        ("22:00-6:00+1", ((1320, 1800),)),
        ("0:00-24:00", ((0, 1440),)),
        ("", ()),
    ],
)
def test_shifts_read_as_people_type_them(text: str, hours: Any) -> None:
    assert shifts_read(text, "shifts_0", "Monday") == hours


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("14:00-6:00", r"ends before it begins; write 14:00-6:00\+1"),
        ("8:00-8:00", "ends before it begins"),
        ("6:00-14:30, 14:00-22:00", "6:00-14:30 and 14:00-22:00 overlap"),
        ("early", "is no shift"),
        ("6:75-9:00", "no time of a day"),
        ("6:00-25:00", "no time of a day"),
        ("6:00-7:00+1", "longer than a day"),
        ("1-2,3-4,5-6,7-8,9-10", "5 shifts; give 4"),
    ],
)
def test_shifts_that_cannot_be_are_refused_at_their_day(text: str, words: str) -> None:
    with pytest.raises(Refused, match=words) as refusal:
        shifts_read(text, "shifts_0", "Monday")
    assert refusal.value.field == "shifts_0"


def test_a_night_shift_does_not_run_into_the_next_mornings() -> None:
    shifts = ["22:00-7:00+1", "6:00-14:00", "", "", "", "", ""]
    with pytest.raises(Refused, match="runs into the first shift of Tuesday") as refusal:
        lines.line(shifts=shifts)
    assert refusal.value.field == "shifts_1"
    week = ["6:00-14:00", "", "", "", "", "", "22:00-7:00+1"]
    with pytest.raises(Refused, match="first shift of Monday"):
        lines.line(shifts=week)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"speed": "0"}, "feet_per_minute"),
        ({"speed": "-4"}, "feet_per_minute"),
        ({"speed": "1000.01"}, "feet_per_minute"),
        ({"name": "  "}, "name"),
        ({"capacity": 0}, "capacity_ft_per_shift"),
        ({"depths": [801]}, "depths"),
    ],
)
def test_a_line_that_cannot_roll_is_refused_at_the_field(change: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        lines.line(**change)
    assert refusal.value.field == field
    assert not Line.objects.exists()


def test_a_line_is_changed_with_its_shifts_and_the_trail_says_how() -> None:
    line = lines.line()
    assert shift_summary(line) == [("Mon to Fri", "6:00-14:30")]
    services.line_save(
        actor=people.actor(Role.PLANNER), at=AT, line=line, name="North 2", feet_per_minute=Decimal(30),
        capacity_ft_per_shift=900, depths=[800, 1000], works=False, shifts=["", "7:00-9:00", "", "", "", "", ""],
    )  # fmt: skip
    row = Line.objects.get()
    assert (row.name, row.depths, row.works) == ("North 2", [800, 1000], False)
    assert shift_texts(row) == ["", "7:00-9:00", "", "", "", "", ""]
    assert LineShift.objects.count() == 1
    entry = AuditEntry.objects.get(verb="line_change")
    before, after = entry.change["line"]
    assert (before["name"], after["name"]) == ("North", "North 2")


def test_two_lines_do_not_share_a_name() -> None:
    lines.line()
    with pytest.raises(Clash, match="North already") as refusal:
        lines.line()
    assert refusal.value.field == "name"


@pytest.mark.parametrize("role", [role for role in Role.values if role != Role.PLANNER])
def test_only_the_planner_sets_lines_up(role: str) -> None:
    actor = people.actor(role)
    for act in (
        lambda: services.closure_add(actor=actor, at=AT, day=date(2027, 1, 4), words="Stock", line=None),
        lambda: services.line_settings_save(actor=actor, at=AT, country="", subdivision=""),
        lambda: services.change_over_set(actor=actor, at=AT, before="a", after="b", minutes=1),
        lambda: services.line_plan_ask(actor=actor, at=AT),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_a_day_is_closed_once_and_opened_again() -> None:
    planner, line = people.actor(Role.PLANNER), lines.line()
    day = lines.TODAY + timedelta(days=3)
    for where in (None, line):
        row = services.closure_add(actor=planner, at=AT, day=day, words="Stock-taking", line=where)
        with pytest.raises(Clash, match="closed on"):
            services.closure_add(actor=planner, at=AT, day=day, words="Again", line=where)
    with pytest.raises(Refused, match="Say why"):
        services.closure_add(actor=planner, at=AT, day=day + timedelta(days=1), words=" ", line=None)
    services.closure_remove(actor=planner, at=AT, closure=row)
    services.closure_remove(actor=planner, at=AT, closure=row)
    assert Closure.objects.get().line is None
    assert day.toordinal() in closed_days(settings_now(), lines.TODAY)


def test_public_holidays_of_the_place_close_the_shop() -> None:
    # Family Day is the third Monday of February in Alberta, no holiday in Quebec
    third_monday = date(2027, 2, 15)
    assert third_monday in public_holidays("CA", "AB", 2027)
    assert third_monday not in public_holidays("CA", "QC", 2027)
    assert public_holidays("", "", 2027) == {}
    planner = people.actor(Role.PLANNER)
    services.line_settings_save(actor=planner, at=AT, country="CA", subdivision="AB", lead_days=3)
    assert settings_now().lead_days == 3
    assert date(lines.TODAY.year, 12, 25).toordinal() in closed_days(settings_now(), lines.TODAY)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"country": "XX"}, "country"),
        ({"country": "CA", "subdivision": "TX"}, "subdivision"),
        ({"lead_days": 61}, "lead_days"),
        ({"lead_days": -1}, "lead_days"),
        ({"base_minutes": 1441}, "base_minutes"),
    ],
)
def test_settings_out_of_their_limits_are_refused_at_the_field(values: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        services.line_settings_save(
            actor=people.actor(Role.PLANNER), at=AT, **({"country": "", "subdivision": ""} | values)
        )
    assert refusal.value.field == field


def test_a_timed_change_over_is_set_and_taken_away() -> None:
    planner = people.actor(Role.PLANNER)
    pair = {"before": "1000S162-54", "after": "1200S162-54"}
    services.change_over_set(actor=planner, at=AT, **pair, minutes=25)
    services.change_over_set(actor=planner, at=AT, **pair, minutes=20)
    assert ChangeOverTime.objects.get().minutes == 20
    services.change_over_set(actor=planner, at=AT, **pair, minutes=None)
    assert not ChangeOverTime.objects.exists()
    for wrong, field in (
        ({"before": "900X"}, "before"), ({"after": "1000S162-54"}, "after"), ({"minutes": 1441}, "minutes"),
    ):  # fmt: skip
        with pytest.raises(Refused) as refusal:
            services.change_over_set(actor=planner, at=AT, **({**pair, "minutes": 5} | wrong))  # type: ignore[arg-type]
        assert refusal.value.field == field


def test_minutes_read_as_people_say_them() -> None:
    assert [span_words(minutes) for minutes in (0, 45, 60, 200)] == ["0 min", "45 min", "1 h", "3 h 20 min"]
