"""A whole delivery: floors, copies, notes, packs; worked by hand on made-up pieces."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest

from framing.engine.bundling import bundle_package
from framing.engine.catalogue import load_catalogue
from framing.engine.errors import UnknownProfile
from framing.engine.floor import Bay, Edge, EdgeKind, FloorPlan, LoadCase
from framing.engine.geometry import Point
from framing.engine.members import Piece
from framing.engine.practice import Practice
from framing.engine.result import BomLine, Bundle, Carton

FT = 192
CATALOGUE = load_catalogue()
PRACTICE = Practice()


def plan(name: str, repeat: int = 1) -> FloorPlan:
    corners = (Point(0, 0), Point(20 * FT, 0), Point(20 * FT, 16 * FT), Point(0, 16 * FT))
    return FloorPlan(
        name=name,
        level="1",
        units="imperial",
        outline=corners,
        edges=tuple(Edge(i, EdgeKind.PLATFORM, 88) for i in range(4)),
        bays=(Bay("A", (), "y", "low", Fraction(256), Fraction(256)),),
        load_case=LoadCase("living_rooms", 40.0, ()),
        repeat=repeat,
    )


def pieces(*runs: tuple[int, float, str]) -> tuple[Piece, ...]:
    made: list[Piece] = []
    for count, length_ft, profile in runs:
        for _ in range(count):
            n = len(made) + 1
            mark = f"1J{int(length_ft):02d}"
            made.append(Piece(f"A.J{n}/1", f"A.J{n}", mark, profile, int(length_ft * FT), n, "line 1"))
    return tuple(made)


def line(code: str, group: str, bought: int, sold_by: str, weight_lb: float) -> BomLine:
    return BomLine(code, code, group, bought, "piece", bought, sold_by, 1, weight_lb, ())


def bundled(*floors: tuple[FloorPlan, tuple[Piece, ...]], **changes: object) -> tuple[Bundle, ...]:
    practice = Practice(**changes)  # type: ignore[arg-type]
    return bundle_package(floors, CATALOGUE, practice)[0]


def check(floors: list[tuple[FloorPlan, tuple[Piece, ...]]], bundles: tuple[Bundle, ...]) -> None:
    """Independent checker: each long piece of each copy once, one profile, caps, weights."""
    wanted = Counter(
        (f, copy, piece.id)
        for f, (floor, made) in enumerate(floors)
        for copy in range(1, floor.repeat + 1)
        for piece in made
        if piece.length_16 >= 4 * FT
    )
    assert Counter((p.floor, p.copy, p.piece) for b in bundles for p in b.pieces) == wanted
    caps = {8: 15, 10: 13, 12: 11, 14: 9}
    for bundle in bundles:
        profile = CATALOGUE.profile(bundle.profile)
        by_id = {piece.id: piece for f in {p.floor for p in bundle.pieces} for piece in floors[f][1]}
        assert {by_id[p.piece].profile for p in bundle.pieces} == {bundle.profile}
        assert len(bundle.pieces) <= caps[int(profile.depth_in)]
        weight = sum(p.length_16 for p in bundle.pieces) / FT * profile.weight_plf
        assert bundle.weight_lb == pytest.approx(weight, abs=0.1)
        assert bundle.weight_lb <= 2000
        assert bundle.length_16 == max(p.length_16 for p in bundle.pieces)
        assert bundle.short == (len(bundle.pieces) < 8)
    assert [bundle.number for bundle in bundles] == list(range(1, len(bundles) + 1))


def test_a_plain_floor() -> None:
    floors = [(plan("First floor"), pieces((17, 15.75, "1000S162-54")))]
    bundles, cartons, notes = bundle_package(floors, CATALOGUE, PRACTICE)
    check(floors, bundles)
    assert [len(b.pieces) for b in bundles] == [9, 8]
    assert [b.zone for b in bundles] == ["First floor: line 1"] * 2
    assert (cartons, notes) == ((), ())


def test_copies_of_a_floor_are_bundled_each() -> None:
    floors = [(plan("Typical floor", repeat=3), pieces((20, 15.75, "1200S162-68"), (9, 10, "800S162-54")))]
    bundles, _, _ = bundle_package(floors, CATALOGUE, PRACTICE)
    check(floors, bundles)
    assert [{p.copy for p in b.pieces} for b in bundles] == [{1}] * 3 + [{2}] * 3 + [{3}] * 3
    assert bundles[3].zone == "Typical floor (2 of 3): line 1"


def test_floors_with_too_few_of_a_profile_share_a_bundle() -> None:
    floors = [
        (plan("First floor"), pieces((16, 15.75, "1000S162-54"), (5, 12, "800S162-54"))),
        (plan("Second floor"), pieces((16, 15.75, "1000S162-54"), (4, 12, "800S162-54"))),
    ]
    bundles, _, notes = bundle_package(floors, CATALOGUE, PRACTICE)
    check(floors, bundles)
    shared = [b for b in bundles if b.profile == "800S162-54"]
    assert [len(b.pieces) for b in shared] == [9]
    assert shared[0].zone == "First floor: line 1; Second floor: line 1"
    assert all({p.floor for p in b.pieces} in ({0}, {1}) for b in bundles if b.profile == "1000S162-54")
    assert notes == ()


def test_a_short_bundle_is_flagged() -> None:
    floors = [(plan("First floor"), pieces((16, 15.75, "1000S162-54"), (2, 12, "800S162-54")))]
    bundles, _, notes = bundle_package(floors, CATALOGUE, PRACTICE)
    check(floors, bundles)
    short = [b for b in bundles if b.short]
    assert [b.note for b in short] == ["short, 2 of at least 8 pieces."]
    assert [n.place for n in notes] == [f"bundles.{short[0].number}"]


def test_a_broken_spread_is_noted() -> None:
    floors = [(plan("First floor"), pieces((8, 16, "800S162-54"), (5, 10, "800S162-54")))]
    (bundle,) = bundled(*floors)
    assert bundle.note == "lengths differ by 6'-0\", over 4'-0\"."


def test_more_bundles_than_count_asks_for_are_explained() -> None:
    floors = [(plan("First floor"), pieces((8, 20, "800S162-54"), (16, 10, "800S162-54")))]
    bundles, _, notes = bundle_package(floors, CATALOGUE, PRACTICE)
    assert len(bundles) == 3
    assert "3 bundles, at least 2" in notes[0].message


def test_a_lift_limit_makes_more_bundles_and_a_single_heavy_piece_is_noted() -> None:
    floors = [
        (plan("First floor"), pieces((10, 40, "1400S162-97")))
    ]  # 40 ft x (6.05 + 0.06 of zinc) plf = 244 lb each
    assert [len(b.pieces) for b in bundled(*floors)] == [8, 2] or max(
        b.weight_lb for b in bundled(*floors)
    ) <= 2000
    heavy = bundled(*floors, lift_limit_lb=200.0)
    assert [len(b.pieces) for b in heavy] == [1] * 10
    assert "244.35 lb is over the lift limit of 200 lb." in heavy[0].note


def test_pieces_under_four_feet_go_in_a_numbered_pack_by_mark() -> None:
    floors = [(plan("First floor"), pieces((9, 15.75, "1000S162-54"), (3, 3.5, "1000S162-54")))]
    bundles, cartons, _ = bundle_package(floors, CATALOGUE, PRACTICE)
    check(floors, bundles)
    assert cartons == (
        Carton(1, "First floor: Short pieces and blocks", (("1J03 1000S162-54, 3'-6\"", 3, "piece"),), 28.41),
    )


def test_packs_hold_every_bought_thing_and_keep_to_the_lift_limit() -> None:
    bill = (
        line("1000S162-54", "members", 200, "ft", 532.0),
        line("solid_block:1000S162-54", "members", 12, "piece", 38.0),
        line("bearing_clip:1000", "hardware", 34, "piece", 21.8),
        line("steel_screw", "fasteners", 3, "box", 6.6),
        line("sheathing_panel", "sheathing", 60, "sheet", 60 * 76.8),
    )
    floors = [(plan("First floor", repeat=2), pieces((9, 15.75, "1000S162-54")))]
    _, cartons, _ = bundle_package(floors, CATALOGUE, PRACTICE, bills=[bill])
    assert [c.number for c in cartons] == list(range(1, len(cartons) + 1))
    assert all(c.weight_lb <= 2000 for c in cartons)
    packed = Counter[str]()
    for carton in cartons:
        for words, quantity, _sold_by in carton.contents:
            packed[words] += quantity
    assert packed == {
        "solid_block:1000S162-54": 24,
        "bearing_clip:1000": 68,
        "steel_screw": 6,
        "sheathing_panel": 120,
    }
    first = [c for c in cartons if c.title == "First floor (1 of 2): Sheathing and adhesive"]
    assert [c.contents[0][1] for c in first] == [26, 26, 8]  # 2000 / 76.8 = 26.04


def test_an_unknown_profile_is_refused() -> None:
    with pytest.raises(UnknownProfile):
        bundle_package([(plan("First floor"), pieces((9, 12, "900S162-54")))], CATALOGUE, PRACTICE)
