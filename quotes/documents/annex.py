"""The annex of a floor: the foremost of its cases, and the sheets of those that govern (R17).

A case that governs has the largest ratio among the members of its kind: joists, tail joists, trimmers, headers,
beams. Its sheet shows loads, diagrams, all checks and how the governing capacity comes about; the workings of the
other checks stand in the floor's full calculation sheets.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from framing.engine.catalogue import load_catalogue
from framing.engine.practice import Practice
from framing.engine.result import Check, FloorResult, MemberCheck, MemberSheet, Working
from framing.engine.sizing import member_sheets
from framing.projects.sheet_cases import Case, MarkCount

MARKS_SHOWN: Final = 6
ROWS_SHOWN: Final = 12
IN_HEAD: Final = ("Profile", "Plies")  # inputs that the sheet names beside the members
SOURCE: Final = "Source"
HOLE: Final = "1.1.3"  # the part of Appendix 1 on webs with holes in bending
_SECTION: Final = re.compile(r"AISI S100(?:-\d+)? ([A-Z]\d)\b")
_KIND: Final = re.compile(r"[^,]*")


@dataclass(frozen=True, slots=True)
class CaseRow:
    """One line of the list of cases."""

    reference: str
    check: MemberCheck
    members: str
    sheet: bool

    @property
    def governing(self) -> Check:
        return self.check.checks[self.check.governing]


@dataclass(frozen=True, slots=True)
class ShownWorking:
    """A working, and the sheet that shows it already, "" for none."""

    working: Working
    same_as: str


@dataclass(frozen=True, slots=True)
class GoverningCase:
    """A case with a sheet of its own, and the working of what governs it."""

    case: Case
    workings: tuple[ShownWorking, ...]

    @property
    def inputs(self) -> tuple[tuple[str, str], ...]:
        """What the sheet's head does not say already."""
        return tuple(pair for pair in self.case.inputs if pair[0] not in (*IN_HEAD, SOURCE))

    @property
    def source(self) -> str:
        """Where the section comes from, a line of its own; "" where it is not told."""
        return dict(self.case.inputs).get(SOURCE, "")


def annex_context(
    paper_size: str, number: int, floor: FloorResult, practice: Practice | None
) -> Mapping[str, Any]:
    """What the annex of one floor shows; `number` counts the floors from 1."""
    sheets = () if practice is None else member_sheets(floor, load_catalogue(), practice)
    kept = tuple(
        sheet for sheet in sheets if sheet.check in floor.checks
    )  # as the quote was made, or not at all
    chosen = governing_sheets(kept)
    marks = {member.id: member.mark for member in floor.members}
    cases = [Case(sheet, marks_of(sheet.check, marks), floor.plan.units) for sheet in chosen]
    rows = _rows(floor.checks, marks, {sheet.check for sheet in chosen})
    return {
        "paper_size": paper_size,
        "number": number,
        "floor": floor.plan.name,
        "rows": sorted(rows, key=_foremost)[:ROWS_SHOWN],
        "count": len(floor.checks),
        "failing": sum(not check.passes for check in floor.checks),
        "cases": tuple(_with_workings(cases)),
    }


def _with_workings(cases: Sequence[Case]) -> Iterable[GoverningCase]:
    """Members of one profile share most workings: each stands on the first sheet that needs it."""
    first: dict[Working, str] = {}
    for case in cases:
        found = governing_workings(case)
        yield GoverningCase(case, tuple(ShownWorking(one, first.get(one, "")) for one in found))
        for one in found:
            first.setdefault(one, case.reference)


def governing_sheets(sheets: Sequence[MemberSheet]) -> tuple[MemberSheet, ...]:
    """The sheet with the largest ratio of each kind of member, in the order of the floor's cases."""
    worst: dict[str, MemberSheet] = {}
    for sheet in sheets:
        kind = kind_of(sheet.check)
        if kind not in worst or _ratio(sheet.check) > _ratio(worst[kind].check):
            worst[kind] = sheet
    return tuple(sheet for sheet in sheets if worst[kind_of(sheet.check)] is sheet)


def kind_of(check: MemberCheck) -> str:
    """“Joist”, “Tail joist”, “Trimmer”: the first words of the case's title."""
    found = _KIND.match(check.title)
    return found[0] if found else check.title


def governing_workings(case: Case) -> tuple[Working, ...]:
    """How the capacity that governs comes about.

    Empty where it is a limit of the practice set or of a clause, or 1 of two checks together.
    """
    if (found := _SECTION.match(case.governing.clause)) is None:
        return ()
    at_hole = HOLE in case.governing.clause
    return tuple(
        working
        for working in case.sheet.workings
        if (section := _SECTION.match(working.clause)) is not None
        and section[1] == found[1]
        and at_hole == (HOLE in working.clause)
    )


def marks_of(check: MemberCheck, marks: Mapping[str, str]) -> tuple[MarkCount, ...]:
    """The members of a case by mark."""
    counted = Counter(marks.get(member, member) for member in check.members)
    return tuple(MarkCount(mark, count) for mark, count in sorted(counted.items()))


def _rows(
    checks: Sequence[MemberCheck], marks: Mapping[str, str], chosen: set[MemberCheck]
) -> Iterable[CaseRow]:
    for number, check in enumerate(checks, start=1):
        counted = marks_of(check, marks)
        shown = [f"{row.count} \N{MULTIPLICATION SIGN} {row.mark}" for row in counted[:MARKS_SHOWN]]
        more = len(counted) - len(shown)
        words = ", ".join(shown) + (f" and {more} more" if more else "")
        yield CaseRow(f"C{number}", check, words, check in chosen)


def _foremost(row: CaseRow) -> tuple[bool, bool, float]:
    """Failing cases first, then those with a sheet, then by ratio."""
    return row.check.passes, not row.sheet, -row.governing.ratio


def _ratio(check: MemberCheck) -> float:
    return check.checks[check.governing].ratio
