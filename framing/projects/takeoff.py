"""The take-off of a floor's saved version: the engine's counts, gathered for page and API."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from framing.drawing import place_map, sketch_svg
from framing.engine.errors import Problem
from framing.engine.members import Member
from framing.engine.result import FloorResult
from framing.projects.models import FloorVersion
from framing.projects.takeoff_rows import (
    KINDS,
    CutRow,
    Group,
    LineRow,
    ScheduleRow,
    bill_groups,
    counted_of,
    cut_rows,
    owners_of,
    schedule_rows,
)
from framing.projects.versions import VersionBasis, current_basis


@dataclass(frozen=True, slots=True)
class MemberChoice:
    """Members of one mark, to be chosen from a list; (id, words) each."""

    mark: str
    members: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class FloorTakeoff(VersionBasis):
    """All counts of one saved version. No `result`: `problems` say why."""

    result: FloorResult | None = None
    problems: tuple[Problem, ...] = ()

    @cached_property
    def owners(self) -> dict[str, frozenset[str]]:
        return owners_of(self.result) if self.result else {}

    @cached_property
    def groups(self) -> tuple[Group, ...]:
        return bill_groups(self.result, self.practice, self.owners) if self.result else ()

    @property
    def lines(self) -> tuple[LineRow, ...]:
        return tuple(line for group in self.groups for line in group.lines)

    @property
    def repeat(self) -> int:
        """How many equal floors are built; all counts are for one."""
        return self.result.plan.repeat if self.result else 1

    @property
    def weight_lb(self) -> float:
        return sum(group.weight_lb for group in self.groups)

    @cached_property
    def schedule(self) -> tuple[ScheduleRow, ...]:
        return schedule_rows(self.result) if self.result else ()

    @cached_property
    def cuts(self) -> tuple[CutRow, ...]:
        return cut_rows(self.result) if self.result else ()

    @property
    def pieces(self) -> int:
        return len(self.result.pieces) if self.result else 0

    @cached_property
    def svg(self) -> str:
        """The floor with its marks, as wide as the page shows it."""
        return sketch_svg(self.result, marks=True) if self.result else ""

    @cached_property
    def choices(self) -> tuple[MemberChoice, ...]:
        """All members by mark in schedule order; of one mark in the order they are installed."""
        found: dict[str, list[Member]] = {row.line.mark: [] for row in self.schedule}
        for member in sorted(self.result.members if self.result else (), key=lambda member: member.sequence):
            found[member.mark].append(member)
        return tuple(
            MemberChoice(mark, tuple((m.id, f"{mark}, {n} of {len(all_)}") for n, m in enumerate(all_, 1)))
            for mark, all_ in found.items()
        )

    @property
    def lights_text(self) -> str:
        """`lights` as JSON, short; the page keeps it in a template element, for scripts come from files alone."""
        return json.dumps(self.lights(), separators=(",", ":"), ensure_ascii=False)

    def lights(self) -> dict[str, Any]:
        """What the page's script needs: shapes in sketch units, the shapes of each term by its number, and of each
        member its words, its shape and the terms that count it, each with how much."""
        if self.result is None:
            return {}
        places = place_map(self.result)
        counted = counted_of(self.groups, self.result, self.owners)
        kinds = {member.id: KINDS[member.kind] for member in self.result.members}
        lengths = {row.line.mark: row.length for row in self.schedule}
        return {
            "shapes": [[_short(value) for value in shape] for shape in places.shapes],
            "terms": [places.of(term.term.places) for line in self.lines for term in line.terms],
            "members": {
                member: [
                    f"{kinds[member]} {words}, {lengths[choice.mark]}",
                    places.indexes[member][0],
                    [part for pair in sorted(counted[member].items()) for part in pair],
                ]
                for choice in self.choices
                for member, words in choice.members
            },
        }


def current_takeoff(version: FloorVersion) -> FloorTakeoff:
    """Design a saved version by the practice set in force and count it; a refusal is part of the answer."""
    basis = current_basis(version)
    return FloorTakeoff(*basis.parts, *basis.designed())


def _short(value: float) -> float | int:
    """Whole numbers without their `.0`: hundreds of them go to the page."""
    return int(value) if value == int(value) else value
