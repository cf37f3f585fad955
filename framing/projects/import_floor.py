"""The floor of a file that somebody brought, by its kind: drawing, list of corners or floor document."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from framing.engine.errors import Problem
from framing.projects.draw_start import blank_document
from framing.projects.import_choice import Choice, choice_of
from framing.projects.import_corners import import_corners
from framing.projects.import_dxf import import_dxf, usual_choice
from framing.projects.import_found import Found, counted
from framing.projects.models import PlanFile, PlanKind, PlanState

KINDS = (PlanKind.DXF, PlanKind.CSV, PlanKind.FLOOR)


def can_import(plan: PlanFile) -> bool:
    """Whether floors can be taken from a file: it is of such a kind, and read."""
    return plan.kind in KINDS and plan.state == PlanState.READ


def choice_for(plan: PlanFile, asked: Mapping[str, Any]) -> Choice:
    """What was chosen for a file, in place of what it begins with."""
    return choice_of(asked, first_choice(plan))


def first_choice(plan: PlanFile) -> Choice:
    """What the import of a file begins with."""
    if plan.kind == PlanKind.DXF:
        return usual_choice(plan.facts, _stem(plan.name))
    if plan.kind == PlanKind.CSV:
        return Choice(units=plan.project.units, name=_stem(plan.name))
    return Choice()


def import_floor(plan: PlanFile, choice: Choice) -> Found:
    """The floor of a file that `can_import`, as it was chosen, with the report."""
    if plan.kind == PlanKind.FLOOR:
        return _of_document(plan.facts, choice)
    blank = blank_document(plan.project.units, choice.name or _stem(plan.name))
    maker = import_dxf if plan.kind == PlanKind.DXF else import_corners
    return maker(plan.facts, choice, blank)


def _of_document(facts: Mapping[str, Any], choice: Choice) -> Found:
    """A floor document under the chosen name and level, or all its problems."""
    if facts["document"] is None:
        problems = [Problem(place, message) for place, message in facts["problems"]]
        if facts["more"]:
            problems.append(Problem("", f"{counted(facts['more'], 'more place')} can't be read."))
        return Found(None, problems=tuple(problems))
    document = dict(facts["document"])
    document["name"] = choice.name or document["name"]
    document["level"] = choice.level or document["level"]
    parts = [
        counted(len(document[name]), one)
        for name, one in (
            ("outline", "corner"),
            ("openings", "opening"),
            ("supports", "bearing"),
            ("partitions", "partition"),
            ("bays", "bay"),
        )
        if document[name]
    ]
    return Found(document, taken=(f"The floor document: {', '.join(parts)}.",))


def _stem(name: str) -> str:
    """A file's name without its ending, as a floor's name."""
    stem = name.rsplit(".", 1)[0].strip() or name
    return stem[:80]
