"""The outline: any simple polygon of three corners and more (R1, R51)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from framing.engine.errors import Problem
from framing.engine.floor import FARTHEST_16
from framing.engine.floor_checks.lines import Line, at_share, meetings, share_of, turn
from framing.engine.floor_checks.site import Site
from framing.engine.geometry import Point, signed_area_2
from framing.engine.units import format_length, round_half_up

Numbered = tuple[int, Line]
"""A side of some length with its number in the outline."""


def outline_problems(site: Site) -> Iterator[Problem]:
    """Corners too few or on each other, sides that cross, touch or fold back, an outline without area."""
    ring, sides = site.plan.outline, site.sides
    if len(ring) < 3:
        yield Problem("outline", f"The outline has {len(ring)} corners; a floor needs 3 or more.")
        return
    real = [(index, side) for index, side in enumerate(sides) if side[0] != side[1]]
    for index, (corner, end) in enumerate(sides):
        if corner == end:
            words = f"Two corners lie on each other at {site.where(corner)}; remove one of them."
            yield site.problem(f"outline.{index}", words, corner)
    folds = list(_folds(site, real))
    yield from folds
    if not folds:
        for number in range(len(real)):
            yield from _meeting(site, real, number)
    if signed_area_2(ring) == 0:
        yield Problem("outline", "The outline encloses nothing; draw its corners in order around the floor.")
    yield from _too_far(site)


def _too_far(site: Site) -> Iterator[Problem]:
    ring, units = site.plan.outline, site.plan.units
    for places in ([p.x_16 for p in ring], [p.y_16 for p in ring]):
        extent = max(places) - min(places)
        if extent > FARTHEST_16:
            length, limit = format_length(extent, units), format_length(FARTHEST_16, units)
            yield Problem(
                "outline", f"The floor is {length} from end to end; the limit is {limit}. Check the units."
            )


def _folds(site: Site, sides: Sequence[Numbered]) -> Iterator[Problem]:
    """Corners where a side runs back along the one before it."""
    for number, (index, (corner, end)) in enumerate(sides):
        before = sides[number - 1][1]
        if turn(*before, end) == 0 and share_of(before, end) < 1:
            words = f"The outline folds back on itself at {site.where(corner)}; remove that corner."
            yield site.problem(f"outline.{index}", words, corner)


def _meeting(site: Site, sides: Sequence[Numbered], number: int) -> Iterator[Problem]:
    """The first earlier side, not its neighbour, that a side crosses or touches."""
    index, side = sides[number]
    first = 1 if number == len(sides) - 1 else 0
    for _, other in sides[first : max(number - 1, 0)]:
        if met := meetings(side, other):
            x, y = at_share(side, met[0])
            at = Point(round_half_up(x), round_half_up(y))
            words = f"The outline crosses or touches itself at {site.where(at)}; mend it there."
            yield site.problem(f"outline.{index}", words, at)
            return
