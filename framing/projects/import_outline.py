"""The outline on its way from the drawing to the document: turned back, moved to 0, 0, set square, rounded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Final

from framing.projects.import_found import Report, System, counted, length_words, settled_16
from framing.projects.reading.loops_lines import common_angle
from framing.projects.reading.loops_rings import Ring
from framing.projects.reading.loops_shapes import Spot, Stroke

NEAR_16: Final = 4.0
"""Ends and lines within 1/4 in are meant to meet."""
SQUARE_16: Final = 0.5
"""A side that leaves its axis by at most 1/32 in runs along it; what moves by more is told."""
CORNERS_MOST: Final = 400
_AGREE: Final = 0.6
_TOLD_DEGREES: Final = 0.01


@dataclass(frozen=True, slots=True)
class Placing:
    """How the drawing lies on the plan: turned about `centre` by `degrees`, then moved."""

    centre: Spot
    degrees: float
    move: Spot

    def of(self, spot: Spot) -> Spot:
        x, y = turned(spot, self.centre, self.degrees)
        return x + self.move[0], y + self.move[1]


def turned(spot: Spot, centre: Spot, degrees: float) -> Spot:
    if not degrees:
        return spot
    c, s = cos(radians(degrees)), sin(radians(degrees))
    x, y = spot[0] - centre[0], spot[1] - centre[1]
    return centre[0] + x * c - y * s, centre[1] + x * s + y * c


def place_outline(ring: Ring, units: System, report: Report) -> tuple[tuple[Spot, ...], Placing]:
    """The outline's corners on the plan, low corner at 0, 0, and the placing for all that lies in it."""
    centre = ring.corners[0]
    degrees = -_askew(ring)
    if abs(degrees) > _TOLD_DEGREES:
        report.mended.append(
            f"The drawing was turned back by {abs(degrees):.2f} degrees, so that its longest sides lie along the plan."
        )
    spots = [turned(corner, centre, degrees) for corner in ring.corners]
    low = (min(x for x, _ in spots), min(y for _, y in spots))
    placing = Placing(centre, degrees, (-low[0], -low[1]))
    placed = [placing.of(corner) for corner in ring.corners]
    square = squared(placed)
    shifts = [
        max(abs(settled_16(now, units) - drawn) for now, drawn in zip(corner, was, strict=True))
        for corner, was in zip(square, placed, strict=True)
    ]
    moved = [shift for shift in shifts if shift > SQUARE_16 + 1e-6]
    if moved:
        report.mended.append(
            f"{counted(len(moved), 'corner')} moved by up to {length_words(max(moved), units)} by rounding and by "
            "making sides straight along the plan."
        )
    corners = _apart(square)
    first = corners.index(min(corners))
    return (*corners[first:], *corners[:first]), placing


def squared(spots: Sequence[Spot]) -> list[Spot]:
    """Corners whose sides run along an axis where they nearly do: such ends share a coordinate, their mean."""
    columns, rows = list(range(len(spots))), list(range(len(spots)))
    for here in range(len(spots)):
        after = (here + 1) % len(spots)
        if abs(spots[here][0] - spots[after][0]) <= SQUARE_16:
            _one_group(columns, here, after)
        if abs(spots[here][1] - spots[after][1]) <= SQUARE_16:
            _one_group(rows, here, after)
    xs = _means([x for x, _ in spots], columns)
    ys = _means([y for _, y in spots], rows)
    return list(zip(xs, ys, strict=True))


def straight(a: Spot, b: Spot) -> tuple[Spot, Spot]:
    """A line along the axis that it nearly runs along, within 1/8 in; any other as it is."""
    if abs(a[0] - b[0]) <= 2 and abs(a[1] - b[1]) > 2:
        x = (a[0] + b[0]) / 2
        return (x, a[1]), (x, b[1])
    if abs(a[1] - b[1]) <= 2 and abs(a[0] - b[0]) > 2:
        y = (a[1] + b[1]) / 2
        return (a[0], y), (b[0], y)
    return a, b


def _askew(ring: Ring) -> float:
    sides = [Stroke(a, b) for a, b in zip(ring.corners, ring.corners[1:] + ring.corners[:1], strict=True)]
    angle = common_angle(sides, _AGREE)
    return 0.0 if angle is None or abs(angle) < 1e-6 else angle


def _one_group(groups: list[int], one: int, other: int) -> None:
    low, high = sorted((groups[one], groups[other]))
    for place, group in enumerate(groups):
        if group == high:
            groups[place] = low


def _means(values: Sequence[float], groups: Sequence[int]) -> list[float]:
    members: dict[int, list[float]] = {}
    for value, group in zip(values, groups, strict=True):
        members.setdefault(group, []).append(value)
    return [sum(members[group]) / len(members[group]) for group in groups]


def _apart(spots: Sequence[Spot]) -> tuple[Spot, ...]:
    """Corners without those that fall onto the one before them once rounded."""
    kept: list[Spot] = []
    for spot in spots:
        if not kept or max(abs(spot[0] - kept[-1][0]), abs(spot[1] - kept[-1][1])) > 1.0:
            kept.append(spot)
    return tuple(kept)
