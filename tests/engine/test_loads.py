"""R13 tables and strip loads, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine.errors import CatalogueRefused
from framing.engine.floor import DeadLayer, LoadCase
from framing.engine.loads import (
    _occupancy,
    combination_where_dead_helps,
    combinations,
    live_psf,
    load_dead_layers,
    load_occupancies,
    partition_line,
    strip_load,
    unchecked_loads,
    unchecked_loads_on,
)
from framing.engine.method import Combination, Method
from framing.engine.tables import data_text, read_table
from tests.engine.layout.builders import rectangle


def test_live_loads_come_by_use_with_their_source() -> None:
    by_id = {row.id: row for row in load_occupancies()}
    assert by_id["living_rooms"].live_psf == 40
    assert by_id["sleeping_rooms"].live_psf == 30
    assert all(row.source for row in load_occupancies())
    assert len(by_id) == len(load_occupancies())


def test_dead_layers_come_with_their_weight() -> None:
    by_id = {row.id: row.layer for row in load_dead_layers()}
    assert by_id["plywood_3_4"] == DeadLayer("Plywood 3/4 in", 2.4)


def test_a_strip_of_floor_is_psf_times_width() -> None:
    case = LoadCase(
        "living_rooms", 40.0, (DeadLayer("Floor", 6.0), DeadLayer("Ceiling", 4.0)), partition_psf=15.0
    )
    load = strip_load(case, 16.0, 0.0, 120.0)
    # 10 psf x 16/12 ft = 13.33 plf; (40 + 15) psf x 16/12 ft = 73.33 plf
    assert load.dead_lb_in * 12 == pytest.approx(13.3333, abs=1e-4)
    assert load.live_lb_in * 12 == pytest.approx(73.3333, abs=1e-4)
    assert live_psf(case) == 55.0


def test_a_partition_is_a_line_of_live_load() -> None:
    load = partition_line(120.0, 12.0, 60.0)
    assert (load.low_in, load.high_in, load.dead_lb_in, load.live_lb_in) == (12.0, 60.0, 0.0, 10.0)


@pytest.mark.parametrize(
    ("method", "words"),
    [
        (Method.ASD, ["D", "D + L"]),
        (Method.LRFD, ["1.4 D", "1.2 D + 1.6 L"]),
        (Method.LSD, ["1.4 D", "1.25 D + 1.5 L"]),
    ],
)
def test_strength_combinations_by_method(method: Method, words: list[str]) -> None:
    assert [combination.words for combination in combinations(method)] == words
    for combination in combinations(method):
        assert worded(combination) == combination.words


@pytest.mark.parametrize(
    ("method", "words"),
    [(Method.ASD, "D + L"), (Method.LRFD, "0.9 D + 1.6 L"), (Method.LSD, "0.9 D + 1.5 L")],
)
def test_dead_load_that_helps_is_taken_small(method: Method, words: str) -> None:
    assert combination_where_dead_helps(method).words == words == worded(combination_where_dead_helps(method))


def worded(combination: Combination) -> str:
    """The words that the factors themselves make."""
    parts = [(combination.dead, "D"), (combination.live, "L")]
    return " + ".join(name if factor == 1 else f"{factor:g} {name}" for factor, name in parts if factor)


def test_a_use_with_a_concentrated_load_says_that_it_is_not_checked() -> None:
    (problem,) = unchecked_loads(LoadCase("Offices", 50.0, ()))
    assert problem.place == "load_case.occupancy"
    assert "2,000 lb (ASCE 7-16 Table 4.3-1); it is not checked here" in problem.message
    assert unchecked_loads(LoadCase("Living rooms (other than sleeping)", 40.0, ())) == ()
    assert unchecked_loads(LoadCase("A use of our own", 40.0, ())) == ()


def test_each_bays_own_use_is_told_of_and_the_floors_where_a_bay_has_it() -> None:
    offices, living = (LoadCase(name, 50.0, ()) for name in ("Offices", "Living rooms (other than sleeping)"))
    bays = rectangle("24'", "16'").bays

    def places(floor: LoadCase, *own: LoadCase | None) -> list[str]:
        plan = replace(
            rectangle("24'", "16'"),
            load_case=floor,
            bays=tuple(replace(bays[0], load_case=case) for case in own),
        )
        return [problem.place for problem in unchecked_loads_on(plan)]

    assert places(offices, None) == ["load_case.occupancy"]
    assert places(living, None, offices) == ["bays.1.load_case.occupancy"]
    assert places(offices, None, offices) == ["load_case.occupancy", "bays.1.load_case.occupancy"]
    assert places(offices, living) == []


def test_a_strip_that_narrows_weighs_straight_between_its_ends() -> None:
    case = LoadCase("living_rooms", 40.0, (DeadLayer("Floor", 10.0),))
    load = strip_load(case, 16.0, 0.0, 120.0, 4.0)
    assert [12 * end for end in load.dead_ends_lb_in] == pytest.approx([10 * 16 / 12, 10 * 4 / 12])
    assert [12 * end for end in load.live_ends_lb_in] == pytest.approx([40 * 16 / 12, 40 * 4 / 12])


def test_a_concentrated_load_under_nought_is_refused() -> None:
    text = data_text("occupancies.csv").replace("50,2000,", "50,-2000,", 1)
    with pytest.raises(CatalogueRefused, match=r"column concentrated_lb: -2000 must be 0 or more"):
        read_table("occupancies.csv", text, _occupancy, key="id")
