"""Joining the ends of strokes: ends at one place are one joint, and a loose end joins the nearest loose end near it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from framing.projects.reading.loops_shapes import Spot, Stroke, far

_EXACT = 1 / 64  # share of `near` within which ends are one place whatever else meets there

_CROWD = 40  # ends in one spot's neighbourhood that are looked at; more are a scribble


@dataclass(frozen=True, slots=True)
class Joined:
    """Strokes with the joints (numbers) at their two ends; `twice` strokes were left out between equal joints."""

    strokes: tuple[Stroke, ...]
    ends: tuple[tuple[int, int], ...]
    twice: int


class _Joints:
    """Union-find over ends; the end 2k is stroke k's a, 2k + 1 its b."""

    def __init__(self, count: int) -> None:
        self.up = list(range(count))

    def of(self, end: int) -> int:
        while self.up[end] != end:
            self.up[end] = self.up[self.up[end]]
            end = self.up[end]
        return end

    def join(self, one: int, other: int) -> None:
        low, high = sorted((self.of(one), self.of(other)))
        self.up[high] = low


def join_ends(strokes: Sequence[Stroke], near: float) -> Joined:
    """Joints of all ends. Only ends that meet nothing are joined over a gap, nearest first, each with one other."""
    spots = [spot for stroke in strokes for spot in (stroke.a, stroke.b)]
    joints = _Joints(len(spots))
    first: dict[Spot, int] = {}
    for end, spot in enumerate(spots):
        joints.join(first.setdefault(spot, end), end)
    for one, other, _ in _pairs(spots, list(first.values()), near * _EXACT):
        joints.join(one, other)
    count = Counter(joints.of(end) for end in range(len(spots)))
    loose = [end for end in range(len(spots)) if count[joints.of(end)] == 1]
    taken: set[int] = set()
    for one, other, _ in sorted(_pairs(spots, loose, near), key=lambda pair: (pair[2], pair[:2])):
        if one // 2 != other // 2 and not {one, other} & taken:
            taken |= {one, other}
            joints.join(one, other)
    return _joined(strokes, [joints.of(end) for end in range(len(spots))])


def _joined(strokes: Sequence[Stroke], joint: Sequence[int]) -> Joined:
    kept: dict[tuple[int, int], int] = {}
    curves: list[int] = []
    twice = 0
    for number, stroke in enumerate(strokes):
        low, high = sorted((joint[2 * number], joint[2 * number + 1]))
        if low == high:
            continue
        if stroke.curved:
            curves.append(number)
        elif (low, high) in kept:
            twice += 1
        else:
            kept[low, high] = number
    numbers = sorted([*kept.values(), *curves])
    ends = tuple((joint[2 * number], joint[2 * number + 1]) for number in numbers)
    return Joined(tuple(strokes[number] for number in numbers), ends, twice)


def _pairs(spots: Sequence[Spot], among: Sequence[int], reach: float) -> Iterator[tuple[int, int, float]]:
    """Pairs of ends at most `reach` apart, with their distance."""
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for end in among:
        x, y = spots[end]
        column, row = int(x // reach), int(y // reach)
        for i in (column - 1, column, column + 1):
            for j in (row - 1, row, row + 1):
                for other in cells.get((i, j), ()):
                    apart = far(spots[end], spots[other])
                    if apart <= reach:
                        yield other, end, apart
        if len(cells[column, row]) < _CROWD:
            cells[column, row].append(end)
