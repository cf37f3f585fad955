"""The scan line: where stations meet straight sides, and the joist pieces that this leaves (R1-R3).

Coordinates are whole sixteenths in a frame where joists run along y; stations are x, rising. Half open: a side
from x_a to x_b > x_a meets station x where x_a <= x < x_b, so that a station sees what lies just beyond it; a side
along y meets none. Sides that meet a station at one place come in the order that they have just beyond it.

Places are exact: numerator over denominator. To be sorted they are cut to whole 2**-40; two different fractions
with denominators up to 2**19 lie farther apart than that. Few stations are scanned one by one, many in arrays.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

Side = tuple[int, int, int, int]
"""x and y of a straight side's two ends."""
Numbers = NDArray[np.int64]

ARRAYS_FROM: Final = 100
"""From this many stations on, arrays are faster than one station after the other."""
REACH_16: Final = 1 << 18
"""No coordinate may be larger (a quarter mile); beyond, 64 bits would not hold the exact places."""
_FINE_BITS: Final = 40
_NEVER: Final = 1 << 62
_OPENING: Final = 1 << 20
"""What an opening's low edge adds to the state of a scan; each outline side adds one."""


class Crossing(NamedTuple):
    """A place where a station meets a side: exact along-coordinate and the side's index."""

    along_16: int | Fraction
    side: int


@dataclass(frozen=True, slots=True)
class Pieces:
    """Joist pieces, station by station, low to high in each; one column entry each.

    Attributes:
        station: index of the piece's station.
        low_n, low_d, high_n, high_d: its two ends along, numerator and denominator (not reduced).
        low_side, high_side: what ends it: the index of an outline side; after those two for each opening, its
            low and its high edge; after those the sides of bearing lines.
    """

    station: Numbers
    low_n: Numbers
    low_d: Numbers
    low_side: Numbers
    high_n: Numbers
    high_d: Numbers
    high_side: Numbers


def crossings(
    sides: Sequence[Side], stations: Sequence[int], lines: Sequence[Side] | None = None
) -> list[list[Crossing]]:
    """For each station the crossings with `sides`, low to high; of a closed ring an even number.

    Args:
        sides: which stations are met is told by these.
        stations: rising.
        lines: two places on each side's line to work out crossings with, where a side's own ends are rounded.

    Raises ValueError: stations that fall, a coordinate over REACH_16.
    """
    drawn = _sorted_spans(sides, sides if lines is None else lines)
    _check(stations)
    if len(stations) < ARRAYS_FROM:
        return [[Crossing(_exact(n, d), side) for *_, n, d, side in row] for row in _met(drawn, stations)]
    found = _met_in_arrays(drawn, stations)
    told: list[list[Crossing]] = [[] for _ in stations]
    rows, places = np.nonzero(found.place < _NEVER)
    events = found.event[rows, places]
    columns = (rows, found.n[events], found.d[events], found.side[events])
    for station, n, d, side in zip(*(column.tolist() for column in columns), strict=True):
        told[station].append(Crossing(_exact(n, d), side))
    return told


def joist_pieces(
    outline: Sequence[Side], openings: Sequence[Side], bearings: Sequence[Side], stations: Sequence[int]
) -> Pieces:
    """The floor's pieces on the stations: within the outline, less openings, cut where bearing lines cross.

    Args:
        outline: the sides of one or more closed rings, counted even-odd.
        openings: rectangles from low to high corner; they may overlap each other and the outline.
        bearings: the sides of open polylines. They cut what strictly holds them.
        stations: rising.

    Pieces of no length are left out. Raises ValueError as `crossings` does.
    """
    edges = [edge for a, b, c, d in openings for edge in ((a, b, c, b), (a, d, c, d))]
    sides = [*outline, *edges, *bearings]
    steps = [1] * len(outline) + [_OPENING, -_OPENING] * len(openings) + [0] * len(bearings)
    drawn = _sorted_spans(sides, sides)
    _check(stations)
    if len(stations) < ARRAYS_FROM:
        return _pieces(_met(drawn, stations), steps)
    return _pieces_in_arrays(_met_in_arrays(drawn, stations), np.array(steps, dtype=np.int64))


class _Span(NamedTuple):
    """A side that is not along y: the stretch that it covers, and y = (top + x * dy) / dx on it."""

    slope: int
    side: int
    low: int
    high: int
    top: int
    dx: int
    dy: int


def _sorted_spans(sides: Sequence[Side], lines: Sequence[Side]) -> list[_Span]:
    """By slope, then by index: the order just beyond a place where several meet."""
    spans = []
    for index, (side, line) in enumerate(zip(sides, lines, strict=True)):
        x0, _, x1, _ = side
        if x0 == x1:
            continue
        a, b, c, d = line if line[0] != line[2] else side
        dx, dy = (c - a, d - b) if a < c else (a - c, b - d)
        low, high = (x0, x1) if x0 < x1 else (x1, x0)
        if dy:
            spans.append(_Span((dy << _FINE_BITS) // dx, index, low, high, b * dx - a * dy, dx, dy))
        else:
            spans.append(_Span(0, index, low, high, b, 1, 0))
        _check_reach(spans[-1], (a, b, c, d))
    return sorted(spans)


def _check_reach(span: _Span, line: Side) -> None:
    ends = (span.top + span.low * span.dy, span.top + span.high * span.dy)
    far = max(map(abs, (*line, span.low, span.high))) > REACH_16
    if far or max(map(abs, ends)) > 2 * REACH_16 * span.dx:
        raise ValueError(f"side {span.side} reaches beyond {REACH_16} sixteenths")


def _check(stations: Sequence[int]) -> None:
    if any(after < before for before, after in pairwise(stations)):
        raise ValueError("stations must rise")


def _exact(numerator: int, denominator: int) -> int | Fraction:
    whole, rest = divmod(numerator, denominator)
    return Fraction(numerator, denominator) if rest else whole


_Event = tuple[int, int, int, int, int]  # place in 2**-40, rank by slope, numerator, denominator, side


def _met(spans: Sequence[_Span], stations: Sequence[int]) -> list[list[_Event]]:
    rows: list[list[_Event]] = [[] for _ in stations]
    for rank, (_, side, low, high, top, dx, dy) in enumerate(spans):
        for at in range(bisect_left(stations, low), bisect_left(stations, high)):
            n = top + stations[at] * dy
            rows[at].append(((n << _FINE_BITS) // dx, rank, n, dx, side))
    for row in rows:
        row.sort()
    return rows


def _pieces(rows: Sequence[Sequence[_Event]], steps: Sequence[int]) -> Pieces:
    found: list[int] = []
    for station, row in enumerate(rows):
        state = 0
        low: _Event = (0, 0, 0, 1, 0)
        for high in row:
            if state & 1 and state < _OPENING and high[0] > low[0]:
                found += (station, *low[2:], *high[2:])
            state += steps[high[4]]
            low = high
    table = np.array(found, dtype=np.int64).reshape(-1, 7).T
    return Pieces(*table)


@dataclass(frozen=True, slots=True)
class _Table:
    """All crossings in arrays, and a table of them: a row for each station, low to high, filled up with _NEVER.

    `event` tells which crossing each cell of the table is; a filling cell may name any.
    """

    n: Numbers
    d: Numbers
    side: Numbers
    place: Numbers
    event: Numbers


def _met_in_arrays(spans: Sequence[_Span], stations: Sequence[int]) -> _Table:
    x = np.array(stations, dtype=np.int64)
    _, side, low, high, top, dx, dy = np.array(spans, dtype=np.int64).reshape(-1, 7).T
    first = np.searchsorted(x, low)
    counts = np.searchsorted(x, high) - first
    starts = np.cumsum(counts) - counts
    span = np.repeat(np.arange(len(counts)), counts)
    at = np.arange(len(span)) + np.repeat(first - starts, counts)
    n, d = top[span] + x[at] * dy[span], dx[span]
    place = n << _FINE_BITS
    skew = np.flatnonzero(d > 1)
    if len(skew):
        whole, rest = np.divmod(n[skew], d[skew])
        place[skew] = (whole << _FINE_BITS) + (rest << _FINE_BITS) // d[skew]
    table, event = _by_station(at, place, len(x))
    return _Table(n, d, side[span], table, event)


def _by_station(at: Numbers, place: Numbers, stations: int) -> tuple[Numbers, Numbers]:
    """Crossings, which come by slope, as a sorted table by station; equal places stay in order."""
    grouped = np.argsort(at.astype(np.min_scalar_type(stations)), kind="stable")
    row = at[grouped]
    counts = np.bincount(row, minlength=stations)
    column = np.arange(len(row)) - np.repeat(np.cumsum(counts) - counts, counts)
    width = int(counts.max(initial=0))
    table = np.full((stations, width), _NEVER, dtype=np.int64)
    event = np.zeros((stations, width), dtype=np.int64)
    table[row, column], event[row, column] = place[grouped], grouped
    order = np.argsort(table, axis=1, kind="stable")
    return np.take_along_axis(table, order, axis=1), np.take_along_axis(event, order, axis=1)


def _pieces_in_arrays(met: _Table, steps: Numbers) -> Pieces:
    step = np.where(met.place < _NEVER, steps[met.side][met.event], 0)
    state = np.cumsum(step, axis=1)[:, :-1]
    held = (state & 1 == 1) & (state < _OPENING) & (met.place[:, 1:] > met.place[:, :-1])
    row, column = np.nonzero(held)
    low, high = met.event[row, column], met.event[row, column + 1]
    return Pieces(row, met.n[low], met.d[low], met.side[low], met.n[high], met.d[high], met.side[high])
