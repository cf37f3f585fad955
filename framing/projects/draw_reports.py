"""What the plan editor's page and the API say alike, ready for JSON."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from framing.common.errors import Refused, StaleSave
from framing.engine.document import dump_document, read_document
from framing.engine.errors import DocumentRefused
from framing.projects import selectors
from framing.projects.differences import Difference, find_differences
from framing.projects.draw_answer import draw_answer, draw_problems, draw_shown, no_price
from framing.projects.draw_merge import merge, told_differences
from framing.projects.draw_price import price_of
from framing.projects.draw_requests import posted_whole
from framing.projects.draw_selectors import Other, version_facts
from framing.projects.draw_services import Kept
from framing.projects.models import Floor, FloorVersion, Project
from framing.projects.turned import CHANGES


def answer_json(sequence: int, document: Any, project: Project, *, priced: bool) -> dict[str, Any]:
    """The answer to a document of the project; `priced` for those who may see prices."""
    practice = selectors.practice_in_force()
    pricer = (lambda result, rules: price_of(result, rules, project)) if priced else no_price
    return {"sequence": sequence, **draw_answer(document, practice, pricer)}


def kept_json(kept: Kept) -> dict[str, Any]:
    return {"saved_at": kept.saved_at.isoformat(), "draft": kept.draft, "others": _others(kept.others)}


def presence_json(floor: Floor, others: Iterable[Other]) -> dict[str, Any]:
    """The newest version, so that a page hears of a save, and who else is there."""
    return {**version_facts(selectors.floor_version(floor)), "others": _others(others)}


def version_json(floor: Floor, number: int) -> dict[str, Any]:
    """One saved version: document, drawing, and what the newest version has otherwise. Raises NotThere."""
    version = _version(floor, number)
    newest = selectors.floor_version(floor)
    found = find_differences(base=version.document, yours=version.document, theirs=newest.document)
    return {
        "number": version.number,
        "saved_at": version.saved_at.isoformat(),
        "saved_by": version.saved_by,
        "document": version.document,
        **draw_shown(version.document, selectors.practice_in_force()),
        "differences": [_difference(difference) for difference in found],
    }


def compared_json(floor: Floor, number: int, body: Mapping[str, Any]) -> dict[str, Any]:
    """What a drawing has otherwise than a saved version, and both in one; raises NotThere, Refused.

    `document` is the drawing; what it began with is the version `base_version`, the same one where that is left out;
    `choice` says by path whose part is taken where both were changed.
    """
    document, choice = body.get("document"), body.get("choice") or {}
    if not isinstance(document, Mapping) or not isinstance(choice, Mapping):
        raise Refused("Send the drawing as a JSON object named “document”.", field="document")
    version = _version(floor, number)
    base = _version(floor, posted_whole({"base_version": number} | dict(body), "base_version"))
    merged = merge(base.document, document, version.document, choice)
    return {
        "number": version.number,
        "differences": [{"words": words} for words in told_differences(version.document, document)],
        "document": merged.document,
        "clashes": [{"path": path, "words": words} for path, words in merged.clashes],
    }


def changed_json(body: Mapping[str, Any]) -> dict[str, Any]:
    """A drawing mirrored, turned or put into other units as a whole; nothing is saved. Raises Refused."""
    change = CHANGES.get(str(body.get("change")))
    if change is None:
        raise Refused(
            f"“{body.get('change')}” is no change of a whole floor; ask for {', '.join(CHANGES)}.",
            field="change",
        )
    document = body.get("document")
    try:
        known = read_document(document if isinstance(document, Mapping) else b"[]")
        return {"document": dump_document(change(known))}
    except DocumentRefused as error:
        raise Refused(
            f"The floor can't be read yet. {error.problems[0].message}", field=error.problems[0].place
        ) from error


def refused_json(document: Any, error: Refused) -> dict[str, Any]:
    """The problems of a refused save: the engine's with their places on the plan, else the refusal's own."""
    own = {"place": error.field, "message": error.message, "x": None, "y": None}
    problems = draw_problems(document, selectors.practice_in_force())
    return {"message": error.message, "problems": problems or [own]}


def clash_json(floor: Floor, error: StaleSave) -> dict[str, Any]:
    """What somebody else saved meanwhile, and every field that differs from it."""
    detail = error.detail
    return {
        "message": error.message,
        "version": detail["version"],
        "saved_by": detail["saved_by"],
        "saved_at": detail["saved_at"],
        "document": selectors.floor_version(floor, detail["version"]).document,
        "differences": [_difference(Difference(**row)) for row in detail["differences"]],
    }


def _version(floor: Floor, number: int) -> FloorVersion:
    """A saved version. Raises NotThere; a number that no column takes is looked for as the next one."""
    return selectors.floor_version(floor, min(number, floor.version + 1))


def _others(others: Iterable[Other]) -> list[dict[str, Any]]:
    return [other.as_json() for other in others]


def _difference(difference: Difference) -> dict[str, str]:
    return {"words": difference.words, **difference.as_json()}
