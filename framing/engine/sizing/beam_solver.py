"""Elastic beams of one stiffness over any number of simple supports, with overhangs, solved exactly.

Support moments come from the three-moment equation, its load terms from the end slopes of each span as a
simple beam; then each part is integrated from load step to load step. Units as in `beam_parts`.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from framing.engine.sizing.beam_parts import Segment, Solution

Line = tuple[float, float, float] | tuple[float, float, float, float]


class Grid:
    """Places where something steps, and the parts of the member between its ends and supports.

    Attributes:
        places: rising, from end to end of the member; segment k runs from place k to place k + 1.
        cuts: index of the place at each end of each part.
        low_overhang, high_overhang: whether the first and the last part are overhangs.
    """

    __slots__ = ("cuts", "high_overhang", "low_overhang", "places")

    def __init__(
        self,
        supports_in: Sequence[float],
        low_in: float | None,
        high_in: float | None,
        steps: Iterable[float],
    ) -> None:
        low = supports_in[0] if low_in is None else low_in
        high = supports_in[-1] if high_in is None else high_in
        bounds = sorted({low, *supports_in, high})
        self.places = sorted({*bounds, *(step for step in steps if low < step < high)})
        self.cuts = [bisect_left(self.places, bound) for bound in bounds]
        self.low_overhang = low < supports_in[0]
        self.high_overhang = high > supports_in[-1]

    def parts_of_segments(self) -> list[int]:
        """The part that each segment lies in."""
        lengths = (b - a for a, b in pairwise(self.cuts))
        return [part for part, length in enumerate(lengths) for _ in range(length)]


class Loading:
    """Loads on a grid: line load at the low end of each segment with its rise, and a force at each place."""

    __slots__ = ("forces", "grid", "loads", "rises")

    def __init__(self, grid: Grid) -> None:
        self.grid = grid
        self.loads = [0.0] * (len(grid.places) - 1)
        self.rises = [0.0] * (len(grid.places) - 1)
        self.forces = [0.0] * len(grid.places)

    def add_line(self, low_in: float, high_in: float, low_load: float, high_load: float) -> None:
        """Add a straight load; what lies beyond the member's ends is left out."""
        places = self.grid.places
        rise = (high_load - low_load) / (high_in - low_in) if high_load != low_load else 0.0
        last = min(bisect_left(places, high_in), len(self.loads))
        for k in range(bisect_left(places, low_in), last):
            self.loads[k] += low_load + rise * (places[k] - low_in)
            self.rises[k] += rise

    def add_point(self, at_in: float, force_lb: float) -> None:
        """Add a force; one beyond the member's ends is left out."""
        index = bisect_left(self.grid.places, at_in)
        if index < len(self.forces) and self.grid.places[index] == at_in:
            self.forces[index] += force_lb


class _Ends(NamedTuple):
    """Shear, moment, slope and deflection at the far end of a part."""

    shear: float
    moment: float
    slope: float
    sag: float


_AT_REST = _Ends(0.0, 0.0, 0.0, 0.0)


def solve(
    supports_in: Sequence[float],
    lines: Sequence[Line],
    points: Sequence[tuple[float, float]],
    low_in: float | None = None,
    high_in: float | None = None,
) -> Solution:
    """Solve one load pattern.

    Args:
        supports_in: two or more, rising.
        lines: (low, high, lb per inch), or with a second load at the high end: straight between the two.
        points: (at, lb).
        low_in, high_in: member ends beyond the outer supports; None where there is no overhang.
    """
    steps = [place for line in lines for place in line[:2]] + [at for at, _ in points]
    loading = Loading(Grid(supports_in, low_in, high_in, steps))
    for line in lines:
        loading.add_line(line[0], line[1], line[2], line[-1])
    for at, force in points:
        loading.add_point(at, force)
    return solve_loading(loading)


def solve_loading(loading: Loading) -> Solution:
    """Solve loads that are already on a grid."""
    grid = loading.grid
    cuts = grid.cuts
    first, last = int(grid.low_overhang), len(cuts) - 1 - grid.high_overhang
    parts: list[list[Segment]] = []
    low_tip, high_root = _overhangs(loading)
    moments = [low_tip.moment, *_inner_moments(loading, first, last, low_tip, high_root), high_root.moment]
    slope = 0.0
    for i in range(first, last):
        start = _span_start(loading, i, moments[i - first], moments[i - first + 1])
        segments, end = _sweep(loading, i, start)
        if i == first and first:
            parts.append(_low_overhang(loading, low_tip, start.slope))
        parts.append(segments)
        slope = end.slope
    if grid.high_overhang:
        parts.append(_sweep(loading, last, high_root._replace(slope=slope))[0])
    reactions = _reactions(loading, parts, first)
    return Solution(tuple(tuple(part) for part in parts), reactions, grid.low_overhang, grid.high_overhang)


def _sweep(loading: Loading, part: int, start: _Ends) -> tuple[list[Segment], _Ends]:
    """Integrate a part from its low end; a force over its ends is left to the support there."""
    places, loads, rises, forces = loading.grid.places, loading.loads, loading.rises, loading.forces
    low, high = loading.grid.cuts[part], loading.grid.cuts[part + 1]
    shear, moment, slope, sag = start
    segments: list[Segment] = []
    for k in range(low, high):
        if k > low:
            shear -= forces[k]
        load, rise = loads[k], rises[k]
        segments.append(Segment(places[k], places[k + 1], moment, shear, load, rise, slope, sag))
        t = places[k + 1] - places[k]
        sag += t * (slope - t * (moment / 2 + t * (shear / 6 - t * (load / 24 + t * rise / 120))))
        slope -= t * (moment + t * (shear / 2 - t * (load / 6 + t * rise / 24)))
        moment += t * (shear - t * (load / 2 + t * rise / 6))
        shear -= t * (load + t * rise / 2)
    return segments, _Ends(shear, moment, slope, sag)


def _length(grid: Grid, part: int) -> float:
    return grid.places[grid.cuts[part + 1]] - grid.places[grid.cuts[part]]


def _overhangs(loading: Loading) -> tuple[_Ends, _Ends]:
    """Low overhang swept from its tip to the support; the state at the support that starts the high one."""
    grid = loading.grid
    low = high = _AT_REST
    if grid.low_overhang:
        low = _sweep(loading, 0, _Ends(-loading.forces[0], 0.0, 0.0, 0.0))[1]
    if grid.high_overhang:
        part = len(grid.cuts) - 2
        swept = _sweep(loading, part, _AT_REST)[1]
        shear = loading.forces[-1] - swept.shear
        high = _Ends(shear, -(shear * _length(grid, part) + swept.moment), 0.0, 0.0)
    return low, high


def _low_overhang(loading: Loading, swept: _Ends, slope: float) -> list[Segment]:
    """The overhang turned and shifted so that it meets the first span's slope at the support."""
    tip_slope = slope - swept.slope
    tip_sag = -(tip_slope * _length(loading.grid, 0) + swept.sag)
    return _sweep(loading, 0, _Ends(-loading.forces[0], 0.0, tip_slope, tip_sag))[0]


def _span_start(loading: Loading, part: int, low_moment: float, high_moment: float) -> _Ends:
    """State at the low end of a span between two given support moments."""
    length = _length(loading.grid, part)
    swept = _sweep(loading, part, _AT_REST)[1]
    shear = (high_moment - low_moment - swept.moment) / length
    slope = length * (low_moment / 2 + shear * length / 6) - swept.sag / length
    return _Ends(shear, low_moment, slope, 0.0)


def _end_slopes(loading: Loading, part: int) -> tuple[float, float]:
    """Slopes at both ends of a span as a simple beam."""
    start = _span_start(loading, part, 0.0, 0.0)
    return start.slope, _sweep(loading, part, start)[1].slope


def _inner_moments(loading: Loading, first: int, last: int, low: _Ends, high: _Ends) -> list[float]:
    """Moments over the inner supports: the three-moment equation, by elimination.

    For spans a, b beside a support: Ml a + 2 M (a + b) + Mr b = 6 (slope of the left span's high end - slope
    of the right span's low end), both as simple beams.
    """
    lengths = [_length(loading.grid, i) for i in range(first, last)]
    inner = len(lengths) - 1
    if not inner:
        return []
    slopes = [_end_slopes(loading, i) for i in range(first, last)]
    right = [6 * (slopes[i][1] - slopes[i + 1][0]) for i in range(inner)]
    right[0] -= low.moment * lengths[0]
    right[-1] -= high.moment * lengths[-1]
    diagonal = [2 * (lengths[i] + lengths[i + 1]) for i in range(inner)]
    for i in range(1, inner):
        factor = lengths[i] / diagonal[i - 1]
        diagonal[i] -= factor * lengths[i]
        right[i] -= factor * right[i - 1]
    moments = [0.0] * (inner + 1)
    for i in reversed(range(inner)):
        carried = lengths[i + 1] * moments[i + 1] if i + 1 < inner else 0.0
        moments[i] = (right[i] - carried) / diagonal[i]
    return moments[:inner]


def _reactions(loading: Loading, parts: list[list[Segment]], first: int) -> tuple[float, ...]:
    """Step of the shear at each support, with the force right over it."""
    grid = loading.grid
    reactions = []
    for number in range(len(grid.cuts) - first - grid.high_overhang):
        part = first + number  # the part that starts at this support
        up = loading.forces[grid.cuts[part]]
        if part < len(parts):
            up += parts[part][0].shear
        if part:
            last = parts[part - 1][-1]
            up -= last.shear_at(last.high_in - last.low_in)
        reactions.append(up)
    return tuple(reactions)
