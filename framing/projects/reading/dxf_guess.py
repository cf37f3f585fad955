"""Which layer looks like the outline, the openings, the walls: by what is drawn on it, never by its name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import cos, radians, sin
from typing import Any, Final

from framing.projects.reading.dxf_units import unit_named
from framing.projects.reading.loops import Loops, find_loops
from framing.projects.reading.loops_curves import length_of, straight_path
from framing.projects.reading.loops_lines import common_angle
from framing.projects.reading.loops_rings import Ring
from framing.projects.reading.loops_shapes import Path, Stroke, far
from framing.projects.reading.loops_walls import find_walls

NEAR_16: Final = 4.0
_SHARE: Final = 0.6
_OPENING_16: Final = 20 * 16
_OPENINGS_MOST: Final = 30
_OF_ALL: Final = 0.4
_WALL_16: Final = 6 * 192
"""One of the walls is at least 6 ft long; a stair's treads are not."""
_WALLS_MOST: Final = 30
_LOOKED_AT: Final = 6000
"""Strokes of a layer up to which it is looked at; one with more is no outline, opening or wall."""


def guess_layers(facts: Mapping[str, Any]) -> dict[str, Any]:
    """The guess, an index of a layer or None for each part, and what each layer closes to: [count, width, height].

    Where the file names no unit the guess takes the drawing for a floor of some 40 ft.
    """
    named = unit_named(facts)
    size = max(*facts["size"], 1e-9)
    scale = float(named.sixteenths) if named else 40 * 192 / size
    layers = [
        [straight_path(path, scale, NEAR_16 / 2) for path in layer["paths"]] for layer in facts["layers"]
    ]
    loops = [
        find_loops(paths, NEAR_16) if sum(len(p.strokes) for p in paths) <= _LOOKED_AT else Loops((), (), 0)
        for paths in layers
    ]
    outline = max(range(len(loops)), key=lambda number: (_largest(loops[number]), -number), default=None)
    if outline is None or not loops[outline].rings:
        none = {"outline": None, "openings": None, "walls": None}
        return {"guess": none, "closed": [_closed(found, scale) for found in loops]}
    ring = loops[outline].rings[0]
    spun = [_turned(found, _askew(ring)) for found in loops]
    openings = _openings(spun, outline, spun[outline].rings[0])
    walls = _walls(layers, {outline, openings}, ring)
    guess = {"outline": outline, "openings": openings, "walls": walls}
    return {"guess": guess, "closed": [_closed(found, scale) for found in spun]}


def is_rectangle(ring: Ring, within: float) -> bool:
    """Whether a ring is a rectangle along the axes within a distance."""
    low_x, low_y, high_x, high_y = ring.box
    edges = all(
        min(abs(x - low_x), abs(x - high_x), abs(y - low_y), abs(y - high_y)) <= within
        for x, y in ring.corners
    )
    corners = all(
        any(far((x, y), corner) <= 1.5 * within for corner in ring.corners)
        for x in (low_x, high_x)
        for y in (low_y, high_y)
    )
    whole = (high_x - low_x) * (high_y - low_y)
    around = 2 * (high_x - low_x + high_y - low_y)
    return edges and corners and whole - ring.area <= within * around


def _askew(ring: Ring) -> float:
    """By how many degrees the drawing is turned against its outline's sides; 0 where they don't agree."""
    sides = [Stroke(a, b) for a, b in zip(ring.corners, ring.corners[1:] + ring.corners[:1], strict=True)]
    return common_angle(sides, _SHARE) or 0.0


def _turned(found: Loops, degrees: float) -> Loops:
    """Loops turned back by an angle, about 0, 0."""
    c, s = cos(radians(-degrees)), sin(radians(-degrees))
    rings = tuple(
        Ring(tuple((x * c - y * s, x * s + y * c) for x, y in ring.corners)) for ring in found.rings
    )
    return Loops(rings, found.open, found.twice)


def _largest(found: Loops) -> float:
    return found.rings[0].area if found.rings else 0.0


def _closed(found: Loops, scale: float) -> list[float]:
    if not found.rings:
        return [0, 0.0, 0.0]
    low_x, low_y, high_x, high_y = found.rings[0].box
    return [len(found.rings), round((high_x - low_x) / scale, 6), round((high_y - low_y) / scale, 6)]


def _openings(loops: Sequence[Loops], outline: int, ring: Ring) -> int | None:
    """The layer whose loops are, more than those of any other, rectangles of an opening's size in the outline."""
    best: tuple[float, int, int] | None = None
    for number, found in enumerate(loops):
        fitting = sum(_is_opening(one, ring) for one in found.rings)
        if number == outline or not 0 < fitting <= _OPENINGS_MOST or fitting < _OF_ALL * len(found.rings):
            continue
        rank = (fitting / len(found.rings), fitting, -number)
        best = rank if best is None else max(best, rank)
    return None if best is None else -best[2]


def _is_opening(one: Ring, outline: Ring) -> bool:
    low_x, low_y, high_x, high_y = one.box
    narrow = min(high_x - low_x, high_y - low_y)
    inside = (
        outline.box[0] - NEAR_16 <= low_x
        and outline.box[1] - NEAR_16 <= low_y
        and high_x <= outline.box[2] + NEAR_16
        and high_y <= outline.box[3] + NEAR_16
    )
    return inside and narrow >= _OPENING_16 and one.area <= outline.area / 3 and is_rectangle(one, 2.0)


def _walls(layers: Sequence[Sequence[Path]], taken: set[int | None], ring: Ring) -> int | None:
    """The layer that is mostly pairs of faces of walls in the outline; of several that with the fewest walls."""
    best: tuple[int, int] | None = None
    for number, paths in enumerate(layers):
        strokes = [stroke for path in paths for stroke in path.strokes]
        drawn = sum(length_of(path) for path in paths)
        if number in taken or not strokes or len(strokes) > _LOOKED_AT or not _within(paths, ring):
            continue
        walls = [wall for wall in find_walls(strokes, join=False).walls if wall.width_16 is not None]
        length = sum(far(wall.a, wall.b) for wall in walls)
        longest = max((far(wall.a, wall.b) for wall in walls), default=0.0)
        if len(walls) <= _WALLS_MOST and longest >= _WALL_16 and 2 * length >= _SHARE * drawn:
            best = min(best or (len(walls), number), (len(walls), number))
    return None if best is None else best[1]


def _within(paths: Sequence[Path], ring: Ring) -> bool:
    spots = [spot for path in paths for stroke in path.strokes for spot in (stroke.a, stroke.b)]
    low_x, low_y, high_x, high_y = ring.box
    inside = sum(
        low_x - NEAR_16 <= x <= high_x + NEAR_16 and low_y - NEAR_16 <= y <= high_y + NEAR_16
        for x, y in spots
    )
    return inside >= 0.9 * len(spots)
