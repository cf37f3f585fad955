"""The drawings of a floor's saved version: plan, elevations and details, gathered for page, paper and API."""

from __future__ import annotations

import base64
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from framing.common.company import company
from framing.common.models import OutboxEntry
from framing.common.papers import paper_get
from framing.drawing import SMALL, SheetInfo, plan_svg
from framing.drawing.details import detail_svg, details_svg, floor_details
from framing.drawing.elevation import elevation_svg, elevations_svg
from framing.engine.errors import EngineError, Problem
from framing.engine.result import FloorResult
from framing.projects.design import design_plan, plan_of, problems_of
from framing.projects.models import FloorVersion
from framing.projects.sheets import PaperState, SheetBasis, current_basis

DRAWING_WORK: Final = "drawings_paper"
_PAPER = SMALL  # fits Letter and A4 landscape
_SET: Final = "1"  # raised when equal numbers are drawn in another way, so that papers are made anew


@dataclass(frozen=True, slots=True)
class Drawn:
    """One drawing with the words that name it."""

    name: str
    title: str
    svg: str


@dataclass(frozen=True)
class FloorDrawings(SheetBasis):
    """What is drawn of one saved version. `problems` say why there is nothing to draw."""

    result: FloorResult | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def plan(self) -> str:
        """The plan on its sheet, as the first of the set."""
        return self.sheets(self.version.saved_at)[0]

    @property
    def elevations(self) -> tuple[Drawn, ...]:
        """One for each mark, in the order of the schedule."""
        marks = [line.mark for line in self._floor.schedule]
        return tuple(
            Drawn(mark, f"Elevation of {mark}", elevation_svg(self._floor, mark, self.catalogue))
            for mark in marks
        )

    @property
    def details(self) -> tuple[Drawn, ...]:
        """The conditions that occur on the floor."""
        found = floor_details(self._floor, self.catalogue, self.practice)
        return tuple(Drawn(detail.name, detail.title, detail_svg(detail)) for detail in found)

    @property
    def _floor(self) -> FloorResult:
        if self.result is None:
            raise ValueError("a version that can't be built has no drawings")
        return self.result

    def info(self, at: datetime) -> SheetInfo:
        """The title strip of the first sheet; `at` is the day it names."""
        floor = self.version.floor
        return SheetInfo(
            project=floor.project.name,
            floor=floor.name,
            date=f"{at:%m/%d/%Y}",
            revision=f"v{self.version.number}",
            company=company().name,
            paper=_PAPER,
        )

    def sheets(self, at: datetime) -> tuple[str, ...]:
        """The whole set on sheets that are numbered through: plan, elevations, details."""
        info = self.info(at)
        count = 1 + len(self._after_the_plan(info))
        numbered = replace(info, count=count)
        return (plan_svg(self._floor, numbered, spots=False), *self._after_the_plan(numbered))

    def _after_the_plan(self, info: SheetInfo) -> tuple[str, ...]:
        elevations = elevations_svg(self._floor, replace(info, number=2), self.catalogue)
        rest = replace(info, number=2 + len(elevations))
        return (*elevations, *details_svg(self._floor, rest, self.catalogue, self.practice))


def address_of(svg: str) -> str:
    """A drawing as an address that a paper may load."""
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()


def floor_drawings(basis: SheetBasis) -> FloorDrawings:
    """Design a saved version anew and take its drawings; a refusal is part of the answer."""
    parts = (basis.version, basis.practice, basis.practice_row, basis.catalogue)
    try:
        result = design_plan(plan_of(basis.version.document, basis.practice), basis.practice)
    except EngineError as error:
        return FloorDrawings(*parts, problems=problems_of(error))
    return FloorDrawings(*parts, result=result)


def current_drawings(version: FloorVersion) -> FloorDrawings:
    """The drawings of a saved version by the practice set in force now."""
    return floor_drawings(current_basis(version))


def drawings_kind(basis: SheetBasis) -> str:
    """A new engine, catalogue, practice set or way of drawing makes a new paper of the same version."""
    return f"drawings{_SET}:{basis.digest}"


def drawings_key(basis: SheetBasis) -> str:
    return f"{basis.work_key}:{_SET}"


def drawings_state(basis: SheetBasis) -> PaperState:
    """The stored paper, or the work that makes it."""
    paper = paper_get(drawings_kind(basis), basis.version)
    if paper is not None:
        return PaperState(paper, None)
    return PaperState(None, OutboxEntry.objects.filter(kind=DRAWING_WORK, key=drawings_key(basis)).first())
