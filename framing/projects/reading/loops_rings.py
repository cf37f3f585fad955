"""One ring out of strokes in order: pieces in line become one side, corners stand where the sides meet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from framing.projects.reading.loops_shapes import Spot, Stroke, crossing, far, off_line

_STRAIGHT = 1 / 8  # share of `near` that pieces of one side may lie beside it: 1/32 in
_EXACT = 1 / 64


@dataclass(frozen=True)
class Ring:
    """A closed loop, counter-clockwise, its first corner the lowest of the leftmost.

    Attributes:
        curved: some of its sides stand for parts of a curve.
        gaps: how many joints were open; `gap` is the widest of them.
        crossed: found by cutting lines at their crossings.
    """

    corners: tuple[Spot, ...]
    curved: bool = False
    gaps: int = 0
    gap: float = 0.0
    crossed: bool = False

    @cached_property
    def area(self) -> float:
        return abs(signed_area(self.corners))

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """Low x, low y, high x, high y."""
        xs, ys = [x for x, _ in self.corners], [y for _, y in self.corners]
        return min(xs), min(ys), max(xs), max(ys)


def signed_area(corners: Sequence[Spot]) -> float:
    """Area of a ring; positive for counter-clockwise."""
    x0, y0 = corners[0]
    moved = [(x - x0, y - y0) for x, y in corners]
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(moved, moved[1:] + moved[:1], strict=True)) / 2


def mend_ring(strokes: Sequence[Stroke], near: float, curved: bool) -> Ring | None:
    """The ring of strokes in order; None where nothing is enclosed."""
    sides = _sides([stroke for stroke in strokes if stroke.a != stroke.b], near * _STRAIGHT)
    if len(sides) < 3:
        return None
    gaps = [
        far(one.b, other.a)
        for one, other in zip(strokes, [*strokes[1:], strokes[0]], strict=True)
        if far(one.b, other.a) > near * _EXACT
    ]
    corners = [
        _corner(before, after, near) for before, after in zip([sides[-1], *sides[:-1]], sides, strict=True)
    ]
    return turned_ring(corners, curved=curved, gaps=len(gaps), gap=max(gaps, default=0.0))


def turned_ring(
    corners: Sequence[Spot], *, curved: bool, gaps: int = 0, gap: float = 0.0, crossed: bool = False
) -> Ring | None:
    """A ring in its normal order; None without area."""
    area = signed_area(corners)
    if len(corners) < 3 or abs(area) < 1e-9:
        return None
    ring = list(corners) if area > 0 else list(reversed(corners))
    first = ring.index(min(ring))
    return Ring(tuple(ring[first:] + ring[:first]), curved, gaps, gap, crossed)


def ring_key(ring: Ring, grid: float) -> object:
    """Equal for rings with the same corners."""
    return tuple(sorted((round(x / grid), round(y / grid)) for x, y in ring.corners))


def straight_ring(ring: Ring, near: float) -> Ring:
    """The ring without corners on straight sides."""
    strokes = [Stroke(a, b) for a, b in zip(ring.corners, ring.corners[1:] + ring.corners[:1], strict=True)]
    return mend_ring(strokes, near, ring.curved) or ring


def _sides(strokes: Sequence[Stroke], beside: float) -> list[list[Spot]]:
    """Runs of strokes in one line, each as the spots that it goes through."""
    sides: list[list[Spot]] = []
    for stroke in strokes:
        if sides and _in_line([*sides[-1], stroke.a, stroke.b], beside):
            sides[-1] += [stroke.a, stroke.b]
        else:
            sides.append([stroke.a, stroke.b])
    while len(sides) > 3 and _in_line([*sides[-1], *sides[0]], beside):
        last = sides.pop()
        sides[0] = [*last, *sides[0]]
    return sides


def _in_line(spots: Sequence[Spot], beside: float) -> bool:
    """Whether strokes given by their ends one behind the other are one straight side."""
    a, b = spots[0], spots[-1]
    if far(a, b) <= beside or any(abs(off_line(spot, a, b)) > beside for spot in spots[1:-1]):
        return False
    way = (b[0] - a[0], b[1] - a[1])
    steps = zip(spots[::2], spots[1::2], strict=True)
    return all((q[0] - p[0]) * way[0] + (q[1] - p[1]) * way[1] > 0 for p, q in steps)


def _corner(before: Sequence[Spot], after: Sequence[Spot], near: float) -> Spot:
    """Where a side goes over into the next: on both their lines where those meet nearby, else halfway."""
    end, start = before[-1], after[0]
    if far(end, start) <= near * _EXACT / 64:
        return end
    met = crossing(before[0], before[-1], after[0], after[-1])
    if met is not None and max(far(met, end), far(met, start)) <= 2 * near:
        return met
    return (end[0] + start[0]) / 2, (end[1] + start[1]) / 2
