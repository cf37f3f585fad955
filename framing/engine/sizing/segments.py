"""Straight lines cut to what they pass through: half planes, and the ring of a bay with its border."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

Place = tuple[float, float]
Half = tuple[float, float]
"""What a line keeps: a figure at its start and at its end that must not be under 0, straight between."""

_ON_BORDER = 1e-6


def clipped(halves: Iterable[Half]) -> tuple[float, float] | None:
    """From which to which part of a line's length all figures hold; None where nowhere."""
    start, end = 0.0, 1.0
    for at_start, at_end in halves:
        if at_start < 0 and at_end < 0:
            return None
        if at_start < 0:
            start = max(start, at_start / (at_start - at_end))
        elif at_end < 0:
            end = min(end, at_start / (at_start - at_end))
    return (start, end) if start < end else None


def inside(start: Place, end: Place, ring: Sequence[Place]) -> Iterator[tuple[Place, Place]]:
    """The parts of a line that lie in a ring or on its border."""
    sides = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    cuts = sorted({0.0, 1.0, *(t for a, b in sides for t in _met(start, end, a, b))})
    kept: list[tuple[float, float]] = []
    for low, high in pairwise(cuts):
        if _holds(sides, _along(start, end, (low + high) / 2)):
            if kept and kept[-1][1] == low:
                kept[-1] = (kept[-1][0], high)
            else:
                kept.append((low, high))
    for low, high in kept:
        yield _along(start, end, low), _along(start, end, high)


def _along(start: Place, end: Place, t: float) -> Place:
    """A place on a line; its very ends stay as they are."""
    if t in (0.0, 1.0):
        return end if t else start
    across = start[0] if start[0] == end[0] else start[0] + t * (end[0] - start[0])
    return across, start[1] if start[1] == end[1] else start[1] + t * (end[1] - start[1])


def _met(start: Place, end: Place, a: Place, b: Place) -> Iterator[float]:
    """Where a line passes a side, or its ends where it runs along it."""
    dx, dy, ex, ey = end[0] - start[0], end[1] - start[1], b[0] - a[0], b[1] - a[1]
    apart = dx * ey - dy * ex
    to_a = a[0] - start[0], a[1] - start[1]
    if apart:
        t = (to_a[0] * ey - to_a[1] * ex) / apart
        side = (to_a[0] * dy - to_a[1] * dx) / apart
        if 0 < t < 1 and 0 <= side <= 1:
            yield t
    elif dx * to_a[1] == dy * to_a[0]:
        for x, y in (a, b):
            t = ((x - start[0]) * dx + (y - start[1]) * dy) / (dx * dx + dy * dy)
            if 0 < t < 1:
                yield t


def _holds(sides: Sequence[tuple[Place, Place]], place: Place) -> bool:
    within = False
    x, y = place
    for (x0, y0), (x1, y1) in sides:
        ex, ey = x1 - x0, y1 - y0
        off = ex * (y - y0) - ey * (x - x0)
        square = ex * ex + ey * ey
        if off * off <= _ON_BORDER * square and 0 <= ex * (x - x0) + ey * (y - y0) <= square:
            return True
        if (y0 <= y) != (y1 <= y) and (off > 0) is (ey > 0):
            within = not within
    return within
