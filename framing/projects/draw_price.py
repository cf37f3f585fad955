"""Where the price of a drawn floor comes from: the app with the price books stands above this one and says so.

Until it has, nothing has a price here.
"""

from __future__ import annotations

from collections.abc import Callable

from framing.engine.practice import Practice
from framing.engine.result import FloorResult
from framing.projects.draw_answer import Price
from framing.projects.models import Project

FloorPricer = Callable[[FloorResult, Practice, Project], Price]
_told: list[FloorPricer] = []


def tell_pricer(pricer: FloorPricer) -> None:
    """Name what prices a floor of a project; the last one told counts."""
    _told[:] = [pricer]


def price_of(result: FloorResult, practice: Practice, project: Project) -> Price:
    """Goods of one designed floor for the project's builder and site; None where nobody prices."""
    return _told[0](result, practice, project) if _told else None
