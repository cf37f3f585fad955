"""Bays: drawn soundly, together the whole floor and nowhere two, with a bearing under borders that end joists (R1)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import TYPE_CHECKING

from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import Bay
from framing.engine.floor_checks.lines import ROUNDED_16, Line
from framing.engine.floor_checks.site import Site
from framing.engine.geometry import Point
from framing.engine.units import format_length, round_half_up

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

SPACINGS_16 = (Fraction(192), Fraction(256), Fraction(1536, 5), Fraction(384))
"""R3: 12, 16, 19.2 and 24 in."""
GAPS_SHOWN = 20


def ground_problems(site: Site) -> Iterator[Problem]:
    """Bays that are no polygon or lie outside the floor, overlap, or leave floor uncovered.

    Slivers up to `ROUNDED_16` wide, as rounded corners leave them, count for nothing.
    """
    drawn = [(index, bay) for index, bay in enumerate(site.plan.bays) if bay.ring]
    few = [(index, bay) for index, bay in drawn if len(bay.ring) < 3]
    for index, bay in few:
        words = f"Bay {bay.id} has {len(bay.ring)} corners; draw 3 or more, or none for the whole floor."
        yield site.problem(f"bays.{index}.outline", words, bay.ring[0])
    if few or (not drawn and len(site.plan.bays) == 1):
        return
    try:
        grounds = site.grounds
    except FloorRefused as refused:
        yield from refused.problems
        return
    for index in range(len(grounds)):
        yield from _overlap(site, index)
    yield from _gaps(site)


def _overlap(site: Site, index: int) -> Iterator[Problem]:
    """The first earlier bay that a bay lies in."""
    from shapely import intersection

    bays, grounds = site.plan.bays, site.grounds
    for other in range(index):
        if shared := _real_parts(intersection(grounds[other], grounds[index])):
            words = (
                f"Bays {bays[other].id} and {bays[index].id} overlap by {_area(site, shared)} at "
                f"{site.where(_spot(shared[0]))}; draw their border once, on one line."
            )
            yield site.problem(f"bays.{index}.outline", words, _spot(shared[0]))
            return


def _gaps(site: Site) -> Iterator[Problem]:
    from shapely import Polygon, difference, union_all

    floor, grounds = Polygon([(p.x_16, p.y_16) for p in site.plan.outline]), site.grounds
    for gap in _real_parts(difference(floor, union_all(grounds)))[:GAPS_SHOWN]:
        words = (
            f"No bay covers {_area(site, [gap])} of the floor at {site.where(_spot(gap))}; "
            "enlarge a bay or draw one more."
        )
        yield site.problem("bays", words, _spot(gap))


def _real_parts(found: BaseGeometry) -> list[Polygon]:
    """The polygons of a result that are wider than the rounding of corners leaves them, largest first."""
    from shapely import Polygon, get_parts

    parts = [part for part in get_parts(found) if isinstance(part, Polygon)]
    wide = [part for part in parts if not part.buffer(-ROUNDED_16 / 2, join_style="mitre").is_empty]
    return sorted(wide, key=lambda part: (-part.area, part.bounds))


def _area(site: Site, parts: Sequence[Polygon]) -> str:
    return site.area(sum(part.area for part in parts))


def _spot(part: Polygon) -> Point:
    spot = part.representative_point()
    return Point(round(spot.x), round(spot.y))


def bay_problems(site: Site) -> Iterator[Problem]:
    """Spacing, offset and plies that are not offered, and borders without the bearing that they need."""
    for index, bay in enumerate(site.plan.bays):
        yield from _figure_problems(site, bay, f"bays.{index}")
        if len(site.plan.bays) > 1:
            yield from _border_problems(site, index)


def _figure_problems(site: Site, bay: Bay, place: str) -> Iterator[Problem]:
    units = site.plan.units
    spacing = format_length(round_half_up(bay.spacing_16), units)
    if bay.spacing_16 not in SPACINGS_16:
        offered = "305, 406, 488 or 610 mm" if units == "metric" else "12, 16, 19.2 or 24 in"
        yield Problem(f"{place}.spacing", f"Spacing {spacing} is not offered; choose {offered}.")
    elif not 0 <= bay.offset_16 <= bay.spacing_16:
        offset = format_length(round_half_up(bay.offset_16), units)
        words = f"Offset {offset} leaves more than one spacing at the start; keep it from 0 to {spacing}."
        yield Problem(f"{place}.offset", words)
    most = site.practice.plies_most
    if not 1 <= bay.plies <= most:
        words = f"Joists of {bay.plies} plies in bay {bay.id} can't be built; write 1 to {most}."
        yield Problem(f"{place}.plies", words)


def _border_problems(site: Site, index: int) -> Iterator[Problem]:
    """Borders that end the bay's joists where no wall, beam or flush beam lies under them."""
    bay = site.plan.bays[index]
    for side in site.regions[index].sides:
        line = side.start, side.end
        if side.edge is not None or side.beside(bay.axis) or _length_16(line) <= ROUNDED_16:
            continue
        bare = _bare_stretch(site, line)
        if bare is not None:
            words = (
                f"Joists of bay {bay.id} end on its border from {site.where(line[0])} to "
                f"{site.where(line[1])}, but nothing bears at {site.where(bare)}; draw a wall, a beam or a "
                "flush beam along all of it, or move the border."
            )
            yield site.problem(f"bays.{index}.outline", words, bare)


def _bare_stretch(site: Site, line: Line) -> Point | None:
    """The middle of the longest stretch of a line that has no bearing's ground under it."""
    stretches = [strip.stretch(line) for strip in (*site.strips, *site.wall_strips) if strip is not None]
    covered = sorted(stretch for stretch in stretches if stretch is not None)
    length_16, reached, bare = _length_16(line), 0.0, (0.0, 0.0)
    for low, high in (*covered, (1.0, 1.0)):
        if low - reached > bare[1] - bare[0]:
            bare = reached, low
        reached = max(reached, high)
    if (bare[1] - bare[0]) * length_16 <= ROUNDED_16:
        return None
    (a, b), middle = line, (bare[0] + bare[1]) / 2
    return Point(
        round(a.x_16 + middle * (b.x_16 - a.x_16)),
        round(a.y_16 + middle * (b.y_16 - a.y_16)),
    )


def _length_16(line: Line) -> float:
    a, b = line
    return float(((b.x_16 - a.x_16) ** 2 + (b.y_16 - a.y_16) ** 2) ** 0.5)
