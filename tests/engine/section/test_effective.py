"""The effective section: its parts, its own consistency, and where its clauses end."""

from __future__ import annotations

import math

import pytest

from framing.engine.errors import OutsideSourceLimits
from framing.engine.section.effective import Effective, effective, effective_inertia_in4, web_slenderness
from framing.engine.section.gross import gross
from framing.engine.section.shape import Shape, Steel, shape, shape_of

THIN = shape_of("1000S162-43")


def _strips(s: Shape, found: Effective, cuts: int) -> list[tuple[float, float]]:
    """Area and depth below the top fibre of small strips of what `found` keeps."""
    t, bend, depth = s.thickness_in, s.radius_in + s.thickness_in, s.depth_in
    r = s.radius_in + t / 2
    steps = [(i + 0.5) / cuts for i in range(cuts)]
    axis_flat = found.neutral_axis_in
    web_low = axis_flat - found.web_b2_in if not found.flange_and_web_fully else bend + found.web_b1_in
    walls = [
        (bend, bend + found.web_b1_in),
        (web_low, depth - bend),
        (bend, bend + found.lip_in),
        (depth - bend - s.lip_flat_in, depth - bend),
    ]
    strips = [(found.flange_in * t, t / 2), (s.flange_flat_in * t, depth - t / 2)]
    for u in steps:
        strips += [(t * (high - low) / cuts, low + u * (high - low)) for low, high in walls]
        rise = r * (1 - math.cos(math.pi / 2 * u)) + t / 2
        ring = 2 * math.pi / 2 * r * t / cuts
        strips += [(ring, rise), (ring, depth - rise)]
    return strips


@pytest.mark.parametrize(
    ("section", "stress"),
    [(THIN, 33.0), (THIN, 50.0), (shape_of("600S250-43"), 50.0), (shape_of("1400S200-68"), 50.0)],
)
def test_neutral_axis_and_inertia_are_those_of_what_is_kept(section: Shape, stress: float) -> None:
    found = effective(section, stress)
    strips = _strips(section, found, 400)
    area = sum(a for a, _ in strips)
    axis = sum(a * y for a, y in strips) / area
    assert found.neutral_axis_in == pytest.approx(axis, rel=2e-4)
    assert found.inertia_in4 == pytest.approx(sum(a * (y - axis) ** 2 for a, y in strips), rel=1e-3)
    assert found.modulus_in3 == pytest.approx(found.inertia_in4 / found.neutral_axis_in)
    assert found.neutral_axis_in > section.depth_in / 2
    assert not found.fully


def test_a_stocky_section_is_fully_effective() -> None:
    section = shape_of("800S162-118")
    found, full = effective(section, 33.0), gross(section)
    assert found.fully
    assert found.flange_and_web_fully
    assert (found.inertia_in4, found.modulus_in3) == pytest.approx((full.ix_in4, full.sx_in3))
    assert (found.flange_in, found.lip_in) == (section.flange_flat_in, section.lip_flat_in)
    assert found.stiffener_ratio == 1.0


def test_a_deep_web_just_fully_effective_counts_as_such() -> None:
    """Beyond four flanges b1 + b2 equals the compressed part when rho is 1: rounding must not spoil it."""
    for mils in (97, 118):
        assert effective(shape_of(f"1000S162-{mils}"), 20.0).fully


def test_a_lip_too_short_alone_leaves_flange_and_web_whole() -> None:
    found = effective(shape_of("800S250-68"), 33.0)
    assert found.stiffener_ratio < 1
    assert (found.flange_and_web_fully, found.fully) == (True, False)


def test_a_hole_under_0_38_of_the_web_changes_nothing() -> None:
    section = shape_of("1000S162-54")
    assert effective(section, 33.0, 0.5) == effective(section, 33.0)
    assert effective(section, 33.0, 0.37 * section.web_flat_in) == effective(section, 33.0)
    assert effective(section, 33.0, 0.39 * section.web_flat_in) != effective(section, 33.0)


def test_a_hole_up_to_9_16_in_needs_no_rule() -> None:
    """A slender web and a shallow one: neither the limits nor the reduction are for such a hole."""
    assert effective(THIN, 33.0, 0.5625) == effective(THIN, 33.0)
    shallow = shape(1.7, 1.5, 0.4, 0.05, 0.1)
    assert effective(shallow, 33.0, 0.5625) == effective(shallow, 33.0)


def test_beside_a_deep_hole_the_web_is_an_unstiffened_element() -> None:
    section = shape_of("600S162-54")
    hole = 2.5
    found, whole = effective(section, 33.0, hole), effective(section, 33.0)
    beside = (section.web_flat_in - hole) / 2
    bend = section.radius_in + section.thickness_in
    stress = 33.0 * (found.neutral_axis_in - bend) / found.neutral_axis_in
    lam = 1.052 / math.sqrt(0.43) * beside / section.thickness_in * math.sqrt(stress / 29500)
    assert found.web_b1_in == pytest.approx((1 - 0.22 / lam) / lam * beside, rel=2e-4)
    assert found.web_b2_in == 0.0
    assert not found.flange_and_web_fully
    assert found.inertia_in4 < whole.inertia_in4
    assert found.modulus_in3 < whole.modulus_in3


def test_a_stocky_web_beside_a_hole_keeps_all_but_the_hole() -> None:
    section = shape_of("600S162-118")
    found, full = effective(section, 20.0, 2.5), gross(section)
    assert found.inertia_in4 == pytest.approx(full.ix_in4 - section.thickness_in * 2.5**3 / 12)
    assert found.neutral_axis_in == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("section", "hole", "thing", "value", "limit"),
    [
        (shape(8.0, 4.0, 1.0, 0.05, 0.1), 0.0, "w/t of the flange", 74.0, 60.0),
        (shape(16.0, 2.0, 0.5, 0.05, 0.1), 0.0, "h/t of the web", 314.0, 300.0),
        (shape(8.0, 2.0, 1.0, 0.05, 0.51), 0.0, "R/t of the bends", 10.2, 10.0),
        (shape(11.0, 2.0, 0.5, 0.05, 0.1), 1.5, "h/t of a web with holes", 214.0, 200.0),
        (shape(4.3, 2.0, 0.5, 0.05, 0.1), 2.88, "hole depth over h", 0.72, 0.7),
        (shape(10.3, 2.0, 0.5, 0.06, 0.09), 6.1, "hole depth in inches", 6.1, 6.0),
    ],
)
def test_beyond_a_clauses_limits_there_is_no_number(
    section: Shape, hole: float, thing: str, value: float, limit: float
) -> None:
    with pytest.raises(OutsideSourceLimits) as refused:
        effective(section, 33.0, hole)
    assert (refused.value.thing, refused.value.limit) == (thing, limit)
    assert refused.value.value == pytest.approx(value)


def test_a_lip_longer_than_the_clause_knows_is_refused_only_where_it_must_stiffen() -> None:
    section = shape(8.0, 2.0, 1.6, 0.05, 0.1)
    with pytest.raises(OutsideSourceLimits) as refused:
        effective(section, 33.0)
    assert refused.value.thing == "lip over flat of the flange"
    assert refused.value.value == pytest.approx(1.6 / 1.7)
    assert effective(section, 1.0).fully


def test_web_slenderness() -> None:
    assert web_slenderness(shape(8.0, 2.0, 0.5, 0.05, 0.1)) == pytest.approx(154.0)


@pytest.mark.parametrize("section", [THIN, shape_of("600S250-43"), shape_of("1400S162-54")])
def test_effective_inertia_stands_at_the_stress_of_the_allowable_moment(section: Shape) -> None:
    steel = Steel(50.0, 65.0)
    inertia = effective_inertia_in4(section, steel)
    moment = effective(section, 50.0).modulus_in3 * 50.0 / 1.67
    low, high = 10.0, 50.0
    while high - low > 1e-9:
        stress = (low + high) / 2
        low, high = (
            (low, stress) if stress * effective(section, stress).modulus_in3 > moment else (stress, high)
        )
    assert inertia == pytest.approx(effective(section, low).inertia_in4, rel=1e-6)
    assert effective(section, 50.0).inertia_in4 < inertia < gross(section).ix_in4


def test_effective_inertia_of_a_stocky_section_is_the_gross_one() -> None:
    section = shape_of("800S162-118")
    assert effective_inertia_in4(section, Steel(33.0, 45.0)) == pytest.approx(gross(section).ix_in4)


def test_effective_inertia_keeps_the_limits() -> None:
    with pytest.raises(OutsideSourceLimits):
        effective_inertia_in4(shape(16.0, 2.0, 0.5, 0.05, 0.1), Steel(33.0, 45.0))
