"""What can't be built is refused, what is unusual is a warning (R51), before any joist is laid.

Each refusal names the thing, the value, the limit and what to do, with its place in the document and on the plan.
Joist by joist the layout judges on: what a single piece rests on, how long it is, whether frames collide.
"""

from __future__ import annotations

from collections.abc import Iterator

from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks.bays import bay_problems, ground_problems
from framing.engine.floor_checks.edges import edge_problems
from framing.engine.floor_checks.openings import join_openings, opening_problems
from framing.engine.floor_checks.others import (
    load_warnings,
    partition_problems,
    plies_problems,
    point_load_problems,
)
from framing.engine.floor_checks.outline import outline_problems
from framing.engine.floor_checks.site import Site
from framing.engine.floor_checks.supports import support_problems, support_warnings
from framing.engine.practice import Practice

__all__ = ["check_floor", "join_openings"]

_ORDER = ("outline", "edges", "supports", "openings", "bays", "partitions", "point_loads", "overrides")


def check_floor(plan: FloorPlan, practice: Practice) -> tuple[Problem, ...]:
    """The floor's warnings. Raises FloorRefused with every problem found, in document order.

    The outline comes first, then the ground of the bays: where one can't be read, nothing that lies in it is
    judged.
    """
    site = Site(plan, practice)
    for find in (outline_problems, ground_problems, _part_problems):
        problems = sorted(find(site), key=lambda problem: _ORDER.index(problem.place.partition(".")[0]))
        if problems:
            raise FloorRefused(tuple(problems))
    return (*load_warnings(site), *support_warnings(site))


def _part_problems(site: Site) -> Iterator[Problem]:
    yield from edge_problems(site)
    yield from support_problems(site)
    yield from opening_problems(site)
    yield from bay_problems(site)
    yield from partition_problems(site)
    yield from point_load_problems(site)
    yield from plies_problems(site)
