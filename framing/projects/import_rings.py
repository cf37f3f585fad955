"""What the loops of a drawing are to each other, and the words for those that close to no floor."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from framing.projects.import_found import LeftOut, Report, System, counted, length_words
from framing.projects.import_outline import NEAR_16
from framing.projects.reading.loops import Loops
from framing.projects.reading.loops_rings import Ring
from framing.projects.reading.loops_shapes import Spot, far
from framing.projects.reading.loops_walls import Wall, Walls

_GAPS_SHOWN_16: Final = 10 * 192


def rings_apart(rings: Sequence[Ring]) -> list[Ring]:
    """Rings, largest first, that lie in none of the larger ones."""
    from shapely import Polygon

    kept: list[tuple[Ring, Any]] = []
    for ring in rings[:200]:
        shape = Polygon(ring.corners)
        spot = shape.representative_point() if shape.is_valid else None
        if spot is None or not any(larger.is_valid and larger.contains(spot) for _, larger in kept):
            kept.append((ring, shape))
    return [ring for ring, _ in kept]


def rings_inside(ring: Ring, rings: Sequence[Ring]) -> list[Ring]:
    """Rings inside one."""
    from shapely import Polygon, prepare

    shape = Polygon(ring.corners)
    prepare(shape)
    within = [other for other in rings if other is not ring and Polygon(other.corners).is_valid]
    return [other for other in within if shape.contains(Polygon(other.corners).representative_point())]


def walls_within(walls: Sequence[Wall], corners: Sequence[Spot]) -> list[Wall]:
    """Walls that do not stand along the outline's box: those that say which way joists run."""
    high_x, high_y = max(x for x, _ in corners), max(y for _, y in corners)
    return [
        wall
        for wall in walls
        if 192 < (wall.a[0] + wall.b[0]) / 2 < high_x - 192
        and 192 < (wall.a[1] + wall.b[1]) / 2 < high_y - 192
    ]


def tell_walls(found: Walls, where: str, report: Report) -> None:
    if found.joined:
        report.mended.append(f"{counted(found.joined, 'gap')} between pieces of a wall closed.")
    if found.apart:
        what = counted(found.apart, "gap between wall pieces", "gaps between wall pieces")
        report.left.append(
            LeftOut(what, where, "at most 4 ft wide, left open; tick “Close gaps” to close them")
        )
    if found.faces:
        what = counted(found.faces, "face of a wall", "faces of walls")
        report.left.append(LeftOut(what, where, "no other face 3 1/2 to 12 in beside it"))
    if found.short:
        report.left.append(LeftOut(counted(found.short, "line"), where, "under 12 in long, no wall"))


def not_closed(loops: Loops, layer: str, units: System) -> str:
    """Why a layer gives no outline, with the narrowest gap between loose ends where there is one."""
    if not loops.open and not loops.rings:
        return f"Nothing is drawn on layer “{layer}” that could be an outline; choose another layer."
    if not loops.open:
        return (
            f"What is closed on layer “{layer}” is under 4 square feet; choose another layer or another unit."
        )
    gap = _narrowest(loops)
    words = f"The lines on layer “{layer}” close to no outline."
    if gap is not None and gap[0] <= _GAPS_SHOWN_16:
        places = ", ".join(length_words(value, units) for value in gap[1])
        words += (
            f" Two loose ends are {length_words(gap[0], units)} apart at ({places}) of the drawing; ends up to 1/4 in "
            "apart are joined. Close it in the drawing,"
        )
        return f"{words} or choose another layer."
    return f"{words} Choose another layer."


def _narrowest(loops: Loops) -> tuple[float, Spot] | None:
    """The least distance over 1/4 in between loose ends of different lines, and where."""
    ends: dict[tuple[int, int], list[tuple[int, Spot]]] = {}
    for number, stroke in enumerate(loops.open[:300]):
        for spot in (stroke.a, stroke.b):
            ends.setdefault((round(spot[0]), round(spot[1])), []).append((number, spot))
    loose = [here[0] for here in ends.values() if len(here) == 1]
    pairs = [
        (far(one, other), one)
        for place, (number, one) in enumerate(loose)
        for mate, other in loose[place + 1 :]
        if mate != number
    ]
    return min((pair for pair in pairs if pair[0] > NEAR_16), default=None)


def ring_size(ring: Ring) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = ring.box
    return high_x - low_x, high_y - low_y
