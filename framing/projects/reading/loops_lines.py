"""Straight lines sorted into courses: parallel ones together, those in one line merged into runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, pi, radians, sin

from framing.projects.reading.loops_shapes import Spot, Stroke, far

Run = tuple[float, float]
_PARALLEL = radians(0.1)
_ONE_LINE = 1 / 8  # share of `near` that lines of one course may lie beside each other: 1/32 in


@dataclass(frozen=True, slots=True)
class Course:
    """What is drawn on one endless line.

    Attributes:
        way: the unit direction that it shares with the parallel courses beside it.
        off: its distance to the left of the origin.
        runs: from where to where along `way` something is drawn, in order, apart.
    """

    way: Spot
    off: float
    runs: tuple[Run, ...]


def courses_of(strokes: Sequence[Stroke], near: float) -> list[list[Course]]:
    """Courses by direction, those of one direction ordered by distance. Pieces with gaps up to `near` are one run."""
    return [_courses(angle, group, near) for angle, group in _directions(strokes)]


def angle_of(stroke: Stroke) -> float:
    """Direction in radians, from a hair under 0 up to a hair under pi, whichever way the stroke runs."""
    angle = atan2(stroke.b[1] - stroke.a[1], stroke.b[0] - stroke.a[0]) % pi
    return angle - pi if pi - angle < _PARALLEL / 2 else angle


def overlap(one: Iterable[Run], other: Iterable[Run]) -> list[Run]:
    """What two sets of runs have in common."""
    others = list(other)
    found = [(max(a, c), min(b, d)) for a, b in one for c, d in others]
    return sorted((low, high) for low, high in found if high > low)


def minus(runs: Iterable[Run], cut: Run) -> list[Run]:
    """Runs without a stretch."""
    found = [part for low, high in runs for part in ((low, min(high, cut[0])), (max(low, cut[1]), high))]
    return [(low, high) for low, high in found if high > low]


def total(runs: Iterable[Run]) -> float:
    return sum(high - low for low, high in runs)


def common_angle(strokes: Sequence[Stroke], share: float) -> float | None:
    """By how many degrees (-45 up to 45) lines stand askew to the axes, if at least `share` of their length agrees.

    The answer is the middle one, by length, of those that agree within 0.1 degrees: one that leans moves no other.
    """
    askew = [(_askew(stroke), far(stroke.a, stroke.b)) for stroke in strokes]
    whole = sum(length for _, length in askew)
    best = max(
        ([(angle, weight) for angle, weight in askew if _apart(angle, at) <= 0.1] for at, _ in askew[:400]),
        key=lambda group: sum(weight for _, weight in group),
        default=[],
    )
    weight = sum(length for _, length in best)
    if not best or weight < share * whole:
        return None
    first = best[0][0]
    gone = 0.0
    for off, length in sorted(((angle - first + 45) % 90 - 45, length) for angle, length in best):
        gone += length
        if 2 * gone >= weight:
            return first + off
    return first


def _askew(stroke: Stroke) -> float:
    return (degrees(angle_of(stroke)) + 45) % 90 - 45


def _apart(one: float, other: float) -> float:
    return abs((one - other + 45) % 90 - 45)


def _directions(strokes: Sequence[Stroke]) -> list[tuple[float, list[Stroke]]]:
    """Strokes by direction; the longest of each kind says it exactly."""
    groups: list[tuple[float, list[Stroke]]] = []
    index: dict[int, list[int]] = {}
    for stroke in sorted(strokes, key=lambda s: (-far(s.a, s.b), s.a, s.b)):
        angle = angle_of(stroke)
        cell = round(angle / _PARALLEL)
        near = [n for c in (cell - 1, cell, cell + 1) for n in index.get(c, ())]
        near = [n for n in near if abs(groups[n][0] - angle) <= _PARALLEL]
        if near:
            groups[near[0]][1].append(stroke)
        else:
            index.setdefault(cell, []).append(len(groups))
            groups.append((angle, [stroke]))
    return groups


def _courses(angle: float, strokes: Sequence[Stroke], near: float) -> list[Course]:
    ux, uy = (cos(angle), sin(angle))
    if hypot(ux - round(ux), uy - round(uy)) < 1e-9:
        ux, uy = float(round(ux)), float(round(uy))
    laid = []
    for stroke in strokes:
        offs = [ux * y - uy * x for x, y in (stroke.a, stroke.b)]
        ends = sorted(ux * x + uy * y for x, y in (stroke.a, stroke.b))
        laid.append((sum(offs) / 2, ends[0], ends[1]))
    groups: list[list[tuple[float, float, float]]] = []
    for line in sorted(laid):
        if groups and line[0] - groups[-1][0][0] <= near * _ONE_LINE:
            groups[-1].append(line)
        else:
            groups.append([line])
    return [
        Course((ux, uy), group[0][0], _merged([(low, high) for _, low, high in group], near))
        for group in groups
    ]


def _merged(runs: Iterable[Run], near: float) -> tuple[Run, ...]:
    found: list[Run] = []
    for low, high in sorted(runs):
        if found and low <= found[-1][1] + near:
            found[-1] = (found[-1][0], max(high, found[-1][1]))
        else:
            found.append((low, high))
    return tuple(found)
