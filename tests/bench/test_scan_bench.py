"""The scan line against a polygon library doing the same job: the floor's pieces on all stations."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely

from framing.engine.layout.scan import Pieces, Side, joist_pieces

pytestmark = pytest.mark.bench
Measure = Callable[..., float]
Ends = np.ndarray[Any, np.dtype[np.float64]]


class Floor:
    """An L with an opening and a bearing line across; as many stations as asked for, none on a corner."""

    def __init__(self, stations: int) -> None:
        # As wide as coordinates go for the many stations, else at 16 in.
        width = min(2 * (stations * 256 // 2), 190_000)
        ring = [(0, 0), (width, 0), (width, 3_200), (width // 2, 3_200), (width // 2, 6_400), (0, 6_400)]
        self.outline: list[Side] = [(*a, *b) for a, b in zip(ring, ring[1:] + ring[:1], strict=True)]
        self.opening: Side = (2 * (width // 8), 800, 2 * (width // 6), 1_600)
        self.bearing: Side = (0, 3_000, width, 3_000)
        self.stations = [(2 * place + 1) * width // (2 * stations) | 1 for place in range(stations)]
        floor = shapely.difference(shapely.Polygon(ring), shapely.box(*self.opening))
        below, above = shapely.box(0, -9, width, 3_000), shapely.box(0, 3_000, width, 9_999)
        self.spans = np.array([shapely.intersection(floor, part) for part in (below, above)])

    def scan(self) -> Pieces:
        return joist_pieces(self.outline, [self.opening], [self.bearing], self.stations)

    def lines(self) -> Any:
        x = np.repeat(np.array(self.stations, dtype=float), 2)
        y = np.tile([-9.0, 9_999.0], len(self.stations))
        return shapely.linestrings(np.stack([x, y], axis=1).reshape(-1, 2, 2))

    def overlay(self) -> Ends:
        """All stations as one geometry, laid over each span."""
        return self._ends(shapely.intersection(shapely.multilinestrings(self.lines()), self.spans))

    def one_call(self) -> Ends:
        """Each station with each span, in one vectorised call."""
        return self._ends(shapely.intersection(self.lines()[:, None], self.spans).ravel())

    def _ends(self, found: Any) -> Ends:
        return shapely.get_coordinates(shapely.get_parts(found)).reshape(-1, 4)


@pytest.mark.parametrize(
    ("stations", "pieces", "times", "turns"), [(29, 60, 5, 100), (315, 650, 7, 20), (3_150, 6_500, 25, 3)]
)
def test_scan_against_the_polygon_library(
    stations: int, pieces: int, times: int, turns: int, measure: Measure
) -> None:
    floor = Floor(stations)
    found = floor.scan()
    assert len(found.station) == pytest.approx(pieces, rel=0.05)
    what = f"scan of {len(found.station):,} pieces, {turns} times"
    peers = {"one overlay of all lines": floor.overlay, "all lines in one call": floor.one_call}
    ratios = [
        measure(what, often(floor.scan, turns), words, often(peer, turns)) for words, peer in peers.items()
    ]
    assert max(ratios) <= 1 / times
    for peer in peers.values():
        assert np.abs(in_order(peer()) - mine(floor, found)).max() / 16 <= 1e-9


def often(call: Callable[[], object], turns: int) -> Callable[[], object]:
    return lambda: [call() for _ in range(turns)]


def mine(floor: Floor, found: Pieces) -> Ends:
    x = np.array(floor.stations)[found.station]
    return np.stack([x, found.low_n / found.low_d, found.high_n / found.high_d], axis=1)


def in_order(ends: Ends) -> Ends:
    low, high = ends[:, 1::2].min(axis=1), ends[:, 1::2].max(axis=1)
    order = np.lexsort((low, ends[:, 0]))
    return np.stack([ends[order, 0], low[order], high[order]], axis=1)
