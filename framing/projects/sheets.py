"""The calculation sheets of a floor's saved version: the engine's answer, gathered for page, paper and API."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from framing.common.errors import NotThere
from framing.engine.errors import Problem
from framing.engine.result import MemberSheet
from framing.engine.sizing import member_sheets
from framing.projects.models import FloorVersion
from framing.projects.sheet_cases import Case, MarkCount
from framing.projects.versions import VersionBasis, current_basis


@dataclass(frozen=True)
class FloorSheets(VersionBasis):
    """All sheets of one saved version. `problems` say why there are none."""

    cases: tuple[Case, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def count(self) -> int:
        return len(self.cases)

    @property
    def failing(self) -> int:
        return sum(not case.passes for case in self.cases)

    def case(self, reference: str) -> Case:
        """One case by its reference. Raises NotThere."""
        for case in self.cases:
            if case.reference == reference:
                return case
        raise NotThere(f"This version of the floor has no case {reference[:20]}.")


def floor_sheets(basis: VersionBasis) -> FloorSheets:
    """Design a saved version anew and take its calculation sheets; a refusal is part of the answer."""
    result, problems = basis.designed()
    if result is None:
        return FloorSheets(*basis.parts, problems=problems)
    sheets = member_sheets(result, basis.catalogue, basis.practice)
    marks = {member.id: member.mark for member in result.members}
    cases = tuple(Case(sheet, _count(sheet, marks), result.plan.units) for sheet in sheets)
    return FloorSheets(*basis.parts, cases=cases)


def current_sheets(version: FloorVersion) -> FloorSheets:
    """The sheets of a saved version by the practice set in force now."""
    return floor_sheets(current_basis(version))


def _count(sheet: MemberSheet, marks: dict[str, str]) -> tuple[MarkCount, ...]:
    counted = Counter(marks.get(member, member) for member in sheet.check.members)
    return tuple(MarkCount(mark, count) for mark, count in sorted(counted.items()))
