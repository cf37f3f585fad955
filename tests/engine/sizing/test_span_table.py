"""Span tables: each span at the edge of the checks of a member, rounded down, capped, refused."""

from __future__ import annotations

import csv
from dataclasses import replace
from math import hypot, inf, nan

import numpy as np
import pytest

from framing.engine.catalogue import JoistProfile, load_catalogue
from framing.engine.errors import LoadRefused
from framing.engine.loads import LineLoad
from framing.engine.method import Method
from framing.engine.practice import Practice
from framing.engine.sizing.beams import BeamModel
from framing.engine.sizing.demand import Demand, analyse
from framing.engine.sizing.span_limits import span_limits
from framing.engine.sizing.span_table import GOVERNS, SpanCase, Spans, span_table, table_csv
from framing.engine.strength.profile import ProfileStrength, profile_strength
from framing.engine.vibration.point_load import point_load_deflection_mm, point_load_limit_mm

CATALOGUE = load_catalogue()
PRACTICE = Practice()
FLOOR = SpanCase(dead_psf=10.0, live_psf=40.0)
NAMES = ("800S200-43", "1000S162-54", "1200S162-97")
STIFFNESS_PSI = 29.5e6


def _strength(profile: JoistProfile, method: Method = Method.ASD) -> ProfileStrength:
    return profile_strength(
        profile.shape,
        profile.steel,
        method=method,
        hole_depth_in=profile.hole_depth_in,
        hole_length_in=profile.hole_length_in,
    )


def _limits(name: str, case: SpanCase) -> dict[str, list[float]]:
    strength = _strength(CATALOGUE.profile(name), case.method)
    return {rule: list(spans[0]) for rule, spans in span_limits((strength,), case).items()}


def _demand(case: SpanCase, span_in: float, spacing_in: float) -> Demand:
    supports = (0.0, span_in) if case.spans == "single" else (0.0, span_in, 2 * span_in)
    strip = spacing_in / 144
    line = LineLoad(0.0, supports[-1], case.dead_psf * strip, case.variable_psf * strip)
    return analyse(BeamModel(supports, (line,)), case.method)


def _ratio(rule: str, demand: Demand, strength: ProfileStrength, case: SpanCase) -> float:
    """The rule's ratio from the member's own envelope, written out apart from the closed forms."""
    moment, shear = 1000 * strength.local_moment_kipin, strength.shear_lb
    stiffness = STIFFNESS_PSI * strength.effective_inertia_in4
    (live, live_span), (total, total_span) = demand.live_sag, demand.total_sag
    return {
        "local": demand.moment_lb_in / moment,
        "distortional": demand.moment_lb_in / 1000 / strength.distortional_moment_kipin,
        "shear": demand.shear_lb / shear,
        "bending with shear": max(hypot(m / moment, v / shear) for m, v in demand.meetings),
        "live deflection": live / stiffness / (live_span / case.live_limit),
        "total deflection": total / stiffness / (total_span / case.total_limit),
    }[rule]


@pytest.mark.parametrize("method", Method)
@pytest.mark.parametrize("spans", ["single", "two"])
@pytest.mark.parametrize("name", NAMES)
def test_every_limit_is_where_the_member_has_ratio_one(name: str, spans: Spans, method: Method) -> None:
    case = SpanCase(15.0, 40.0, 360, 240, spans, (16.0, 24.0), method, partition_psf=15.0)
    strength = _strength(CATALOGUE.profile(name), method)
    found = _limits(name, case)
    assert len(found) == (5 if spans == "single" else 6)
    for rule, lengths in found.items():
        for spacing_in, span_in in zip(case.spacings_in, lengths, strict=True):
            demand = _demand(case, span_in, spacing_in)
            assert _ratio(rule, demand, strength, case) == pytest.approx(1.0, abs=1e-6), (rule, spacing_in)


def test_one_span_by_hand() -> None:
    """w L^3 = 384 E I / (5 x 480): live 40 psf at 16 in is 4.4444 lb/in."""
    strength = _strength(CATALOGUE.profile("1000S162-54"))
    expected = (384 * STIFFNESS_PSI * strength.effective_inertia_in4 / (5 * 480 * 40 * 16 / 144)) ** (1 / 3)
    assert _limits("1000S162-54", FLOOR)["live deflection"][1] == pytest.approx(expected)


def test_two_spans_deflect_by_the_handbook_figures() -> None:
    """0.0092 w L^4 / E I with one span loaded and 0.0054 with both, against 5/384 of one span (handbooks)."""
    ratios = {}
    single = _limits("1000S162-54", FLOOR)["live deflection"][0]
    for both in (False, True):
        case = replace(FLOOR, spans="two", live_on_both=both)
        ratios[both] = (single / _limits("1000S162-54", case)["live deflection"][0]) ** 3 * 5 / 384
    assert ratios[False] == pytest.approx(0.0092, abs=5e-5)
    assert ratios[True] == pytest.approx(0.0054, abs=5e-5)


def test_the_bottom_flange_left_free_at_the_support() -> None:
    """F2 over a quarter of the span: the moment at the support is just what the strength allows there."""
    free = replace(FLOOR, spans="two", braced_support=False, spacings_in=(12.0, 24.0))
    strength = _strength(CATALOGUE.profile("1200S162-97"))
    limits = span_limits((strength,), free)
    assert "lateral" not in span_limits((strength,), replace(free, braced_support=True))
    for spacing_in, span_in, braced in zip(
        free.spacings_in, limits["lateral"][0], limits["local"][0], strict=True
    ):
        demand = _demand(free, float(span_in), spacing_in)
        # Cb of the parabola from the support to the inflection, by the quarter points: 1.794
        allowed = strength.lateral_moment_kipin(
            span_in / 4, 12.5 / (2.5 + 3 * 0.703125 + 4 * 0.4375 + 3 * 0.203125)
        )
        assert demand.moment_lb_in / 1000 == pytest.approx(
            min(allowed, strength.local_moment_kipin), rel=1e-6
        )
        assert span_in < braced


def test_a_short_stretch_of_free_flange_costs_nothing() -> None:
    heavy = SpanCase(20.0, 3000.0, spans="two", braced_support=False, spacings_in=(24.0,))
    limits = _limits("1000S162-54", heavy)
    assert limits["lateral"] == limits["local"]


def test_the_1_kn_limit_takes_the_practices_share() -> None:
    case = replace(FLOOR, vibration_point_load=True)
    strength = _strength(CATALOGUE.profile("1000S162-54"))
    spans = {share: span_limits((strength,), case, share)["1 kN"] for share in (0.3, 0.5, 1.0)}
    assert (spans[0.3] > spans[0.5]).all()
    assert (spans[0.5] > spans[1.0]).all()
    span_m = float(spans[0.5][0, 0]) * 0.0254
    stiffness = STIFFNESS_PSI * strength.effective_inertia_in4 * 4.4482216152605 * 0.0254**2
    sag = point_load_deflection_mm(span_m, stiffness, 0.5)
    assert sag == pytest.approx(point_load_limit_mm(span_m), rel=1e-9)
    assert np.ptp(spans[0.5]) == 0.0
    table = span_table(CATALOGUE, case, replace(PRACTICE, point_load_share=1.0))
    assert any(cell.governs == "1 kN" for row in table.rows for cell in row.cells)


@pytest.mark.parametrize("share", [0.0, -0.5, 1.5, nan])
def test_a_joist_takes_a_part_of_the_1_kn(share: float) -> None:
    practice = replace(PRACTICE, point_load_share=share)
    with pytest.raises(LoadRefused, match="share of a point load"):
        span_table(CATALOGUE, replace(FLOOR, vibration_point_load=True), practice)


def test_a_limit_of_zero_is_off() -> None:
    off = _limits("1000S162-54", replace(FLOOR, live_limit=0, total_limit=0))
    assert set(off) == {"local", "distortional", "shear"}


@pytest.mark.parametrize("spans", ["single", "two"])
def test_spans_are_rounded_down_and_never_pass_the_longest_piece(spans: Spans) -> None:
    case = replace(FLOOR, spans=spans)
    table = span_table(CATALOGUE, case, PRACTICE)
    assert [row.profile for row in table.rows] == list(CATALOGUE.profiles)
    most = 480 if spans == "single" else 240
    for row in table.rows:
        exact = _limits(row.profile.designator, case)
        for index, cell in enumerate(row.cells):
            governs = min(exact, key=lambda rule: exact[rule][index])
            longest = min(exact[governs][index], most)
            assert longest - 1 < cell.span_in <= longest
            assert cell.span_in == int(cell.span_in)
            assert cell.governs == (governs if exact[governs][index] <= most else "longest piece")
            assert cell.governs in GOVERNS


def test_the_longest_piece_has_the_word() -> None:
    short = replace(PRACTICE, longest_piece_16=20 * 12 * 16)
    for spans, most in (("single", 240.0), ("two", 120.0)):
        table = span_table(CATALOGUE.profiles[-1:], replace(FLOOR, spans=spans, spacings_in=(12.0,)), short)
        assert (table.rows[0].cells[0].span_in, table.rows[0].cells[0].governs) == (most, "longest piece")


def test_warnings_name_a_lively_floor_and_a_web_that_needs_stiffeners() -> None:
    profiles = (CATALOGUE.profile("800S200-43"), CATALOGUE.profile("1200S162-54"))
    shallow, thin = span_table(profiles, SpanCase(5.0, 10.0, live_limit=360), PRACTICE).rows
    assert shallow.cells[0].warning == "over 24 times the depth: expect a lively floor"
    assert "web over h/t 200: bearing stiffeners are a must" in thin.cells[-1].warning
    close = span_table(profiles, SpanCase(10.0, 100.0), PRACTICE).rows[0]
    assert close.cells[-1].warning == ""


def test_a_profile_beyond_the_source_has_no_span_and_says_why() -> None:
    thin = replace(CATALOGUE.profile("1200S162-54"), design_thickness_in=0.0451, inside_radius_in=0.0712)
    row = span_table((thin,), FLOOR, PRACTICE).rows[0]
    assert {cell.span_in for cell in row.cells} == {0.0}
    assert row.cells[0].governs == "outside AISI S100 B4.1"
    assert "260" in row.cells[0].warning
    assert len(row.cells) == 4


def test_help_of_the_sheathing_counts_on_one_span_only() -> None:
    helped = replace(PRACTICE, sheathing_turn_kip=0.2)
    profiles = (CATALOGUE.profile("1000S162-54"),)
    heavy = SpanCase(15.0, 100.0, live_limit=0, total_limit=0)
    for spans, gains in (("single", True), ("two", False)):
        case = replace(heavy, spans=spans)
        with_help, without = (span_table(profiles, case, p).rows[0].cells[0] for p in (helped, PRACTICE))
        assert (with_help.span_in > without.span_in) == gains


def test_notes_say_what_is_taken_for_granted() -> None:
    single = " ".join(span_table((), FLOOR, PRACTICE).notes)
    assert "web crippling is not held here" in single
    assert "distortional buckling: none" in single
    helped = " ".join(span_table((), FLOOR, replace(PRACTICE, sheathing_turn_kip=0.2)).notes)
    assert "0.2 kip-in per rad and in" in helped
    two = " ".join(span_table((), replace(FLOOR, spans="two"), PRACTICE).notes)
    assert "one span loaded" in two
    assert "is held against turning out" in two
    old = replace(FLOOR, spans="two", live_on_both=True, braced_support=False)
    assert "both spans loaded" in " ".join(span_table((), old, PRACTICE).notes)
    assert "is free up to the inflection" in " ".join(span_table((), old, PRACTICE).notes)


@pytest.mark.parametrize(
    ("field", "bad", "words"),
    [
        *(("dead_psf", bad, "dead load") for bad in (0.0, -1.0, nan, inf)),
        *(("live_psf", bad, "live load") for bad in (0.0, -40.0, nan, inf)),
        *(("partition_psf", bad, "partition allowance") for bad in (-1.0, nan, inf)),
        ("live_limit", -480, "live deflection limit is L/-480"),
        ("live_limit", 90, "L/90; it must be 0"),
        ("total_limit", 9999, "total deflection limit"),
        ("spans", "three", "single or two"),
        ("spacings_in", (), "without a spacing"),
        *(("spacings_in", (16.0, bad), "spacing") for bad in (0.0, -12.0, nan, inf)),
    ],
)
def test_what_no_floor_has_is_refused(field: str, bad: object, words: str) -> None:
    with pytest.raises(LoadRefused, match=words):
        replace(FLOOR, **{field: bad})  # type: ignore[arg-type]


def test_csv_has_a_line_for_each_cell() -> None:
    table = span_table(CATALOGUE, replace(FLOOR, spacings_in=(16.0, 19.2), live_limit=0), PRACTICE)
    rows = list(csv.DictReader(table_csv(table).splitlines()))
    assert len(rows) == 2 * len(CATALOGUE.profiles)
    first, cell = rows[1], table.rows[0].cells[1]
    assert (first["profile"], first["spacing_in"]) == (CATALOGUE.profiles[0].designator, "19.2")
    assert (float(first["span_in"]), first["governs"]) == (cell.span_in, cell.governs)
    feet, inches = first["span"].rstrip('"').split("'-")
    assert 12 * int(feet) + int(inches) == cell.span_in
    assert (first["live_limit"], first["total_limit"]) == ("off", "L/240")


def test_csv_gives_a_spreadsheet_no_formula() -> None:
    profile = replace(CATALOGUE.profiles[0], designator='=HYPERLINK("x")')
    line = table_csv(span_table((profile,), FLOOR, PRACTICE)).splitlines()[1]
    assert next(csv.reader([line]))[0] == '\'=HYPERLINK("x")'
