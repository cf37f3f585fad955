"""Closed loops out of drawn lines: ends that nearly meet are joined, loops traced, corners set where their sides meet.

Plain plane geometry on floats in whatever length the caller uses; `near` is how far apart ends may be that are meant
to meet (1/4 in for a floor). Order of input does not matter for what is found.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.projects.reading.loops_cross import crossed_rings
from framing.projects.reading.loops_joins import Joined, join_ends
from framing.projects.reading.loops_rings import Ring, mend_ring, ring_key
from framing.projects.reading.loops_shapes import Path, Spot, Stroke, far, stroke_key

CROSSED_MOST = 2000
"""Lines that are cut at their crossings at most; beyond it crossing lines are left as they are."""
EXACT = 1 / 64
"""Share of `near` within which two ends are one place."""


@dataclass(frozen=True, slots=True)
class Loops:
    """What a set of paths closes to.

    Attributes:
        rings: largest first, each once.
        open: lines that belong to no ring.
        twice: lines or rings that were drawn more than once.
    """

    rings: tuple[Ring, ...]
    open: tuple[Stroke, ...]
    twice: int


def find_loops(paths: Sequence[Path], near: float) -> Loops:
    """All closed loops of the paths; lines that cross are cut there only where nothing closes otherwise."""
    strokes, twice = unique_strokes(_strokes(path for path in paths if not path.closed), near)
    joined = join_ends(strokes, near)
    traced, branched, loose = _trace(joined)
    rings = [mend_ring(list(path.strokes), near, path.curved) for path in paths if path.closed]
    rings += [mend_ring(chain, near, any(stroke.curved for stroke in chain)) for chain in traced]
    if branched:
        rings += crossed_rings(branched, near) if len(branched) <= CROSSED_MOST else []
    if loose and not any(rings) and len(loose) <= CROSSED_MOST:
        found = crossed_rings(loose, near)
        rings, loose = [*rings, *found], [] if found else loose
    once: dict[object, Ring] = {}
    real = [ring for ring in rings if ring is not None]
    for ring in real:
        once.setdefault(ring_key(ring, near * EXACT), ring)
    order = sorted(once.values(), key=lambda ring: (-ring.area, ring.corners))
    return Loops(tuple(order), tuple(loose), twice + joined.twice + len(real) - len(once))


def unique_strokes(strokes: Iterable[Stroke], near: float) -> tuple[list[Stroke], int]:
    """The strokes of some length, each once whichever way it was drawn, and how many were left out as drawn twice."""
    found: dict[object, Stroke] = {}
    twice = 0
    for stroke in strokes:
        if far(stroke.a, stroke.b) <= near * EXACT:
            continue
        key = stroke_key(stroke, near * EXACT)
        twice += key in found
        found.setdefault(key, stroke)
    return sorted(found.values(), key=lambda stroke: (stroke.a, stroke.b)), twice


def _strokes(paths: Iterable[Path]) -> Iterable[Stroke]:
    return (stroke for path in paths for stroke in path.strokes)


def _trace(joined: Joined) -> tuple[list[list[Stroke]], list[Stroke], list[Stroke]]:
    """Simple rings as chains of strokes in order; strokes of joints with more than two; strokes that end loose."""
    at: dict[int, set[int]] = defaultdict(set)
    for number, (low, high) in enumerate(joined.ends):
        at[low].add(number)
        at[high].add(number)
    loose = _prune(at, joined.ends)
    chains: list[list[Stroke]] = []
    branched: list[Stroke] = []
    for group in _groups(at, joined.ends):
        nodes = {node for number in group for node in joined.ends[number]}
        if all(len(at[node]) == 2 for node in nodes):
            chains.append(_walk(group, at, joined))
        else:
            branched += [joined.strokes[number] for number in sorted(group)]
    return chains, branched, [joined.strokes[number] for number in sorted(loose)]


def _prune(at: dict[int, set[int]], ends: Sequence[tuple[int, int]]) -> set[int]:
    """Take out strokes with a loose end, again and again."""
    loose: set[int] = set()
    waiting = [node for node, here in at.items() if len(here) == 1]
    while waiting:
        node = waiting.pop()
        if len(at[node]) != 1:
            continue
        number = at[node].pop()
        loose.add(number)
        other = ends[number][0] if ends[number][1] == node else ends[number][1]
        at[other].discard(number)
        if len(at[other]) == 1:
            waiting.append(other)
    return loose


def _groups(at: dict[int, set[int]], ends: Sequence[tuple[int, int]]) -> list[set[int]]:
    """Strokes that hang together."""
    groups: list[set[int]] = []
    seen: set[int] = set()
    for first in sorted({number for here in at.values() for number in here}):
        if first in seen:
            continue
        group, waiting = {first}, [first]
        while waiting:
            for node in ends[waiting.pop()]:
                fresh = at[node] - group
                group |= fresh
                waiting += fresh
        seen |= group
        groups.append(group)
    return groups


def _walk(group: set[int], at: dict[int, set[int]], joined: Joined) -> list[Stroke]:
    """The strokes of a ring in order, each turned to run on from the one before."""
    number = min(group)
    start, node = joined.ends[number]
    chain = [joined.strokes[number]]
    while node != start:
        (number,) = at[node] - {number}
        low, high = joined.ends[number]
        stroke = joined.strokes[number]
        chain.append(stroke if low == node else Stroke(stroke.b, stroke.a, stroke.curved))
        node = high if low == node else low
    return chain


def path_of(corners: Sequence[Spot], *, closed: bool = False, curved: bool = False) -> Path:
    """A path through corners."""
    ring = [*corners, corners[0]] if closed else list(corners)
    return Path(tuple(Stroke(a, b, curved) for a, b in pairwise(ring)), closed, curved)
