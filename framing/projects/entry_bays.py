"""Bays in the entry form: corners as one text, own loads kept as they came, both ways without loss.

The first bay's fields are the form's own; each further one is a row. Loads of a bay's own are not edited here: they
travel in a hidden field as JSON, are said in words, and change in the floor's document.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Sequence
from typing import Any, Final

from framing.engine.document.shape import BayEntry, LoadCaseEntry
from framing.engine.errors import LengthUnreadable
from framing.engine.floor import Units
from framing.engine.units import parse_length_exact
from framing.projects.entry_values import length_text

FIELDS: Final = ("direction", "start", "spacing", "offset", "profile", "plies")
"""Fields that a bay has under the same name in the form and in the document."""
FIRST: Final = {
    "id": "bay_id",
    "outline": "bay_outline",
    "load_case": "bay_loads",
    **{name: name for name in FIELDS},
}
"""The first bay's fields by their name in the document."""
_APART: Final = re.compile(r"[;\n]")
_MOST: Final = 400


def corners_text(corners: Sequence[Sequence[str | float]] | None) -> str:
    """Corners as they are typed: `0, 0; 12', 0; 12', 26'`; "" for the whole floor."""
    return "; ".join(f"{length_text(x)}, {length_text(y)}" for x, y in corners or ())


def read_corners(text: str) -> list[list[str]] | None:
    """Corners typed across, up; one after another with a semicolon or line between. None where nothing is typed.

    A corner without its comma keeps all its text as the first length, for the engine to refuse in its words.
    """
    parts = [part.strip() for part in _APART.split(text)]
    found = [[step.strip() for step in part.partition(",")[::2]] for part in parts if part]
    return found[: _MOST + 1] or None


def runs_clockwise(corners: Sequence[Sequence[str]], units: Units) -> bool:
    """Whether an outline is typed clockwise; the engine turns it, which renumbers its corners and edges."""
    try:
        read = [[parse_length_exact(text, units, allow_negative=True) for text in pair] for pair in corners]
    except LengthUnreadable:
        return False
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(read, read[1:] + read[:1], strict=True)) < 0


def loads_text(case: LoadCaseEntry | None) -> str:
    """A bay's own loads for the hidden field; "" where it takes the floor's."""
    return "" if case is None else json.dumps(case.model_dump(mode="json"), ensure_ascii=False)


def read_loads(text: str) -> Any:
    """The hidden field's loads, not judged yet; a text that is no JSON stays one, for the engine to refuse."""
    if not text:
        return None
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return text[:_MOST]


def loads_words(text: str) -> str:
    """A bay's own loads in one sentence; "" where it has none or they can't be read."""
    try:
        case = LoadCaseEntry.model_validate(read_loads(text) or {})
    except ValueError:
        return ""
    dead_psf = sum(layer.psf for layer in case.layers)
    walls = f", {case.partition_psf:g} psf partitions" if case.partition_psf else ""
    return (
        f"Loads of its own: {case.occupancy}, {case.live_psf:g} psf live, {dead_psf:g} psf dead{walls}. They are "
        "kept; change them in the floor's document below."
    )


def bay_values(bay: BayEntry) -> dict[str, str]:
    """A bay of a document as texts of fields, by their names in the document."""
    return {
        "id": bay.id,
        "direction": bay.direction,
        "start": bay.start,
        "spacing": length_text(bay.spacing),
        "offset": length_text(bay.offset),
        "profile": bay.profile or "",
        "plies": str(bay.plies),
        "outline": corners_text(bay.outline),
        "load_case": loads_text(bay.load_case),
    }


def free_letters(taken: set[str]) -> Iterator[str]:
    """Names for bays that have none: A, B, ... then A1, B1, ..."""
    for number in ("", *range(1, 100)):
        for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ":
            if f"{letter}{number}" not in taken:
                yield f"{letter}{number}"
