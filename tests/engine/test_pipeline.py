"""The whole engine on the sample floors: what the parts promise each other, and that answers repeat."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import pytest

from framing.engine import ENGINE_VERSION, design_floor, design_package, load_catalogue, pipeline
from framing.engine.errors import FloorRefused, UnknownProfile
from framing.engine.floor import DeadLayer, FloorPlan
from framing.engine.members import MemberKind
from framing.engine.practice import Practice
from framing.engine.result import FloorResult
from tests.engine.layout.builders import rectangle, sample

CATALOGUE = load_catalogue()
PRACTICE = Practice()
SAMPLES = ("house", "townhouse")


@pytest.fixture(autouse=True)
def nothing_kept() -> None:
    _forget()


def _forget() -> None:
    pipeline._FLOORS.cache_clear()
    pipeline._PACKAGES.cache_clear()


def _design(plan: FloorPlan) -> FloorResult:
    return design_floor(plan, CATALOGUE, PRACTICE)


def _design_anew(plan: FloorPlan, practice: Practice = PRACTICE) -> FloorResult:
    _forget()
    return design_floor(plan, CATALOGUE, practice)


def _with(plan: FloorPlan, *, profile: str | None = None, live: float | None = None) -> FloorPlan:
    bay = replace(plan.bays[0], profile=profile)
    load = plan.load_case if live is None else replace(plan.load_case, live_psf=live)
    return replace(plan, bays=(bay,), load_case=load)


@pytest.mark.parametrize("name", SAMPLES)
def test_a_floor_is_answered_whole(name: str) -> None:
    result = _design(sample(name))
    assert result.passes
    lone = {"house": ["A.T1 and A.T2 end over bearing W1 without a partner"]}
    assert [warning.message.split(",")[0] for warning in result.warnings] == lone.get(name, [])
    assert len({member.profile for member in result.members}) == 1
    assert sum(line.pieces for line in result.schedule) == len(result.pieces)
    assert {piece.mark for piece in result.pieces} == {line.mark for line in result.schedule}
    checked = Counter(member for check in result.checks for member in check.members)
    assert checked == Counter(member.id for member in result.members)


@pytest.mark.parametrize("name", SAMPLES)
def test_every_bill_line_adds_up_from_its_places(name: str) -> None:
    result = _design(sample(name))
    placed = Counter[str]()
    for thing in result.placed:
        placed[f"{thing.item}:{thing.size}" if thing.size else str(thing.item)] += thing.quantity
    for line in result.bill:
        assert sum(term.quantity for term in line.terms) == line.exact
        if line.group != "members" and line.code in placed:
            assert placed[line.code] == line.exact


def test_the_same_floor_gives_the_same_answer() -> None:
    assert _design_anew(sample("house")) == _design_anew(sample("house"))


def test_the_lightest_passing_profile_is_chosen() -> None:
    plan = rectangle("20'", "16'")
    result = _design(plan)
    mine = [option for option in result.options if option.spacing_in == 16.0]
    lightest = min((o for o in mine if o.passes), key=lambda option: option.weight_lb)
    assert result.bays[0].profile == lightest.profile
    assert result.passes


def test_a_fixed_profile_that_fails_stays_and_stays_failed() -> None:
    weakest = CATALOGUE.profile("800S200-43")
    result = _design(_with(rectangle("20'", "24'"), profile=weakest.designator))
    assert result.bays[0].profile == weakest.designator
    assert not result.passes


def test_a_fixed_profile_must_exist() -> None:
    with pytest.raises(UnknownProfile):
        _design(_with(rectangle("20'", "16'"), profile="1000S162-99"))


def _wide_stair(width: Any) -> FloorPlan:
    stair = {"id": "S1", "name": "Stair", "corner": ["4'", "7'"], "size": [width, "4'"]}
    return _with(rectangle("30'", "18'", openings=[stair]), profile="1200S162-54")


def test_plies_rise_where_the_checks_need_them() -> None:
    for live in (40.0, 60.0, 80.0, 100.0, 125.0, 150.0):
        result = _design(_with(_wide_stair("12'"), profile="1200S162-54", live=live))
        built_up = [m for m in result.members if m.kind in (MemberKind.TRIMMER, MemberKind.HEADER)]
        failing = {m for check in result.checks if not check.passes for m in check.members}
        if max(m.plies for m in built_up) == 3:
            break
    assert max(m.plies for m in built_up) == 3
    # What fails still does so at the most plies that may be built.
    assert all(m.plies == 3 for m in built_up if m.id in failing)


def test_over_three_plies_an_engineered_beam_is_asked_for() -> None:
    plan = _with(_wide_stair("20'"), profile="1200S162-54", live=250.0)
    result = _design(plan)
    assert not result.passes
    assert any("engineered beam" in warning.message for warning in result.warnings)


def test_plies_fixed_by_the_user_stay() -> None:
    plan = replace(_wide_stair("4'"), plies=(("S1:header_low", 3),))
    result = _design(plan)
    (framed,) = result.bays[0].openings
    plies = {m.id: m.plies for m in result.members}
    assert framed.header_low is not None
    assert framed.header_high is not None
    assert (plies[framed.header_low], plies[framed.header_high]) == (3, 2)


def test_a_heavier_floor_never_gets_a_lighter_choice() -> None:
    plan = rectangle("20'", "16'")
    heavy = replace(plan, load_case=replace(plan.load_case, layers=(DeadLayer("All", 30.0),)))
    weights = [CATALOGUE.profile(_design(p).bays[0].profile).weight_plf for p in (plan, heavy)]
    assert weights == sorted(weights)


def test_a_floor_too_narrow_for_a_joist_is_refused() -> None:
    with pytest.raises(FloorRefused, match="too narrow"):
        _design(rectangle(16, "12'"))


def test_a_joist_over_the_longest_piece_is_refused() -> None:
    with pytest.raises(FloorRefused, match="longest piece is 40'-0"):
        _design(rectangle("20'", "42'"))


def test_a_package_bundles_every_piece_of_every_copy_once() -> None:
    house = replace(sample("house"), repeat=2)
    package = design_package([house, sample("townhouse")], CATALOGUE, PRACTICE)
    assert package.engine_version == ENGINE_VERSION
    assert package.catalogue_version == CATALOGUE.version
    bundled = Counter((p.floor, p.copy, p.piece) for bundle in package.bundles for p in bundle.pieces)
    wanted = Counter(
        (index, copy, piece.id)
        for index, floor in enumerate(package.floors)
        for copy in range(1, floor.plan.repeat + 1)
        for piece in floor.pieces
        if piece.length_16 >= PRACTICE.bundle_from_16
    )
    assert bundled == wanted
    loaded = sorted(index for load in package.loads for index in load.bundles)
    assert loaded == list(range(len(package.bundles)))


def test_a_span_of_nothing_is_refused() -> None:
    # Two 5 1/2 walls under a floor 11 deep leave 0 between their faces.
    with pytest.raises(FloorRefused, match="clear span is 0"):
        _design(rectangle("20'", 11))


def test_a_choice_that_does_not_settle_ends_with_the_last_one_laid_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # Too deep for the catalogue's first profile, so that one round can't tell that the choice stands.
    plan = rectangle("20'", "22'")
    settled = _design(plan)
    assert settled.bays[0].profile != CATALOGUE.profiles[0].designator
    monkeypatch.setattr(pipeline, "_ROUNDS", 1)
    assert _design_anew(plan) == settled


def test_plies_that_do_not_settle_are_checked_as_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = _with(_wide_stair("12'"), profile="1200S162-54", live=250.0)
    monkeypatch.setattr(pipeline, "_ROUNDS", 1)
    result = _design(plan)
    assert max(member.plies for member in result.members) == 3
    plies = {member.id: member.plies for member in result.members}
    assert all(plies[member] == check.plies for check in result.checks for member in check.members)
