"""What makes two members one case: anything that can change a check keeps them apart."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from framing.engine.loads import LineLoad, PointLoad
from framing.engine.sizing.cases import _key
from framing.engine.sizing.seats import Seat, Seats
from framing.engine.sizing.tributary import Carried, carried_by
from tests.engine.layout.builders import PRACTICE, lay, rectangle


def joist() -> Carried:
    plan = rectangle("24'", "16'")
    return carried_by(plan, lay(plan), PRACTICE)[0]


def other(one: Carried, **model: Any) -> Carried:
    return replace(one, model=replace(one.model, **model))


def test_rounding_and_place_on_the_floor_keep_members_together() -> None:
    one = joist()
    (line,) = one.model.lines
    assert _key(other(one, lines=(replace(line, live_lb_in=line.live_lb_in * (1 + 1e-12)),))) == _key(one)
    away = replace(one, member=replace(one.member, id="A.J9", centre_16=one.member.centre_16 + 256))
    assert _key(away) == _key(one)


@pytest.mark.parametrize(
    "change",
    [
        {"braces_in": (50.0,)},
        {"low_in": -20.0},
        {"lines": (LineLoad(4.0, 185.0, 1.0, 4.0),)},
        {"points": (PointLoad(90.0, 100.0, 0.0),)},
    ],
)
def test_loads_ends_and_braces_keep_members_apart(change: dict[str, Any]) -> None:
    one = joist()
    assert _key(other(one, **change)) != _key(one)


def test_where_a_load_ends_and_how_heavy_it_is_there_keeps_members_apart() -> None:
    even = LineLoad(4.0, 185.0, 1.0, 4.0)
    one = other(joist(), lines=(even,))
    for tapered in (
        replace(even, live_end_lb_in=3.0),
        replace(even, dead_end_lb_in=0.5),
        replace(even, high_in=180.0),
    ):
        assert _key(other(one, lines=(tapered,))) != _key(one)
    assert _key(other(one, lines=(replace(even, live_end_lb_in=4.0),))) == _key(one)


def test_where_the_braces_stand_keeps_members_apart() -> None:
    one = other(joist(), braces_in=(50.0,))
    assert _key(other(one, braces_in=(60.0,))) != _key(one)
    assert _key(other(one, braces_in=(50.0,))) == _key(one)


def test_profile_plies_holes_and_seats_keep_members_apart() -> None:
    one = joist()
    for member in (
        replace(one.member, plies=2),
        replace(one.member, profile="1000S162-68"),
        replace(one.member, holes_16=one.member.holes_16[1:]),
    ):
        assert _key(replace(one, member=member)) != _key(one)
    assert _key(replace(one, seats=Seats((Seat(3.5, fastened=True), None)))) != _key(one)
