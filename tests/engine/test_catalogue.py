"""The built-in catalogue and how a bad table is refused."""

from __future__ import annotations

import pytest

from framing.engine.catalogue import (
    ITEM_TABLE,
    PROFILE_TABLE,
    SCREW_TABLE,
    build_catalogue,
    load_catalogue,
)
from framing.engine.errors import CatalogueRefused, UnknownItem, UnknownProfile
from framing.engine.placement import Item
from framing.engine.section.shape import Shape, Steel
from framing.engine.tables import data_text

PROFILES, ITEMS, SCREWS = data_text(PROFILE_TABLE), data_text(ITEM_TABLE), data_text(SCREW_TABLE)
BY_DEPTH = (Item.BEARING_CLIP, Item.CLIP_ANGLE, Item.PLY_CLIP, Item.LAP_PLATE)
SINGLE = (
    Item.WOOD_PACKER,
    Item.STRAP,
    Item.BACKING_SHEET,
    Item.SHEATHING_PANEL,
    Item.SHEATHING_CLEAT,
    Item.STEEL_SCREW,
    Item.WOOD_SCREW,
    Item.BEARING_NAIL,
    Item.STRAP_SCREW,
    Item.SHEATHING_NAIL,
    Item.ADHESIVE_TUBE,
)


def test_holds_at_least_three_profiles_of_each_depth() -> None:
    depths = [profile.depth_code for profile in load_catalogue().profiles]
    assert len(depths) >= 14
    assert all(depths.count(depth) >= 3 for depth in (800, 1000, 1200, 1400))


def test_a_profile_by_its_designator() -> None:
    profile = load_catalogue().profile("1000S162-54")
    assert (profile.depth_16, profile.flange_16, profile.yield_ksi) == (160, 26, 50)
    assert profile.shape == Shape(10.0, 1.625, 0.5, 0.0566, 0.0849)
    assert profile.steel == Steel(50.0, 65.0)
    # area 0.783 in2 of bare steel at 490 pcf, and 0.60 oz on each square foot of 13.8 in of sheet
    assert profile.weight_plf == pytest.approx(0.7827 * 490 / 144 + 13.83 / 12 * 0.60 / 16, rel=1e-3)
    with pytest.raises(UnknownProfile, match="1000S162-54"):
        load_catalogue().profile("900S162-54")


def test_every_item_that_is_bought_has_a_row_for_every_size() -> None:
    catalogue = load_catalogue()
    for depth, _ in catalogue.screws_per_leg:
        assert all(catalogue.item(f"{item}:{depth}").group == "hardware" for item in BY_DEPTH)
    for profile in catalogue.profiles:
        assert catalogue.item(f"{Item.SOLID_BLOCK}:{profile.designator}").group == "members"
        assert catalogue.item(f"{Item.LADDER_BLOCK}:{profile.designator}").group == "members"
    for stick_ft in (12, 16, 20):
        assert catalogue.item(f"{Item.RIM_STICK}:{stick_ft}").sold_by == "stick"
    assert all(catalogue.item(item).code == item for item in SINGLE)
    with pytest.raises(UnknownItem, match="bearing_clip:900"):
        catalogue.item("bearing_clip:900")


@pytest.mark.parametrize(
    ("designator", "screws"), [("800S162-54", 4), ("1000S162-54", 5), ("1200S162-54", 6), ("1400S162-54", 7)]
)
def test_screws_per_leg_by_depth(designator: str, screws: int) -> None:
    catalogue = load_catalogue()
    assert catalogue.screws_for(catalogue.profile(designator)) == screws


def test_version_is_the_contents_and_nothing_else() -> None:
    assert build_catalogue(PROFILES, ITEMS, SCREWS).version == load_catalogue().version
    assert build_catalogue(PROFILES.replace("\n", "\r\n"), ITEMS, SCREWS).version == load_catalogue().version
    assert (
        build_catalogue(PROFILES, ITEMS, SCREWS.replace("800,4", "800,5")).version != load_catalogue().version
    )


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("1000S162-54,10.0", "1000S162-54,9.0", "profiles.csv, row 7, column depth_in: 9.0 does not fit"),
        ("1000S162-54,10.0,1.625", "1000S162-54,10.0,2.0", "row 7, column flange_in"),
        ("1000S162-54,", "1000C162-54,", "row 7, column designator: 1000C162-54 is not like"),
        ("1000S162-68,", "1000S162-54,", "row 8, column designator: 1000S162-54 is there twice"),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,-0.60,1.5,4.0",
            "row 7, column coating_oz_ft2: -0.60 must be over 0",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,nan,0.0849,50,65,0.60,1.5,4.0",
            "row 7, column design_thickness_in: nan must be over 0",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,33.5,65,0.60,1.5,4.0",
            "row 7, column yield_ksi: 33.5 must be a whole number",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,strong,0.60,1.5,4.0",
            "row 7, column tensile_ksi: strong is not a number",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,45,0.60,1.5,4.0",
            "row 7, column yield_ksi: 50 is over 45, the tensile strength",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.9,50,65,0.60,1.5,4.0",
            "row 7, column designator: The flange is 1.625 in",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0346,0.0765,50,65,0.60,1.5,4.0",
            "row 7, column depth_in: 282.* is over 260 for the flat of the web",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.4,50,65,0.60,1.5,4.0",
            "row 7, column inside_radius_in: 7.067.* is over 7 for",
        ),
        (
            "1000S162-54,10.0,1.625,0.5",
            "1000S162-54,10.0,1.625,1.2",
            "row 7, column lip_in: 0.89.* is over 0.8",
        ),
        (
            "1000S200-54,10.0,2.0,0.625",
            "1000S400-54,10.0,4.0,0.625",
            "column flange_in: 65.* is over 60 for the flat of the flange",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,2.6,4.0",
            "row 7, column hole_depth_in: 2.6 is over 2.5",
        ),
        (
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.0",
            "1000S162-54,10.0,1.625,0.5,54,0.0566,0.0849,50,65,0.60,1.5,4.6",
            "row 7, column hole_length_in: 4.6 is over 4.5",
        ),
        ("designator,", "name,", "column designator is missing"),
    ],
)
def test_a_bad_profile_row_is_named(old: str, new: str, words: str) -> None:
    with pytest.raises(CatalogueRefused, match=words):
        build_catalogue(PROFILES.replace(old, new, 1), ITEMS, SCREWS)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("hardware,piece,1,0.51,Demo value", "hardware,piece,1,0.51,", "row 2, column source: is empty"),
        ("hardware,piece", "toys,piece", "row 2, column group: toys is none of members"),
        ("hardware,piece", "hardware,dozen", "row 2, column sold_by: dozen is none of"),
        ("piece,1,0.51", "piece,12,0.51", "row 2, column pack: 12 pieces in a piece"),
        ("piece,1,0.51,Demo value", "piece,1,0.51", "row 2: has fewer cells"),
        ("piece,1,0.51,Demo value", "piece,1,0.51,Demo value,x", "row 2: has more cells"),
    ],
)
def test_a_bad_item_row_is_named(old: str, new: str, words: str) -> None:
    with pytest.raises(CatalogueRefused, match=words):
        build_catalogue(PROFILES, ITEMS.replace(old, new, 1), SCREWS)


def test_an_empty_table_is_refused() -> None:
    with pytest.raises(CatalogueRefused, match=r"screws_per_leg\.csv: there are no rows"):
        build_catalogue(PROFILES, ITEMS, SCREWS.splitlines()[0])


def test_a_depth_without_a_screw_count_is_named() -> None:
    catalogue = build_catalogue(PROFILES, ITEMS, SCREWS.replace("800,4,Demo value\n", "", 1))
    with pytest.raises(UnknownItem, match="screws_per_leg:800"):
        catalogue.screws_for(catalogue.profile("800S162-54"))
