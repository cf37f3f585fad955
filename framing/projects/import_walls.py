"""Walls on their way from the drawing to the document: off the outline, clear of openings and of each other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from framing.projects.import_found import LeftOut, Report, System, counted, length_words
from framing.projects.import_outline import NEAR_16, Placing, straight
from framing.projects.import_parts import Box
from framing.projects.reading.loops_shapes import Spot, far, off_line
from framing.projects.reading.loops_walls import SHORTEST_16, Wall

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

REACH_16: Final = 192
"""A wall that ends within 12 in of the outline is taken up to it."""
WALLS_MOST: Final = 200
_OUTSIDE_WALL_16: Final = 96.0


def joist_axis(walls: Sequence[Wall], corners: Sequence[Spot]) -> str:
    """The way that joists most likely run: across most of the walls, else the shorter way over the floor."""
    level = sum(abs(wall.b[0] - wall.a[0]) for wall in walls)
    upright = sum(abs(wall.b[1] - wall.a[1]) for wall in walls)
    if level != upright:
        return "y" if level > upright else "x"
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return "y" if max(ys) - min(ys) <= max(xs) - min(xs) else "x"


def runs_along(wall: Wall, axis: str) -> bool:
    """Whether a wall runs exactly along the joists."""
    return wall.a[0] == wall.b[0] if axis == "y" else wall.a[1] == wall.b[1]


def placed_walls(walls: Sequence[Wall], placing: Placing) -> list[Wall]:
    """Walls on the plan, the 200 longest."""
    longest = sorted(walls, key=lambda wall: (-far(wall.a, wall.b), wall.a, wall.b))[:WALLS_MOST]
    lines = [(straight(placing.of(wall.a), placing.of(wall.b)), wall.width_16) for wall in longest]
    return [Wall(min(ends), max(ends), width_16) for ends, width_16 in lines]


def inner_walls(walls: Sequence[Wall], corners: Sequence[Spot], where: str, report: Report) -> list[Wall]:
    """Walls without those along an outline edge, which bears by itself (R2)."""
    inner = [wall for wall in walls if not any(_beside(wall, side) for side in _sides(corners))]
    if len(inner) < len(walls):
        why = "along the outline, which bears by itself"
        report.left.append(LeftOut(counted(len(walls) - len(inner), "wall"), where, why))
    return inner


def floor_walls(
    walls: Sequence[Wall],
    corners: Sequence[Spot],
    openings: Sequence[Box],
    axis: str,
    where: str,
    report: Report,
) -> list[Wall]:
    """The bearings of the floor: in its outline, clear of its openings and of each other.

    Where two meet, those across the joists go first, then the longer.
    """
    from shapely import Polygon, box

    floor = Polygon(corners)
    blocked: list[BaseGeometry] = [box(*one.low, *one.high) for one in openings]
    holes = len(blocked)
    kept: list[Wall] = []
    cut = reached = 0
    for wall in sorted(walls, key=lambda one: (runs_along(one, axis), -far(one.a, one.b), one.a, one.b)):
        grown, longer = _reached(wall, _sides(corners))
        parts = _parts(grown, floor, blocked[:holes], blocked[holes:])
        reached += longer
        cut += parts != [grown]
        kept += parts
        blocked += [_strip(part) for part in parts]
        if not parts:
            report.left.append(
                LeftOut("1 wall", where, "lies outside the outline or in what is taken already")
            )
    if reached:
        report.mended.append(f"{counted(reached, 'wall')} run on to the outline, at most 12 in away.")
    if cut:
        report.mended.append(f"{counted(cut, 'wall')} cut at the outline, an opening or another wall.")
    return sorted(kept, key=lambda wall: (wall.a, wall.b))[:WALLS_MOST]


def wall_entries(walls: Sequence[Wall], units: System) -> list[dict[str, Any]]:
    """Walls as the document has them; a lone line leaves the width to the practice set."""
    return [
        {
            "id": f"W{number}",
            "kind": "wall",
            "from": [length_words(value, units) for value in wall.a],
            "to": [length_words(value, units) for value in wall.b],
            "width": None if wall.width_16 is None else length_words(wall.width_16, units),
            "joint": "lap",
        }
        for number, wall in enumerate(walls, start=1)
    ]


def wall_words(walls: Sequence[Wall], units: System) -> str:
    said = [
        f"{length_words(far(wall.a, wall.b), units)} long"
        + ("" if wall.width_16 is None else f", {length_words(wall.width_16, units)} thick")
        for wall in walls[:6]
    ]
    return "; ".join(said) + ("; …" if len(walls) > 6 else "")


def _sides(corners: Sequence[Spot]) -> list[tuple[Spot, Spot]]:
    return list(zip(corners, [*corners[1:], corners[0]], strict=True))


def _beside(wall: Wall, side: tuple[Spot, Spot]) -> bool:
    """Whether a wall is the one that stands under an outline edge: along most of its length, on or near it."""
    reach = (_OUTSIDE_WALL_16 if wall.width_16 is None else wall.width_16) / 2 + 32
    offs = [off_line(spot, *side) for spot in (wall.a, wall.b)]
    if max(map(abs, offs)) > reach or abs(offs[0] - offs[1]) > NEAR_16:
        return False
    (ax, ay), (bx, by) = side
    length = far(*side)
    ends = sorted(((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length for x, y in (wall.a, wall.b))
    return min(ends[1], length + reach) - max(ends[0], -reach) >= 0.7 * (ends[1] - ends[0])


def _reached(wall: Wall, sides: Sequence[tuple[Spot, Spot]]) -> tuple[Wall, bool]:
    """The wall taken up to the outline where an end stops at most 12 in before it."""
    a, b = (_run_on(*ends, sides) for ends in ((wall.b, wall.a), (wall.a, wall.b)))
    return Wall(a, b, wall.width_16), far(a, wall.a) > 1 or far(b, wall.b) > 1


def _run_on(start: Spot, end: Spot, sides: Sequence[tuple[Spot, Spot]]) -> Spot:
    """Where a line from start over its end meets a side within reach beyond the end; else the end."""
    length = far(start, end)
    way = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    best = None
    for c, d in sides:
        across = way[0] * (d[1] - c[1]) - way[1] * (d[0] - c[0])
        if abs(across) < 1e-9:
            continue
        x, y = c[0] - end[0], c[1] - end[1]
        share = (x * way[1] - y * way[0]) / across
        gone = (x * (d[1] - c[1]) - y * (d[0] - c[0])) / across
        if -1e-9 <= share <= 1 + 1e-9 and 0 <= gone <= REACH_16 and (best is None or gone < best):
            best = gone
    return end if best is None else (end[0] + way[0] * best, end[1] + way[1] * best)


def _parts(
    wall: Wall, floor: Polygon, holes: Sequence[BaseGeometry], strips: Sequence[BaseGeometry]
) -> list[Wall]:
    """The parts of a wall at least 12 in long that lie in the floor, off openings and off other walls."""
    from shapely import LineString, unary_union

    line = LineString([wall.a, wall.b])
    inside = line.intersection(floor.buffer(0.01))
    half = (56 if wall.width_16 is None else wall.width_16) / 2
    grown = [hole.buffer(-0.01, join_style="mitre") for hole in holes]
    crossed = [
        strip.buffer(half if strip.covers(line) else 0.0) for strip in strips if strip.intersects(line)
    ]
    free = inside.difference(unary_union([*grown, *crossed])) if grown or crossed else inside
    found = []
    for part in getattr(free, "geoms", [free]):
        ends = list(part.coords) if part.length >= SHORTEST_16 else []
        if len(ends) >= 2:
            a, b = sorted((ends[0], ends[-1]))
            same = far(a, wall.a) < 0.1 and far(b, wall.b) < 0.1
            found.append(wall if same else Wall(a, b, wall.width_16))
    return found


def _strip(wall: Wall) -> BaseGeometry:
    from shapely import LineString

    half = (56 if wall.width_16 is None else wall.width_16) / 2
    return LineString([wall.a, wall.b]).buffer(half, cap_style="flat")
