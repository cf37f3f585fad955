"""What the entry page and the API tell about a floor before it is saved: figures, drawing, refusals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from framing.common.cautions import CHECKED
from framing.drawing import sketch_svg
from framing.engine.document import FloorDocument, read_document, to_plan
from framing.engine.errors import DocumentRefused, EngineError, Problem
from framing.engine.floor import FloorPlan
from framing.engine.members import MemberKind
from framing.engine.placement import Item
from framing.engine.practice import Practice
from framing.engine.result import Check, FloorResult, MemberCheck, Option
from framing.projects.design import design_plan, problems_of
from framing.projects.options import OptionMatrix, option_matrix

_MEMBERS: Final = {
    MemberKind.JOIST: "Joists and tails",
    MemberKind.TRIMMER: "Trimmers",
    MemberKind.HEADER: "Headers",
    MemberKind.BEAM: "Beams",
}
_HARDWARE: Final = {
    Item.BEARING_CLIP: "Bearing clips",
    Item.CLIP_ANGLE: "Clip angles",
    Item.PLY_CLIP: "Ply clips",
    Item.LAP_PLATE: "Lap plates",
    Item.SOLID_BLOCK: "Solid blocks",
    Item.LADDER_BLOCK: "Ladder blocks",
    Item.STEEL_SCREW: "Steel screws",
    Item.WOOD_SCREW: "Wood screws",
}


@dataclass(frozen=True, slots=True)
class Count:
    """One figure under the drawing; `code` is stable, `words` are for people."""

    code: str
    words: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Governing:
    """The most used check of all members of one profile; `reference` names the case's calculation sheet."""

    reference: str
    profile: str
    title: str
    members: int
    check: Check
    passes: bool


@dataclass(frozen=True)
class Preview:
    """The answer. No `plan`: the document could not be read; no `result`: the floor can't be built."""

    problems: tuple[Problem, ...] = ()
    plan: FloorPlan | None = None
    result: FloorResult | None = None

    @property
    def checked(self) -> str:
        """What the checks beside the drawing cover, and what they do not."""
        return CHECKED

    @property
    def warnings(self) -> tuple[Problem, ...]:
        return self.result.warnings if self.result else ()

    @cached_property
    def svg(self) -> str:
        """The drawing with refusals or warnings marked; "" where the outline could not be read."""
        if self.result is not None:
            return sketch_svg(self.result, self.warnings)
        return sketch_svg(self.plan, self.problems) if self.plan is not None else ""

    @cached_property
    def counts(self) -> tuple[Count, ...]:
        """Members by kind, then the hardware and screws that are placed."""
        if self.result is None:
            return ()
        members = Counter(member.kind for member in self.result.members)
        hardware: Counter[Item] = Counter()
        for placed in self.result.placed:
            if placed.item in _HARDWARE:
                hardware[placed.item] += placed.quantity
        found = [Count(kind.name.lower(), words, members[kind]) for kind, words in _MEMBERS.items()]
        found += [Count(item.value, words, hardware[item]) for item, words in _HARDWARE.items()]
        return tuple(count for count in found if count.quantity)

    @property
    def weight_lb(self) -> float:
        return sum(line.weight_lb for line in self.result.bill) if self.result else 0.0

    @cached_property
    def governing(self) -> tuple[Governing, ...]:
        """The highest used case of each profile, the worst first."""
        worst: dict[str, tuple[int, MemberCheck]] = {}
        for number, case in enumerate(self.result.checks if self.result else (), 1):
            known = worst.get(case.profile)
            if known is None or _ratio(case) > _ratio(known[1]):
                worst[case.profile] = (number, case)
        cases = sorted(worst.values(), key=lambda pair: (-_ratio(pair[1]), pair[1].profile))
        return tuple(
            Governing(f"C{n}", c.profile, c.title, len(c.members), c.checks[c.governing], c.passes)
            for n, c in cases
        )

    @cached_property
    def failing(self) -> int:
        """How many members fail a check."""
        cases = self.result.checks if self.result else ()
        return len({member for case in cases if not case.passes for member in case.members})

    @cached_property
    def matrix(self) -> OptionMatrix | None:
        """Profiles by spacings (R18), without prices."""
        return option_matrix(self.result) if self.result else None

    @property
    def said(self) -> str:
        """One sentence for screen readers after each change."""
        if self.result is None:
            return f"{len(self.problems)} to correct: {self.problems[0].message}" if self.problems else ""
        figures = ", ".join(f"{count.quantity} {count.words.lower()}" for count in self.counts[:1])
        state = f"{self.failing} members fail" if self.failing else "all members pass"
        return f"{figures}, {state}"


def preview_document(source: FloorDocument | Mapping[str, Any] | str | bytes, practice: Practice) -> Preview:
    """Read, check and design a floor; every refusal is part of the answer."""
    plan = None
    try:
        document = source if isinstance(source, FloorDocument) else read_document(source)
        plan = to_plan(document, practice)
        return Preview(plan=plan, result=design_plan(plan, practice))
    except DocumentRefused as error:
        return Preview(error.problems)
    except EngineError as error:
        return Preview(problems_of(error), plan)


def preview_json(preview: Preview) -> dict[str, Any]:
    """The answer of the API: figures by code, texts for people, the drawing as SVG."""
    return {
        "builds": preview.result is not None,
        "passes": preview.result.passes if preview.result else None,
        "problems": [_problem_json(problem) for problem in preview.problems],
        "warnings": [_problem_json(problem) for problem in preview.warnings],
        "counts": [
            {"code": count.code, "words": count.words, "quantity": count.quantity} for count in preview.counts
        ],
        "weight_lb": round(preview.weight_lb, 1),
        "checks": [check_json(case) for case in preview.governing],
        "options": [option_json(option) for option in preview.result.options] if preview.result else [],
        "svg": preview.svg,
    }


def _ratio(case: MemberCheck) -> float:
    return case.checks[case.governing].ratio


def _problem_json(problem: Problem) -> dict[str, Any]:
    return {"place": problem.place, "message": problem.message, "x_16": problem.x_16, "y_16": problem.y_16}


def check_json(case: Governing) -> dict[str, Any]:
    """A profile's governing check as the API tells it."""
    return {
        "profile": case.profile,
        "title": case.title,
        "members": case.members,
        "check": case.check.name,
        "clause": case.check.clause,
        "ratio": round(case.check.ratio, 4),
        "passes": case.passes,
    }


def option_json(option: Option) -> dict[str, Any]:
    """One option of the matrix as the API tells it."""
    return {
        "bay": option.bay,
        "profile": option.profile,
        "spacing_in": option.spacing_in,
        "passes": option.passes,
        "ratio": round(option.ratio, 4),
        "governing": option.governing,
        "reason": option.reason,
        "weight_lb": round(option.weight_lb, 1),
    }
