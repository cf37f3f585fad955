"""The calculation sheets of a floor's saved version: the engine's answer, gathered for page, paper and API."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass
from typing import Final

from framing.common.errors import NotThere
from framing.common.models import OutboxEntry, StoredPaper
from framing.common.papers import paper_get
from framing.engine import ENGINE_VERSION
from framing.engine.catalogue import Catalogue, load_catalogue
from framing.engine.errors import EngineError, Problem
from framing.engine.practice import Practice
from framing.engine.result import MemberSheet
from framing.engine.sizing import member_sheets
from framing.projects import selectors
from framing.projects.design import design_plan, plan_of, problems_of
from framing.projects.models import Floor, FloorVersion, PracticeSet
from framing.projects.sheet_cases import Case, MarkCount

PAPER_WORK: Final = "calculation_paper"
_VERSION_SIGNS: Final = 9
_SHORT_ID: Final = 8
_DIGEST: Final = 24  # signs of the digest in a paper's kind


@dataclass(frozen=True)
class SheetBasis:
    """What the numbers of a version's sheets follow from; cheap, nothing is designed yet."""

    version: FloorVersion
    practice: Practice
    practice_row: PracticeSet | None
    catalogue: Catalogue

    @property
    def engine_version(self) -> str:
        return ENGINE_VERSION

    @property
    def catalogue_version(self) -> str:
        return self.catalogue.version

    @property
    def practice_words(self) -> str:
        return f"{self.practice.name} {self.practice.version}, {self.practice.method.value}"

    @property
    def digest(self) -> str:
        """Equal for equal numbers: the engine, the catalogue and every value of the practice set."""
        text = "\n".join((self.engine_version, self.catalogue_version, repr(self.practice)))
        return hashlib.sha256(text.encode()).hexdigest()[:_DIGEST]

    @property
    def paper_kind(self) -> str:
        """A new engine, catalogue or practice set makes a new paper of the same version."""
        return f"calculation:{self.digest}"

    @property
    def work_key(self) -> str:
        return f"{self.version.pk}:{self.digest}"


@dataclass(frozen=True)
class FloorSheets(SheetBasis):
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


def version_named(text: str, floor: Floor) -> FloorVersion:
    """The saved version of that number, the newest for an empty text, with its floor at hand. Raises NotThere."""
    if text and not (text.isascii() and text.isdigit() and len(text) < _VERSION_SIGNS):
        raise NotThere
    version = selectors.floor_version(floor, int(text) if text else None)
    version.floor = floor
    return version


def floor_file_name(version: FloorVersion, words: str) -> str:
    """Name of a file of a version: nothing that somebody typed, for it stands in a header of the answer."""
    return f"floor-{version.floor.public_id[:_SHORT_ID]}-v{version.number}-{words}"


def sheet_basis(version: FloorVersion, practice_row: PracticeSet | None) -> SheetBasis:
    """The basis by one practice set; None takes the rules' own defaults."""
    practice = Practice() if practice_row is None else selectors.practice_of(practice_row)
    return SheetBasis(version, practice, practice_row, load_catalogue())


def current_basis(version: FloorVersion) -> SheetBasis:
    """The basis of a saved version by the practice set in force now."""
    return sheet_basis(version, selectors.practice_set_in_force())


def floor_sheets(basis: SheetBasis) -> FloorSheets:
    """Design a saved version anew and take its calculation sheets; a refusal is part of the answer."""
    parts = (basis.version, basis.practice, basis.practice_row, basis.catalogue)
    try:
        result = design_plan(plan_of(basis.version.document, basis.practice), basis.practice)
        sheets = member_sheets(result, basis.catalogue, basis.practice)
    except EngineError as error:
        return FloorSheets(*parts, problems=problems_of(error))
    marks = {member.id: member.mark for member in result.members}
    cases = tuple(Case(sheet, _count(sheet, marks), result.plan.units) for sheet in sheets)
    return FloorSheets(*parts, cases=cases)


def current_sheets(version: FloorVersion) -> FloorSheets:
    """The sheets of a saved version by the practice set in force now."""
    return floor_sheets(current_basis(version))


def _count(sheet: MemberSheet, marks: dict[str, str]) -> tuple[MarkCount, ...]:
    counted = Counter(marks.get(member, member) for member in sheet.check.members)
    return tuple(MarkCount(mark, count) for mark, count in sorted(counted.items()))


@dataclass(frozen=True, slots=True)
class PaperState:
    """The stored paper of a version's sheets, or the work that makes it; neither where nobody asked yet."""

    paper: StoredPaper | None
    job: OutboxEntry | None


def paper_state(basis: SheetBasis) -> PaperState:
    paper = paper_get(basis.paper_kind, basis.version)
    if paper is not None:
        return PaperState(paper, None)
    return PaperState(None, OutboxEntry.objects.filter(kind=PAPER_WORK, key=basis.work_key).first())
