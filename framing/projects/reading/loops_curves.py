"""Corners with bulges as straight strokes: an arc becomes chords that keep within a given distance of it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import acos, atan, ceil, cos, hypot, pi, sin

from framing.projects.reading.loops_shapes import Path, Spot, Stroke, far

_CHORDS_MOST = 180


def straight_path(packed: Sequence[float], scale: float, within: float) -> Path:
    """The path that a reader packed ([closed, fitted, x, y, bulge, ...]), scaled; `within` is in scaled units."""
    closed, fitted = bool(packed[0]), bool(packed[1])
    numbers = packed[2:]
    corners = [
        ((numbers[at] * scale, numbers[at + 1] * scale), numbers[at + 2]) for at in range(0, len(numbers), 3)
    ]
    if closed and corners[0][0] == corners[-1][0] and len(corners) > 1:
        corners.pop()
    after = [*corners[1:], corners[0]] if closed else corners[1:]
    strokes: list[Stroke] = []
    for (a, bulge), (b, _) in zip(corners, after, strict=False):
        if a == b:
            continue
        curved = fitted or abs(bulge) > 1e-6
        spots = [a, *_chords(a, b, bulge, within), b] if abs(bulge) > 1e-6 else [a, b]
        strokes += [Stroke(p, q, curved) for p, q in pairwise(spots) if p != q]
    return Path(tuple(strokes), closed, any(stroke.curved for stroke in strokes))


def _chords(a: Spot, b: Spot, bulge: float, within: float) -> list[Spot]:
    """The corners between the chords of an arc; few enough for any arc, also where they then keep less near to it."""
    sweep = 4 * atan(bulge)
    radius = far(a, b) / 2 / abs(sin(sweep / 2)) if abs(sin(sweep / 2)) > 1e-12 else 0.0
    if not radius:
        return []
    step = 2 * acos(max(1 - within / radius, 0.0)) if radius > within else pi / 2
    count = min(max(ceil(abs(sweep) / step), 2), _CHORDS_MOST)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    half = far(a, b) / 2
    up = half * (1 - bulge * bulge) / (2 * bulge)  # from the chord's middle to the centre, to the left
    way = ((b[0] - a[0]) / (2 * half), (b[1] - a[1]) / (2 * half))
    centre = (middle[0] - way[1] * up, middle[1] + way[0] * up)
    spots = []
    for part in range(1, count):
        turn = sweep * part / count
        x, y = a[0] - centre[0], a[1] - centre[1]
        spots.append((centre[0] + x * cos(turn) - y * sin(turn), centre[1] + x * sin(turn) + y * cos(turn)))
    return spots


def length_of(path: Path) -> float:
    return sum(hypot(s.b[0] - s.a[0], s.b[1] - s.a[1]) for s in path.strokes)
