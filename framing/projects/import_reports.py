"""What the import page and the API tell about a file: its layers, its units, the report of an import."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from framing.projects.import_choice import Choice
from framing.projects.import_found import Found, System, counted, size_words
from framing.projects.import_picture import layer_svg
from framing.projects.models import PlanFile, PlanKind
from framing.projects.reading.dxf_units import UNITS


@dataclass(frozen=True, slots=True)
class LayerRow:
    """One layer: its number, name, what is drawn on it and a small picture; `off` where the file hides it."""

    number: int
    name: str
    off: bool
    words: str
    closed: int
    svg: str


@dataclass(frozen=True, slots=True)
class UnitRow:
    """One unit and how large it makes the floor."""

    key: str
    words: str
    size: str


def layer_rows(facts: Mapping[str, Any]) -> list[LayerRow]:
    """The layers of a drawing, those with closed shapes and the largest of them first."""
    words: dict[str, list[str]] = defaultdict(list)
    for layer, what in facts["taken"]:
        words[layer].append(what)
    rows = [
        LayerRow(
            number,
            layer["name"],
            layer["off"],
            ", ".join(words[layer["name"]]),
            facts["closed"][number][0],
            layer_svg(facts, number),
        )
        for number, layer in enumerate(facts["layers"])
    ]
    return sorted(rows, key=lambda row: (-_area(facts, row.number), row.number))


def unit_rows(facts: Mapping[str, Any], outline: int, units: System) -> list[UnitRow]:
    """Each unit with the size that it gives the outline, or the whole drawing."""
    size = facts["size"]
    if 0 <= outline < len(facts["closed"]) and facts["closed"][outline][0]:
        size = facts["closed"][outline][1:]
    width, height = size
    return [
        UnitRow(
            unit.key,
            unit.words,
            size_words(width * float(unit.sixteenths), height * float(unit.sixteenths), units),
        )
        for unit in UNITS.values()
    ]


def list_words(facts: Mapping[str, Any]) -> str:
    """How a list of corners was read."""
    rows = counted(len(facts["rows"]), "row")
    heading = "with a heading" if facts["heading"] else "without a heading"
    return f"{rows} {heading}, separated by {facts['separator']}, {facts['encoding']} text."


def import_json(plan: PlanFile, choice: Choice, found: Found) -> dict[str, Any]:
    """The import of a file for the API."""
    return {
        "choice": asdict(choice),
        "layers": _layer_json(plan),
        "document": found.document,
        "taken": list(found.taken),
        "mended": list(found.mended),
        "left": [asdict(row) for row in found.left],
        "problems": [{"place": problem.place, "message": problem.message} for problem in found.problems],
        "outlines": list(found.others),
    }


def _layer_json(plan: PlanFile) -> list[dict[str, Any]]:
    if plan.kind != PlanKind.DXF:
        return []
    facts = plan.facts
    taken: dict[str, list[str]] = defaultdict(list)
    for layer, what in facts["taken"]:
        taken[layer].append(what)
    return [
        {"number": number, "name": layer["name"], "off": layer["off"], "things": taken[layer["name"]]}
        for number, layer in enumerate(facts["layers"])
    ]


def _area(facts: Mapping[str, Any], number: int) -> float:
    count, width, height = facts["closed"][number]
    return float(width * height) if count else 0.0
