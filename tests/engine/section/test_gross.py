"""Gross properties against sums over small pieces, and coated weight."""

from __future__ import annotations

import math

import pytest

from framing.engine.section.gross import coated_weight_plf, gross
from framing.engine.section.shape import Shape, shape, shape_of
from tests.engine.section.thin_walls import centre_line, shear_centre_and_warping

SHAPES = [shape_of("1000S162-54"), shape_of("1400S162-118"), shape(6.0, 3.0, 1.0, 0.1, 0.3)]


def _patches(s: Shape, cuts: int) -> list[tuple[float, float, float]]:
    """Area, x from the web's outer face and y from mid-depth of small patches of flats and rings."""
    t, bend = s.thickness_in, s.radius_in + s.thickness_in
    c, layers = s.web_flat_in / 2, [(i + 0.5) / cuts for i in range(cuts)]
    found: list[tuple[float, float, float]] = []
    for u in layers:
        for v in layers:
            through = t * v
            found.append((t * s.web_flat_in / cuts**2, through, c * (2 * u - 1)))
            radius, turn = s.radius_in + through, math.pi / 2 * u
            ring = math.pi / 2 * radius * t / cuts**2
            for side in (1, -1):
                flange_x = bend + s.flange_flat_in * u
                found.append((t * s.flange_flat_in / cuts**2, flange_x, side * (s.depth_in / 2 - through)))
                found.append(
                    (t * s.lip_flat_in / cuts**2, s.flange_in - through, side * (c - s.lip_flat_in * u))
                )
                y = side * (c + radius * math.sin(turn))
                found.append((ring, bend - radius * math.cos(turn), y))
                found.append((ring, s.flange_in - bend + radius * math.cos(turn), y))
    return found


@pytest.mark.parametrize("section", SHAPES)
def test_area_and_inertias_are_the_sums_over_small_patches(section: Shape) -> None:
    full, patches = gross(section), _patches(section, 60)
    area = sum(a for a, _, _ in patches)
    x_bar = sum(a * x for a, x, _ in patches) / area
    assert full.area_in2 == pytest.approx(area, rel=1e-4)
    assert full.x_bar_in == pytest.approx(x_bar, rel=2e-4)
    assert full.ix_in4 == pytest.approx(sum(a * y**2 for a, _, y in patches), rel=5e-4)
    assert full.iy_in4 == pytest.approx(sum(a * (x - x_bar) ** 2 for a, x, _ in patches), rel=5e-4)


@pytest.mark.parametrize("section", SHAPES)
def test_radii_moduli_and_weight_follow(section: Shape) -> None:
    full = gross(section)
    assert full.sx_in3 == pytest.approx(full.ix_in4 / (section.depth_in / 2))
    assert full.rx_in**2 * full.area_in2 == pytest.approx(full.ix_in4)
    assert full.ry_in**2 * full.area_in2 == pytest.approx(full.iy_in4)
    assert full.ro_in**2 == pytest.approx(full.rx_in**2 + full.ry_in**2 + full.xo_in**2)
    assert full.j_in4 == pytest.approx(full.area_in2 * section.thickness_in**2 / 3)
    assert full.weight_plf == pytest.approx(full.area_in2 / 144 * 490)


@pytest.mark.parametrize("section", SHAPES)
@pytest.mark.parametrize("from_the_other_end", [False, True])
def test_shear_centre_and_warping_are_those_of_a_chain_of_walls(
    section: Shape, from_the_other_end: bool
) -> None:
    """The chain has no warping across its walls, which is 0.5 % of ours at most."""
    points = centre_line(section, facets=40)
    shear_centre, warping = shear_centre_and_warping(
        points[::-1] if from_the_other_end else points, section.thickness_in
    )
    full = gross(section)
    ours = full.xo_in + full.x_bar_in - section.thickness_in / 2
    assert ours == pytest.approx(shear_centre, rel=1e-3)
    assert warping * 0.999 < full.cw_in6 < warping * 1.005


def test_warping_grows_with_t_along_the_walls_and_with_its_cube_across_them() -> None:
    """Sections of one centre line: Cw = a t + b t^3 holds at a third thickness when two give a and b."""
    one, two, four = (
        gross(shape(8.0 + t, 2.0 + t, 0.6 + t / 2, t, 0.1 - t / 2)).cw_in6 / t for t in (0.04, 0.08, 0.16)
    )
    assert one < two < 1.01 * one
    assert four - two == pytest.approx(4 * (two - one), rel=1e-6)


def test_coating_weighs_on_the_sheets_width() -> None:
    """0.60 oz on each square foot of a sheet of the section's developed width, here 13.83 in."""
    section = shape_of("1000S162-54")
    width_ft = gross(section).area_in2 / 0.0566 / 12
    assert width_ft * 12 == pytest.approx(13.83, abs=0.01)
    coated = coated_weight_plf(section, 0.60)
    assert coated - gross(section).weight_plf == pytest.approx(width_ft * 0.60 / 16)
    assert coated_weight_plf(section, 0.0) == gross(section).weight_plf
