"""Adding up: terms, packs, weights and the schedule, each figure worked in the test."""

from __future__ import annotations

import pytest

from framing.engine.catalogue import load_catalogue
from framing.engine.errors import UnknownItem
from framing.engine.geometry import Point
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice
from framing.engine.result import BomLine
from framing.engine.takeoff import bill_of_materials, schedule
from tests.engine.fitout.builders import PROFILE, bill_of, in16, lapped_with_stair, pieces, rectangle

HERE = Point(0, 0)


def _placed(item: Item, quantity: int, size: str = "", why: str = "because", number: int = 0) -> Placed:
    unit = "length_16" if item in (Item.STRAP, Item.ADHESIVE_BEAD) else "piece"
    return Placed(f"x:{item}:{why}:{number}", item, size, quantity, unit, HERE, "R0", why, "host")


def _line(*placed: Placed, practice: Practice | None = None) -> BomLine:
    (line,) = bill_of_materials([], [], placed, load_catalogue(), practice or Practice())
    return line


@pytest.mark.parametrize(
    ("exact", "boxes"),
    [
        (1, 1),
        (238, 1),  # 249.9 of 250
        (239, 2),  # 250.95
        (476, 2),  # 499.8
        (477, 3),
    ],
)
def test_fasteners_come_in_whole_boxes_after_five_percent(exact: int, boxes: int) -> None:
    line = _line(_placed(Item.STEEL_SCREW, exact))
    assert (line.exact, line.bought, line.sold_by, line.pack) == (exact, boxes, "box", 250)
    assert line.weight_lb == pytest.approx(boxes * 250 * 0.0088, abs=0.005)


def test_a_box_filled_exactly_is_enough() -> None:
    # 200 nails and 25 % more are 250, one box of screws to the piece.
    practice = Practice(fastener_allowance_percent=25)
    assert _line(_placed(Item.STEEL_SCREW, 200), practice=practice).bought == 1
    assert _line(_placed(Item.STEEL_SCREW, 201), practice=practice).bought == 2


@pytest.mark.parametrize(
    ("item", "inches", "bought"),
    [
        (Item.STRAP, 120, 10),
        (Item.STRAP, 120.0625, 11),
        (Item.ADHESIVE_BEAD, 480, 1),
        (Item.ADHESIVE_BEAD, 480.0625, 2),
    ],
)
def test_lengths_are_bought_whole(item: Item, inches: float, bought: int) -> None:
    assert _line(_placed(item, in16(inches))).bought == bought


def test_beads_are_bought_as_tubes() -> None:
    line = _line(_placed(Item.ADHESIVE_BEAD, 100))
    assert (line.code, line.unit, line.sold_by) == ("adhesive_tube", "length_16", "tube")


def test_terms_group_equal_reasons_and_name_their_places() -> None:
    line = _line(
        _placed(Item.BEARING_NAIL, 2, why="plates", number=1),
        _placed(Item.BEARING_NAIL, 4, why="ladder", number=2),
        _placed(Item.BEARING_NAIL, 2, why="plates", number=3),
    )
    assert [(t.words, t.quantity, len(t.places)) for t in line.terms] == [("plates", 4, 2), ("ladder", 4, 1)]


def test_sizes_are_lines_of_their_own_in_order_of_depth() -> None:
    placed = [_placed(Item.BEARING_CLIP, 1, size, number=n) for n, size in enumerate(("1000", "800"))]
    lines = bill_of_materials([], [], placed, load_catalogue(), Practice())
    assert [line.code for line in lines] == ["bearing_clip:800", "bearing_clip:1000"]


def test_what_is_cut_from_stock_is_not_billed_twice() -> None:
    floor, bay = rectangle(480, 192)
    codes = set(bill_of(floor, bay))
    assert not codes & {"rim_board", "web_backing", "sheathing_cell", "adhesive_bead"}


def test_an_item_outside_the_catalogue_is_refused() -> None:
    with pytest.raises(UnknownItem):
        _line(_placed(Item.BEARING_CLIP, 1, "900"))


def test_members_are_billed_by_foot_with_pieces_in_the_terms() -> None:
    # 29 joists of 189 in at 3.19 lb/ft or what the table says: 29 x 15.75 = 456.75 ft, 457 bought.
    _, bay = rectangle(480, 192)
    (line,) = bill_of_materials([bay], pieces(bay), [], load_catalogue(), Practice())
    assert (line.code, line.exact, line.bought) == (PROFILE, 29 * in16(189), 457)
    assert [(t.words, len(t.places)) for t in line.terms] == [
        ("29 \N{MULTIPLICATION SIGN} 2J3024, joists", 29)
    ]
    assert line.weight_lb == pytest.approx(456.75 * load_catalogue().profile(PROFILE).weight_plf, abs=0.005)


def test_blocks_weigh_by_their_true_length() -> None:
    # Six blocks between joists at 16 in: clear 16 - 1.625 = 14.375 in each.
    floor, bay = rectangle(480, 192)
    line = bill_of(floor, bay)[f"solid_block:{PROFILE}"]
    plf = load_catalogue().profile(PROFILE).weight_plf
    assert line.weight_lb == pytest.approx(6 * 14.375 / 12 * plf, abs=0.005)


def test_groups_come_in_their_order() -> None:
    floor, bay = lapped_with_stair()
    groups = [line.group for line in bill_of(floor, bay).values()]
    order = ["members", "hardware", "fasteners", "boards", "sheathing"]
    assert groups == sorted(groups, key=order.index)
    assert set(groups) == set(order)


def test_schedule_has_one_line_per_mark_and_all_pieces() -> None:
    _, bay = lapped_with_stair()
    lines = schedule([bay], pieces(bay), load_catalogue())
    assert sum(line.pieces for line in lines) == 26 + 6 + 29 + 2 * 4
    by_mark = {line.mark: line for line in lines}
    trimmers = by_mark[f"2T{in16(148.5)}"]
    assert (trimmers.plies, trimmers.members, trimmers.pieces, trimmers.length_16) == (2, 2, 4, in16(148.5))
    assert [line.kind for line in lines] == sorted((line.kind for line in lines), key=["J", "T", "H"].index)
    feet = sum(p.length_16 for p in pieces(bay)) / 192
    plf = load_catalogue().profile(PROFILE).weight_plf
    assert sum(line.weight_lb for line in lines) == pytest.approx(feet * plf, abs=0.05)
