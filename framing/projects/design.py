"""The door to the engine for all that holds a floor document: read, check, design; refusals as `Refused`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from framing.common.errors import Refused
from framing.engine.catalogue import load_catalogue
from framing.engine.document import FloorDocument, dump_document, read_document, to_plan
from framing.engine.errors import DocumentRefused, EngineError, FloorRefused, Problem
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import check_floor
from framing.engine.pipeline import design_floor
from framing.engine.practice import Practice
from framing.engine.result import FloorResult

Document = FloorDocument | Mapping[str, Any] | str | bytes


def design_plan(plan: FloorPlan, practice: Practice) -> FloorResult:
    """Design one floor with the catalogue. Raises FloorRefused or another EngineError."""
    return design_floor(plan, load_catalogue(), practice)


def plan_of(document: Document, practice: Practice) -> FloorPlan:
    """The floor that a document describes, not checked yet. Raises DocumentRefused."""
    known = document if isinstance(document, FloorDocument) else read_document(document)
    return to_plan(known, practice)


def checked_document(document: Document, practice: Practice) -> dict[str, Any]:
    """The document ready to be stored, every field written out.

    Raises Refused where a floor can't be read or can't be built (R50, R51); `detail` lists the problems.
    """
    try:
        known = document if isinstance(document, FloorDocument) else read_document(document)
        check_floor(to_plan(known, practice), practice)
    except EngineError as error:
        raise refusal(error) from error
    return dump_document(known)


def problems_of(error: EngineError) -> tuple[Problem, ...]:
    """The problems of a refusal, one without a place where the engine gave a sentence only."""
    if isinstance(error, (DocumentRefused, FloorRefused)):
        return error.problems
    return (Problem("", error.message),)


def refusal(error: EngineError) -> Refused:
    """An engine's refusal as one of the application: the first place as field, all problems as detail."""
    problems = problems_of(error)
    detail = [{"place": problem.place, "message": problem.message} for problem in problems]
    return Refused(error.message, field=problems[0].place, detail=detail)
