"""How much room bundles and packs take, worked by hand."""

from __future__ import annotations

from framing.engine.trucks import bundle_size, bundle_thing, pack_thing

IN, FT = 16, 192


def test_pairs_nest_side_by_side() -> None:
    # 12 pieces are 6 pairs, each 1 5/8 in and 1/8 in thick: 10 1/2 in; as high as the joist is deep
    assert bundle_size(12, 160, 26) == (6 * 28, 160)
    assert bundle_size(13, 160, 26) == (7 * 28, 160)
    assert bundle_size(1, 128, 26) == (28, 128)


def test_a_bundle() -> None:
    thing = bundle_thing(
        "B4", "Bundle 4", pieces=12, depth_16=160, flange_16=26, length_16=3000, weight_lb=812.5, stop=2
    )
    assert (thing.id, thing.name, thing.length_16, thing.width_16, thing.height_16) == (
        "B4",
        "Bundle 4",
        3000,
        168,
        160,
    )
    assert (thing.weight_100, thing.stop, thing.bears, thing.own_place, thing.pack) == (
        81_250,
        2,
        None,
        False,
        False,
    )


def test_packs_by_what_they_hold() -> None:
    sheets = pack_thing("C1", "Carton 1", "L1 (1 of 2): Sheathing and adhesive", 1890)
    assert (sheets.length_16, sheets.width_16, sheets.height_16) == (8 * FT, 4 * FT, 18 * IN)  # 1,890 / 105
    assert (sheets.bears, sheets.own_place, sheets.pack) == (None, False, True)
    boards = pack_thing("C2", "Carton 2", "L1: Boards", 400, stop=3)
    assert (boards.length_16, boards.width_16, boards.height_16) == (20 * FT, 2 * FT, FT)
    assert (boards.bears, boards.stop) == (1, 3)
    box = pack_thing("C3", "Carton 3", "L1: Fasteners", 300)
    assert (box.length_16, box.width_16, box.height_16) == (2 * FT, FT, FT)
    assert (box.bears, box.own_place) == (0, False)
    pallet = pack_thing("C4", "Carton 4", "L1: Short pieces and blocks", 300.01)
    # 300.01 / 40 = 7.5, so 8 in over a pallet of 5 in
    assert (pallet.length_16, pallet.width_16, pallet.height_16) == (48 * IN, 40 * IN, 13 * IN)
    assert (pallet.bears, pallet.own_place, pallet.pack) == (0, True, True)
    assert pack_thing("C5", "Carton 5", "L1: Sheathing and adhesive", 10).height_16 == 6 * IN
