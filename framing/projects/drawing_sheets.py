"""The drawings of a floor's saved version: plan, elevations and details, gathered for page, paper and API."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from framing.common.company import company
from framing.drawing import SMALL, SheetInfo, plan_svg
from framing.drawing.details import detail_sheets, detail_svg, details_svg, floor_details
from framing.drawing.elevation import elevation_sheets, elevation_svg, elevations_svg
from framing.engine.errors import Problem
from framing.engine.result import FloorResult
from framing.projects.models import FloorVersion
from framing.projects.versions import VersionBasis, current_basis

_PAPER = SMALL  # fits Letter and A4 landscape


@dataclass(frozen=True, slots=True)
class Drawn:
    """One drawing with the words that name it."""

    name: str
    title: str
    svg: str


@dataclass(frozen=True)
class FloorDrawings(VersionBasis):
    """What is drawn of one saved version. `problems` say why there is nothing to draw."""

    result: FloorResult | None = None
    problems: tuple[Problem, ...] = ()

    @property
    def plan(self) -> str:
        """The plan on its sheet, as the first of the set."""
        return plan_svg(self._floor, self.info(self.version.saved_at), spots=False)

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
        info = SheetInfo(
            project=floor.project.name,
            floor=floor.name,
            date=f"{at:%m/%d/%Y}",
            revision=f"v{self.version.number}",
            company=company().name,
            paper=_PAPER,
        )
        elevations = elevation_sheets(self._floor, info, self.catalogue)
        details = detail_sheets(floor_details(self._floor, self.catalogue, self.practice), info)
        return replace(info, count=1 + len(elevations) + len(details))

    def sheets(self, at: datetime) -> tuple[str, ...]:
        """The whole set on sheets that are numbered through: plan, elevations, details."""
        info = self.info(at)
        elevations = elevations_svg(self._floor, replace(info, number=2), self.catalogue)
        rest = replace(info, number=2 + len(elevations))
        details = details_svg(self._floor, rest, self.catalogue, self.practice)
        return (plan_svg(self._floor, info, spots=False), *elevations, *details)


def floor_drawings(basis: VersionBasis) -> FloorDrawings:
    """Design a saved version anew and take its drawings; a refusal is part of the answer."""
    return FloorDrawings(*basis.parts, *basis.designed())


def current_drawings(version: FloorVersion) -> FloorDrawings:
    """The drawings of a saved version by the practice set in force now."""
    return floor_drawings(current_basis(version))
