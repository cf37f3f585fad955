"""The calculation sheet says what the checks hold: its curves, reactions and workings end at their numbers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from framing.engine import design_floor, load_catalogue
from framing.engine.floor import FloorPlan, Partition
from framing.engine.geometry import Point
from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.engine.result import MemberSheet, Working
from framing.engine.sizing import member_sheets
from tests.engine.layout.builders import rectangle, sample

CATALOGUE = load_catalogue()
WALL = {"id": "W1", "kind": "wall", "from": ["0'", "12'"], "to": ["24'", "12'"], "joint": "through"}
ACROSS = Partition("P1", Point(0, 960), Point(24 * 192, 960), bearing=False, load_plf=240.0)


def sheets(plan: FloorPlan, practice: Practice) -> tuple[MemberSheet, ...]:
    return member_sheets(design_floor(plan, CATALOGUE, practice), CATALOGUE, practice)


def through(practice: Practice, profile: str = "1000S162-68", **more: object) -> MemberSheet:
    """Joists over two unequal spans."""
    (sheet,) = sheets(rectangle("24'", "22'", supports=[WALL], profile=profile, **more), practice)
    return sheet


def working(sheet: MemberSheet, title: str) -> Working:
    return next(found for found in sheet.workings if found.title == title)


@pytest.mark.parametrize("method", Method)
@pytest.mark.parametrize("name", ["house", "townhouse"])
def test_curves_and_workings_end_at_the_checks(name: str, method: Method) -> None:
    for sheet in sheets(sample(name), Practice(method=method)):
        checks = {check.name: check for check in sheet.check.checks}
        plies = sheet.check.plies
        moment, shear, sag = ([max(abs(high), abs(low)) for _, high, low in c.points] for c in sheet.curves)
        assert max(moment) == pytest.approx(checks["Bending, local buckling"].demand, rel=2e-3)
        assert max(shear) == pytest.approx(checks["Shear"].demand)
        assert max(sag) == pytest.approx(checks["Total deflection"].demand, rel=2e-3)
        for title, check in (
            ("Bending, yield and local buckling", "Bending, local buckling"),
            ("Bending, distortional buckling", "Bending, distortional buckling"),
            ("Shear", "Shear"),
        ):
            assert working(sheet, title).values[-1].value * plies == pytest.approx(checks[check].capacity)


def test_references_number_the_cases_of_the_floor() -> None:
    practice = Practice()
    result = design_floor(sample("house"), CATALOGUE, practice)
    found = member_sheets(result, CATALOGUE, practice)
    assert [sheet.reference for sheet in found] == [f"C{n}" for n in range(1, len(result.checks) + 1)]
    assert tuple(sheet.check for sheet in found) == result.checks


def test_loads_and_reactions_of_a_plain_joist() -> None:
    (sheet,) = sheets(rectangle("24'", "16'"), Practice())
    # 15'-9" long, faces 5 1/2 - 1 1/2 in from its ends; 16 in at 10 and 40 psf
    assert sheet.length_in == 189.0
    assert sheet.supports == ((4.0, "outside bearing"), (185.0, "outside bearing"))
    assert [(load.symbol, round(load.value, 3), load.unit) for load in sheet.loads] == [
        ("wD", 13.333, "lb/ft"),
        ("wL", 53.333, "lb/ft"),
    ]
    half_ft = 181 / 24
    assert [round(reaction.value, 2) for reaction in sheet.reactions[:3]] == [
        round(w * half_ft, 2) for w in (40 / 3, 160 / 3, 200 / 3)
    ]
    assert len(sheet.reactions) == 6
    assert "Lateral" not in " ".join(found.title for found in sheet.workings)


def test_factored_reactions_come_with_the_method() -> None:
    (sheet,) = sheets(rectangle("24'", "16'"), Practice(method=Method.LRFD))
    dead, live, _, factored = (reaction.value for reaction in sheet.reactions[:4])
    assert factored == pytest.approx(1.2 * dead + 1.6 * live)
    assert sheet.workings[0].formula == "1.4 D; 1.2 D + 1.6 L"


def test_a_joist_over_an_inner_bearing_shows_flange_and_web() -> None:
    sheet = through(Practice())
    names = [check.name for check in sheet.check.checks]
    titles = [found.title for found in sheet.workings]
    assert "inner bearing W1" in [words for _, words in sheet.supports]
    assert {"Bending, bottom flange in compression", "Web crippling", "Bending with web crippling"} < set(
        names
    )
    assert {"Bending, lateral-torsional buckling", "Web crippling inside, on one flange"} < set(titles)
    flange = next(c for c in sheet.check.checks if c.name == "Bending, bottom flange in compression")
    lateral = working(sheet, "Bending, lateral-torsional buckling")
    assert lateral.values[-1].value == pytest.approx(flange.capacity)
    crippling = next(c for c in sheet.check.checks if c.name == "Web crippling")
    values = {
        value.symbol: value.value for value in working(sheet, "Web crippling inside, on one flange").values
    }
    assert values["Pa"] * values.get("Rc", 1.0) == pytest.approx(crippling.capacity)


def test_a_wall_across_presses_every_joist() -> None:
    plan = replace(rectangle("24'", "16'", profile="1000S162-68"), partitions=(ACROSS,))
    for sheet in sheets(plan, Practice()):
        assert [load.symbol for load in sheet.loads] == ["wD", "wL", "PL"]
        assert "P1" in sheet.loads[-1].words
        assert any(found.title.startswith("Web crippling") for found in sheet.workings)


def test_a_slender_web_over_a_bare_bearing_fails_by_its_slenderness() -> None:
    sheet = through(Practice(), profile="1200S162-54")
    failing = [check for check in sheet.check.checks if not check.passes]
    assert "Slenderness of the web" in [check.name for check in failing]
    assert not any(found.title.startswith("Web crippling") for found in sheet.workings)


def test_lift_at_an_end_is_a_warning_that_stays_with_the_floor() -> None:
    practice = Practice()
    wall = {**WALL, "from": ["0'", "4'"], "to": ["24'", "4'"]}
    plan = rectangle("24'", "22'", supports=[wall], profile="1000S162-97")
    result = design_floor(plan, CATALOGUE, practice)
    (check,) = result.checks
    assert len(check.warnings) == 1
    assert "tie it down" in check.warnings[0]
    assert [problem.message for problem in result.warnings if "tie it down" in problem.message] == [
        f"{check.title}: {check.warnings[0]}"
    ]


def test_holes_of_a_slender_web_stand_by_the_practice_set_alone() -> None:
    plan = rectangle("24'", "16'", profile="1200S162-54")
    kept = design_floor(plan, CATALOGUE, Practice())
    strict = design_floor(plan, CATALOGUE, replace(Practice(), slender_web_holes=False))
    assert all(member.holes_16 for member in kept.members)
    assert any("R505.2.6.1" in note for note in kept.checks[0].notes)
    assert not any(member.holes_16 for member in strict.members)
    assert all("h/t" in reason for member in strict.members for _, reason in member.omitted)
    assert {m.id: m.holes_16 for m in kept.members} == {
        m.id: tuple(hole for hole, _ in m.omitted) for m in strict.members
    }


def test_a_hole_that_fails_is_left_out_and_says_why() -> None:
    plain = rectangle("24'", "16'", profile="800S200-43")
    plan = replace(plain, load_case=replace(plain.load_case, live_psf=150.0))
    result = design_floor(plan, CATALOGUE, Practice())
    reasons = {reason for member in result.members for _, reason in member.omitted}
    assert any(reason.startswith(("bending at a hole", "shear at a hole")) for reason in reasons)
    for check in result.checks:
        assert all(c.passes for c in check.checks if c.name in ("Shear at a hole", "Bending at a hole"))


def test_a_hole_under_a_wall_that_stands_across_is_left_out() -> None:
    plain = rectangle("24'", "16'", profile="1000S162-68")
    free = design_floor(plain, CATALOGUE, Practice()).members[0]
    hole_16 = free.low_16 + free.holes_16[len(free.holes_16) // 2]
    wall = Partition("P1", Point(0, hole_16), Point(24 * 192, hole_16), bearing=False, load_plf=240.0)
    result = design_floor(replace(plain, partitions=(wall,)), CATALOGUE, Practice())
    for member in result.members:
        reasons = dict(member.omitted)
        assert reasons[hole_16 - member.low_16].startswith("web crippling beside it: AISI S100 G6")
        assert hole_16 - member.low_16 not in member.holes_16


def test_a_light_wall_spreads_through_the_sheathing() -> None:
    light = replace(ACROSS, load_plf=100.0)
    plan = replace(rectangle("24'", "16'", profile="1200S162-54"), partitions=(light,))
    result = design_floor(plan, CATALOGUE, Practice())
    assert result.passes
    for check in result.checks:
        assert "Web crippling" not in [c.name for c in check.checks]
        assert any(note.startswith("No web crippling under P1") for note in check.notes)
    strict = design_floor(plan, CATALOGUE, Practice(spread_wall_plf=0.0))
    assert not strict.passes
    assert not any("under P1" in note for check in strict.checks for note in check.notes)
