"""The scan line on floors worked by hand, against exact arithmetic written plainly, and against shapely."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from random import Random

import numpy as np
import pytest
import shapely

from framing.engine.layout import scan
from framing.engine.layout.scan import Crossing, Pieces, Side, crossings, joist_pieces

Ring = list[tuple[int, int]]
BOTH = pytest.mark.parametrize("arrays_from", [0, 10**9], ids=["in arrays", "one by one"])
JUST = Fraction(1, 2**60)
"""So little that no two sides change places between a station and a point that much beyond it."""


@pytest.fixture
def way(monkeypatch: pytest.MonkeyPatch, arrays_from: int) -> None:
    monkeypatch.setattr(scan, "ARRAYS_FROM", arrays_from)


def sides_of(*rings: Ring) -> list[Side]:
    return [(*a, *b) for ring in rings for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]


def ends(pieces: Pieces) -> list[tuple[int, Fraction, Fraction]]:
    columns = (pieces.station, pieces.low_n, pieces.low_d, pieces.high_n, pieces.high_d)
    rows = zip(*(column.tolist() for column in columns), strict=True)
    return [(station, Fraction(a, b), Fraction(c, d)) for station, a, b, c, d in rows]


L_FLOOR: Ring = [(0, 0), (96, 0), (96, 40), (32, 40), (32, 80), (0, 80)]


@BOTH
@pytest.mark.usefixtures("way")
def test_a_station_on_a_step_belongs_to_the_part_beyond_it() -> None:
    # At 0 the left side is no bar, at 32 the floor is the low part, at 96 there is none beyond.
    found = crossings(sides_of(L_FLOOR), [0, 31, 32, 95, 96])
    assert [[place.along_16 for place in row] for row in found] == [[0, 80], [0, 80], [0, 40], [0, 40], []]
    assert [[place.side for place in row] for row in found] == [[0, 4], [0, 4], [0, 2], [0, 2], []]


@BOTH
@pytest.mark.usefixtures("way")
def test_a_skewed_side_is_met_at_an_exact_fraction() -> None:
    # From (0, 30) to (90, 40): one up for nine along.
    found = crossings(sides_of([(0, 0), (90, 0), (90, 40), (0, 30)]), [0, 9, 10, 89])
    assert [row[1] for row in found] == [
        Crossing(30, 2),
        Crossing(31, 2),
        Crossing(30 + Fraction(10, 9), 2),
        Crossing(30 + Fraction(89, 9), 2),
    ]
    assert [type(row[1].along_16) for row in found] == [int, int, Fraction, Fraction]


@BOTH
@pytest.mark.usefixtures("way")
def test_a_side_with_rounded_ends_is_met_on_its_drawn_line() -> None:
    # A border cut the drawn side (0, 0)-(100, 33) at x = 40, y = 13.2, rounded to 13.
    side, drawn = (40, 13, 100, 33), (0, 0, 100, 33)
    (row,) = crossings([side], [50], [drawn])
    assert row == [Crossing(Fraction(33, 2), 0)]
    assert crossings([side], [39], [drawn]) == [[]]
    # A drawn line along y tells no place: the side itself does.
    assert crossings([(40, 13, 42, 15)], [41], [(40, 0, 40, 99)]) == [[Crossing(14, 0)]]


@BOTH
@pytest.mark.usefixtures("way")
def test_sides_that_meet_at_a_station_come_as_they_go_on() -> None:
    # A diamond's low corner (10, 0): beyond it the falling side is the lower one, though it comes last.
    diamond: Ring = [(10, 0), (20, 7), (30, 0), (20, -7)]
    assert crossings(sides_of(diamond), [10, 30]) == [[Crossing(0, 3), Crossing(0, 0)], []]


@BOTH
@pytest.mark.usefixtures("way")
def test_places_that_nearly_meet_are_told_apart() -> None:
    # At 1: 1/262143 on the flat side, 1/262144 on the steep one, which is the lower one by 2**-36.
    far = scan.REACH_16
    found = crossings([(0, 0, far - 1, 1), (0, -1, far, far)], [1])
    assert found == [[Crossing(Fraction(1, far), 1), Crossing(Fraction(1, far - 1), 0)]]


@BOTH
@pytest.mark.usefixtures("way")
def test_an_opening_and_a_bearing_line_cut_the_pieces() -> None:
    # Ends by hand: the opening takes 20 to 30, the wall at 40 cuts only what strictly holds it (at 16, 40 to 80).
    pieces = joist_pieces(sides_of(L_FLOOR), [(10, 20, 20, 30)], [(0, 40, 96, 40)], [9, 10, 20, 40])
    assert ends(pieces) == [
        (0, 0, 40), (0, 40, 80), (1, 0, 20), (1, 30, 40), (1, 40, 80), (2, 0, 40), (2, 40, 80), (3, 0, 40),
    ]  # fmt: skip
    assert pieces.low_side.tolist() == [0, 8, 0, 7, 8, 0, 8, 0]
    # At station 40 outline and wall lie on each other: the outline, drawn first, ends the piece.
    assert pieces.high_side.tolist() == [8, 4, 6, 8, 4, 8, 4, 2]


@BOTH
@pytest.mark.usefixtures("way")
def test_openings_may_overlap_each_other_and_the_outline() -> None:
    openings = [(0, 10, 50, 20), (10, 15, 40, 30), (20, 70, 40, 90)]
    pieces = joist_pieces(sides_of(L_FLOOR), openings, [], [5, 15, 25])
    assert ends(pieces) == [(0, 0, 10), (0, 20, 80), (1, 0, 10), (1, 30, 80), (2, 0, 10), (2, 30, 70)]


@BOTH
@pytest.mark.usefixtures("way")
def test_no_stations_and_no_sides_leave_nothing() -> None:
    assert crossings(sides_of(L_FLOOR), []) == []
    assert crossings([], [1, 2]) == [[], []]
    assert ends(joist_pieces([], [], [], [1, 2])) == ends(joist_pieces(sides_of(L_FLOOR), [], [], [])) == []


@BOTH
@pytest.mark.usefixtures("way")
def test_what_would_not_be_exact_is_refused() -> None:
    far = scan.REACH_16 + 1
    with pytest.raises(ValueError, match="must rise"):
        crossings(sides_of(L_FLOOR), [5, 4])
    with pytest.raises(ValueError, match="side 1 reaches beyond"):
        joist_pieces([(0, 0, 9, 0), (0, 0, 9, far)], [], [], [1])
    # A line that is far from its side where the side ends.
    with pytest.raises(ValueError, match="side 0 reaches beyond"):
        crossings([(0, 0, 9, 9)], [1], [(-1, -9, 0, far - 1)])


# 1,000 random floors: rings of any shape (even crossing themselves), stations on every corner and between.


def random_floor(random: Random) -> tuple[list[Ring], list[Side], list[Side], list[int]]:
    size = random.choice([12, 40, 2_000, 192_000])
    rings = [random_ring(random, size) for _ in range(random.choice([1, 1, 2]))]
    places = sorted(random.randint(0, size) for _ in range(8))
    openings = [
        (places[i], low, places[j], low + random.randint(1, size // 3))
        for i, j in ((0, 3), (2, 5), (6, 7))
        if places[i] < places[j] and (low := random.randint(-size // 4, size)) is not None
    ]
    drawn = [random_ring(random, size)[: random.randint(2, 4)] for _ in range(2)]
    bearings = [(*a, *b) for line in drawn for a, b in pairwise(line)]
    stations = {x for ring in rings for x, _ in ring} | {x for opening in openings for x in opening[::2]}
    stations |= {random.randint(-2, size + 2) for _ in range(6)}
    return rings, openings, bearings, sorted(stations)


def random_ring(random: Random, size: int) -> Ring:
    if random.random() < 0.5:
        return [(random.randint(0, size), random.randint(0, size)) for _ in range(random.randint(3, 9))]
    steps = sorted({random.randint(0, size) for _ in range(random.randint(2, 6))} | {0, size})
    ring = [(0, 0), (size, 0)]
    for low, high in zip(steps[-2::-1], steps[:0:-1], strict=True):
        top = random.randint(1, size)
        ring += [(high, top), (low, top)]
    return ring


def oracle_crossings(sides: Sequence[Side], x: int) -> list[tuple[Fraction, int]]:
    """Cross a hair's breadth beyond the station, where no corner is; name the place at the station itself."""
    beyond = x + JUST
    met = []
    for index, (x0, y0, x1, y1) in enumerate(sides):
        if min(x0, x1) < beyond < max(x0, x1):
            slope = Fraction(y1 - y0, x1 - x0)
            met.append((y0 + (beyond - x0) * slope, index, y0 + (x - x0) * slope))
    return [(at, index) for _, index, at in sorted(met)]


def oracle_pieces(
    outline: Sequence[Side], openings: Sequence[Side], bearings: Sequence[Side], x: int
) -> list[tuple[Fraction, Fraction]]:
    places = [at for at, _ in oracle_crossings(outline, x)]
    stretches = list(zip(places[::2], places[1::2], strict=True))
    for x0, low, x1, high in openings:
        if x0 <= x < x1:
            parts = [((a, min(b, low)), (max(a, high), b)) for a, b in stretches]
            stretches = [(Fraction(a), Fraction(b)) for pair in parts for a, b in pair if a < b]
    for at, _ in oracle_crossings(bearings, x):
        parts = [((a, at), (at, b)) if a < at < b else ((a, b),) for a, b in stretches]
        stretches = [part for pair in parts for part in pair]
    return [(a, b) for a, b in stretches if a < b]


def test_a_thousand_random_floors_differ_nowhere_from_exact_arithmetic(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    random = Random(1)  # noqa: S311
    count = 0
    for _ in range(1_000):
        rings, openings, bearings, stations = random_floor(random)
        outline = sides_of(*rings)
        wanted = [oracle_crossings(outline, x) for x in stations]
        wanted_pieces = [
            (index, a, b)
            for index, x in enumerate(stations)
            for a, b in oracle_pieces(outline, openings, bearings, x)
        ]
        count += len(wanted_pieces)
        told = []
        for arrays_from in (0, 10**9):
            monkeypatch.setattr(scan, "ARRAYS_FROM", arrays_from)
            assert crossings(outline, stations) == wanted
            pieces = joist_pieces(outline, openings, bearings, stations)
            assert ends(pieces) == wanted_pieces
            told.append([getattr(pieces, name).tolist() for name in Pieces.__slots__])
        assert told[0] == told[1]
    assert count > 10_000


# Against shapely, where no corner lies on a station: simple floors, an opening, a bearing line right across.


def simple_floor(random: Random) -> tuple[Ring, Side, Side, list[int]]:
    """Lengths in sixteenths; corners on even ones, stations on odd ones."""
    width, step = 2 * random.randint(1_000, 9_000), random.choice([192, 256, 307, 384])
    tops = [2 * random.randint(1_500, 4_000) for _ in range(5)]
    xs = [2 * (width * k // 8) for k in range(5)]
    ring = [(0, 0), (xs[-1], 0), *zip(xs[::-1], tops, strict=True)]
    opening = (xs[1] + 2, 400, xs[2] - 2, 1_000)
    bearing = (-10, 1_200, xs[-1] + 10, 1_200)
    stations = sorted({x | 1 for x in range(0, xs[-1], step)})
    return ring, opening, bearing, stations


def peer_spans(ring: Ring, opening: Side, bearing: Side) -> list[shapely.Geometry]:
    floor = shapely.difference(shapely.Polygon(ring), shapely.box(*opening))
    x0, y, x1, _ = bearing
    return [
        shapely.intersection(floor, shapely.box(x0, low, x1, high)) for low, high in ((-9, y), (y, 99_999))
    ]


def peer_ends(found: object) -> np.ndarray:
    """End points in inches, sorted, of whatever lines shapely found."""
    ends_ = shapely.get_coordinates(shapely.get_parts(np.ravel(found))).reshape(-1, 2, 2) / 16
    low, high = ends_[:, :, 1].min(axis=1), ends_[:, :, 1].max(axis=1)
    order = np.lexsort((low, ends_[:, 0, 0]))
    return np.stack([ends_[order, 0, 0], low[order], high[order]], axis=1)


@BOTH
@pytest.mark.usefixtures("way")
def test_shapely_finds_the_same_ends_off_the_corners() -> None:
    random = Random(2)  # noqa: S311
    for _ in range(50):
        ring, opening, bearing, stations = simple_floor(random)
        pieces = joist_pieces(sides_of(ring), [opening], [bearing], stations)
        x = np.array(stations)[pieces.station]
        mine = np.stack([x, pieces.low_n / pieces.low_d, pieces.high_n / pieces.high_d], axis=1) / 16
        bars = shapely.linestrings([[(x, -10), (x, 99_999)] for x in stations])
        spans = peer_spans(ring, opening, bearing)
        overlay = peer_ends(shapely.intersection(shapely.multilinestrings(bars), spans))
        one_by_one = peer_ends(shapely.intersection(bars[:, None], np.array(spans)[None, :]))
        assert mine.shape == overlay.shape == one_by_one.shape
        assert np.abs(mine - overlay).max() <= 1e-9
        assert np.abs(mine - one_by_one).max() <= 1e-9
