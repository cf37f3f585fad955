"""The outline: any simple polygon of three corners and more (R1, R51)."""

from __future__ import annotations

from collections.abc import Iterator

from framing.engine.errors import Problem
from framing.engine.floor_checks.lines import at_share, meetings, share_of, turn
from framing.engine.floor_checks.site import Site
from framing.engine.geometry import Point, signed_area_2
from framing.engine.units import round_half_up


def outline_problems(site: Site) -> Iterator[Problem]:
    """Corners too few or on each other, sides that cross, touch or fold back, an outline without area."""
    ring, sides = site.plan.outline, site.sides
    if len(ring) < 3:
        yield Problem("outline", f"The outline has {len(ring)} corners; a floor needs 3 or more.")
        return
    doubled = [index for index, (a, b) in enumerate(sides) if a == b]
    for index in doubled:
        words = f"Two corners lie on each other at {site.where(ring[index])}; remove one of them."
        yield site.problem(f"outline.{index}", words, ring[index])
    folds = [] if doubled else list(_folds(site))
    yield from folds
    if not doubled and not folds:
        for index in range(len(sides)):
            yield from _meeting(site, index)
    if signed_area_2(ring) == 0:
        yield Problem("outline", "The outline encloses nothing; draw its corners in order around the floor.")


def _folds(site: Site) -> Iterator[Problem]:
    """Corners where a side runs back along the one before it."""
    sides = site.sides
    for index, side in enumerate(sides):
        before, (corner, end) = sides[index - 1], side
        if turn(*before, end) == 0 and share_of(before, end) < 1:
            words = f"The outline folds back on itself at {site.where(corner)}; remove that corner."
            yield site.problem(f"outline.{index}", words, corner)


def _meeting(site: Site, index: int) -> Iterator[Problem]:
    """The first earlier side, not its neighbour, that this one crosses or touches."""
    sides = site.sides
    first = 1 if index == len(sides) - 1 else 0
    for other in sides[first : max(index - 1, 0)]:
        if met := meetings(sides[index], other):
            x, y = at_share(sides[index], met[0])
            at = Point(round_half_up(x), round_half_up(y))
            words = f"The outline crosses or touches itself at {site.where(at)}; mend it there."
            yield site.problem(f"outline.{index}", words, at)
            return
