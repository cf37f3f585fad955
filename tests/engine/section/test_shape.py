"""Dimensions of the lipped C, its designator and its steel."""

from __future__ import annotations

import math

import pytest

from framing.engine.errors import SectionImpossible
from framing.engine.section.shape import Shape, Steel, radius_of, shape, shape_of, steel_of, thickness_of


def test_flats_are_what_the_bends_leave() -> None:
    made = shape(10.0, 2.0, 0.625, 0.05, 0.1)
    assert made == Shape(10.0, 2.0, 0.625, 0.05, 0.1)
    assert (made.web_flat_in, made.flange_flat_in, made.lip_flat_in) == pytest.approx((9.7, 1.7, 0.475))


@pytest.mark.parametrize(
    ("dimensions", "words"),
    [
        ((0.0, 2.0, 0.625, 0.05, 0.1), "The depth is 0 in"),
        ((10.0, -2.0, 0.625, 0.05, 0.1), "The flange is -2 in"),
        ((10.0, 2.0, math.nan, 0.05, 0.1), "The lip is nan in"),
        ((10.0, 2.0, 0.625, math.inf, 0.1), "The thickness is inf in"),
        ((10.0, 2.0, 0.625, 0.05, 0.0), "The inside radius is 0 in"),
        ((0.3, 2.0, 0.625, 0.05, 0.1), r"The depth is 0\.3 in; .* take 0\.3 in"),
        ((10.0, 0.3, 0.625, 0.05, 0.1), r"The flange is 0\.3 in; .* take 0\.3 in"),
        ((10.0, 2.0, 0.15, 0.05, 0.1), r"The lip is 0\.15 in; .* take 0\.15 in"),
        ((4.0, 2.0, 2.0, 0.05, 0.1), r"The lip is 2 in; .* under half the depth, 2 in"),
    ],
)
def test_an_impossible_section_is_refused_by_dimension_value_and_limit(
    dimensions: tuple[float, float, float, float, float], words: str
) -> None:
    with pytest.raises(SectionImpossible, match=words):
        shape(*dimensions)


@pytest.mark.parametrize(
    ("designator", "depth", "flange", "lip", "thickness"),
    [
        ("1000S162-54", 10.0, 1.625, 0.5, 0.0566),
        ("362S137-33", 3.625, 1.375, 0.375, 0.0346),
        ("550S200-43", 5.5, 2.0, 0.625, 0.0451),
        ("1187S250-68", 11.875, 2.5, 0.625, 0.0713),
        ("925S300-97", 9.25, 3.0, 0.625, 0.1017),
        ("1400S350-118", 14.0, 3.5, 1.0, 0.1242),
        ("760S162-54", 7.6, 1.625, 0.5, 0.0566),
    ],
)
def test_a_designator_names_the_dimensions(
    designator: str, depth: float, flange: float, lip: float, thickness: float
) -> None:
    made = shape_of(designator)
    assert (made.depth_in, made.flange_in, made.lip_in, made.thickness_in) == (depth, flange, lip, thickness)


@pytest.mark.parametrize(
    "text", ["", "1000C162-54", "1000S162", "10S162-54", "1000S162-54 ", "1000s162-54", "1000S162-54-50"]
)
def test_an_unreadable_designator_is_refused(text: str) -> None:
    with pytest.raises(SectionImpossible, match="is no S-section"):
        shape_of(text)


def test_a_flange_without_a_standard_lip_is_refused() -> None:
    with pytest.raises(
        SectionImpossible, match=r"Flange 175 of 800S175-54 .* 137, 162, 200, 250, 300, 350\."
    ):
        shape_of("800S175-54")


def test_a_designator_of_a_section_that_cannot_be_rolled_is_refused() -> None:
    with pytest.raises(SectionImpossible, match="The lip is"):
        shape_of("800S137-200")


@pytest.mark.parametrize(
    ("mils", "thickness", "radius"),
    [
        (33, 0.0346, 0.07645),
        (43, 0.0451, 0.0712),
        (54, 0.0566, 0.0849),
        (97, 0.1017, 0.15255),
        (57, 0.06, 0.09),
    ],
)
def test_thickness_and_radius_of_the_standard(mils: int, thickness: float, radius: float) -> None:
    assert thickness_of(mils) == pytest.approx(thickness)
    assert radius_of(thickness_of(mils)) == pytest.approx(radius)


def test_standard_steels() -> None:
    assert (steel_of(33.0), steel_of(50)) == (Steel(33.0, 45.0), Steel(50.0, 65.0))


def test_another_steel_must_give_its_tensile_strength() -> None:
    with pytest.raises(SectionImpossible, match=r"yield strength is 40 ksi; only 33 and 50 ksi"):
        steel_of(40.0)
