"""The calculation sheets of a floor's saved version: the engine's answer, gathered for page, paper and API."""

from __future__ import annotations

import base64
import hashlib
from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

from framing.common.errors import NotThere
from framing.common.models import OutboxEntry, StoredPaper
from framing.common.papers import paper_get
from framing.drawing import extremes, member_svg, place_words, support_letter
from framing.engine import ENGINE_VERSION
from framing.engine.catalogue import Catalogue, load_catalogue
from framing.engine.errors import EngineError, Problem
from framing.engine.floor import Units
from framing.engine.practice import Practice
from framing.engine.result import Check, FloorResult, MemberSheet, Value
from framing.projects import selectors
from framing.projects.design import design_plan, plan_of, problems_of
from framing.projects.models import FloorVersion, PracticeSet

PAPER_WORK: Final = "calculation_paper"
_MARKS_SHOWN: Final = 12
_DIGEST: Final = 24  # signs of the digest in a paper's kind


def engine_sheets(result: FloorResult, catalogue: Catalogue, practice: Practice) -> tuple[MemberSheet, ...]:
    """The engine's sheet of each case of a designed floor, `C1` for the first."""
    del catalogue, practice
    return tuple(
        MemberSheet(
            reference=f"C{number}",
            check=check,
            length_in=check.span_in,
            supports=(),
            loads=(),
            reactions=(),
            section=(),
            curves=(),
            workings=(),
        )
        for number, check in enumerate(result.checks, 1)
    )


@dataclass(frozen=True, slots=True)
class MarkCount:
    """Members of one mark in a case."""

    mark: str
    count: int


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check with the inputs that are its own, such as its limit."""

    check: Check
    own: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ExtremeRow:
    """The largest and smallest value of a curve with their places: the diagram's numbers."""

    name: str
    unit: str
    largest: float
    largest_at: str
    smallest: float
    smallest_at: str


@dataclass(frozen=True, slots=True)
class ReactionRow:
    """A support, its place and its reactions: dead, live and both."""

    letter: str
    words: str
    at: str
    shares: tuple[Value, ...]


@dataclass(frozen=True)
class Case:
    """One sheet, ready to show; `marks` count its members."""

    sheet: MemberSheet
    marks: tuple[MarkCount, ...]
    units: Units

    @property
    def reference(self) -> str:
        return self.sheet.reference

    @property
    def governing(self) -> Check:
        return self.sheet.check.checks[self.sheet.check.governing]

    @property
    def passes(self) -> bool:
        return self.sheet.check.passes

    @property
    def members_words(self) -> str:
        """Members by mark and count, a count before each mark; a long list ends with how many marks more."""
        shown = [f"{row.count} \N{MULTIPLICATION SIGN} {row.mark}" for row in self.marks[:_MARKS_SHOWN]]
        more = len(self.marks) - len(shown)
        return ", ".join(shown) + (f" and {more} marks more" if more else "")

    @cached_property
    def inputs(self) -> tuple[tuple[str, str], ...]:
        """What all checks of the case start from, in the engine's order."""
        checks = self.sheet.check.checks
        return tuple(pair for pair in checks[0].inputs if all(pair in check.inputs for check in checks))

    @property
    def required(self) -> tuple[CheckRow, ...]:
        return self._rows(required=True)

    @property
    def informative(self) -> tuple[CheckRow, ...]:
        """Checks that the practice set leaves off: shown, not required."""
        return self._rows(required=False)

    def _rows(self, *, required: bool) -> tuple[CheckRow, ...]:
        found = (check for check in self.sheet.check.checks if check.required is required)
        return tuple(CheckRow(c, tuple(pair for pair in c.inputs if pair not in self.inputs)) for c in found)

    @cached_property
    def svg(self) -> str:
        """The diagram; "" where the sheet has no supports to stand on."""
        return member_svg(self.sheet, self.units) if self.sheet.supports else ""

    @property
    def svg_address(self) -> str:
        """The diagram as an address that a paper may load."""
        return "data:image/svg+xml;base64," + base64.b64encode(self.svg.encode()).decode()

    @property
    def reaction_rows(self) -> tuple[ReactionRow, ...]:
        """Supports from the low end with the letter that the diagram gives them and their reactions."""
        shares = self.sheet.reactions
        return tuple(
            ReactionRow(support_letter(i), words, place_words(at_in, self.units), shares[3 * i : 3 * i + 3])
            for i, (at_in, words) in enumerate(self.sheet.supports)
        )

    @property
    def extreme_rows(self) -> tuple[ExtremeRow, ...]:
        rows = []
        for curve in self.sheet.curves:
            high, low = extremes(curve)
            places = (place_words(high.at_in, self.units), place_words(low.at_in, self.units))
            rows.append(ExtremeRow(curve.name, curve.unit, high.value, places[0], low.value, places[1]))
        return tuple(rows)


@dataclass(frozen=True)
class FloorSheets:
    """All sheets of one saved version. `problems` say why there are none."""

    version: FloorVersion
    practice: Practice
    practice_row: PracticeSet | None
    catalogue_version: str
    cases: tuple[Case, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def engine_version(self) -> str:
        return ENGINE_VERSION

    @property
    def practice_words(self) -> str:
        return f"{self.practice.name} {self.practice.version}, {self.practice.method.value}"

    @property
    def count(self) -> int:
        return len(self.cases)

    @property
    def failing(self) -> int:
        return sum(not case.passes for case in self.cases)

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

    def case(self, reference: str) -> Case:
        """One case by its reference. Raises NotThere."""
        for case in self.cases:
            if case.reference == reference:
                return case
        raise NotThere(f"This version of the floor has no case {reference[:20]}.")


def floor_sheets(version: FloorVersion, practice_row: PracticeSet | None) -> FloorSheets:
    """Design a saved version anew and take its calculation sheets; a refusal is part of the answer.

    Args:
        version: the saved version, with its floor and project at hand.
        practice_row: the practice set to design by; None takes the rules' own defaults.
    """
    practice = Practice() if practice_row is None else selectors.practice_of(practice_row)
    catalogue = load_catalogue()
    found = FloorSheets(version, practice, practice_row, catalogue.version)
    try:
        result = design_plan(plan_of(version.document, practice), practice)
        sheets = engine_sheets(result, catalogue, practice)
    except EngineError as error:
        return replace(found, problems=problems_of(error))
    marks = {member.id: member.mark for member in result.members}
    cases = tuple(Case(sheet, _count(sheet, marks), result.plan.units) for sheet in sheets)
    return replace(found, cases=cases)


def current_sheets(version: FloorVersion) -> FloorSheets:
    """The sheets of a saved version by the practice set in force now."""
    return floor_sheets(version, selectors.practice_set_in_force())


def _count(sheet: MemberSheet, marks: dict[str, str]) -> tuple[MarkCount, ...]:
    counted = Counter(marks.get(member, member) for member in sheet.check.members)
    return tuple(MarkCount(mark, count) for mark, count in sorted(counted.items()))


@dataclass(frozen=True, slots=True)
class PaperState:
    """The stored paper of a version's sheets, or the work that makes it; neither where nobody asked yet."""

    paper: StoredPaper | None
    job: OutboxEntry | None


def paper_state(sheets: FloorSheets) -> PaperState:
    paper = paper_get(sheets.paper_kind, sheets.version)
    if paper is not None:
        return PaperState(paper, None)
    return PaperState(None, OutboxEntry.objects.filter(kind=PAPER_WORK, key=sheets.work_key).first())
