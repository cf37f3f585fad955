"""The answer to a drawing in words and figures: the parts of the editor's side panel, which the page puts in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import Any, Final

from django.template.loader import render_to_string

from framing.engine.units import format_length
from framing.projects.draw_parts import PARTS
from framing.projects.options import spacing_typed

TEMPLATE: Final = "projects/_draw_answer.html"
_ONE: Final = {part.list: part.one for part in PARTS if part.one}
_METRIC_MM: Final = 25.4


@dataclass(frozen=True, slots=True)
class Cell:
    """One option; `typed` is how the document writes its spacing, `at` how it reads."""

    option: Mapping[str, Any]
    typed: str
    at: str
    chosen: bool

    @property
    def key(self) -> str:
        """How the page finds the option: bay, profile and inches, as the options' prices name them."""
        return f"{self.option['bay']}|{self.option['profile']}|{self.option['spacing_in']:g}"


@dataclass(frozen=True, slots=True)
class Rows:
    """Profiles of a bay's matrix; `fails` for those that no spacing lets pass."""

    fails: bool
    profiles: tuple[tuple[str, tuple[Cell, ...]], ...]


@dataclass(frozen=True, slots=True)
class Bay:
    """The matrix of one bay. `heads` are the spacings in words."""

    id: str
    heads: tuple[str, ...]
    rows: tuple[Rows, ...]


def panel_html(answer: Mapping[str, Any], document: Any) -> str:
    """The panel's parts for an answer of `draw_answer`; each has the id of the element that it fills."""
    known = document if isinstance(document, dict) else {}
    drawn = answer["state"] == "drawn"
    context = {
        "answer": answer,
        "drawn": drawn,
        "notes": [
            (tone, note["message"], *_shown(known, note["place"]))
            for tone, notes in (("bad", answer["problems"]), ("care", answer["warnings"]))
            for note in notes
        ],
        "bays": _bays(answer["options"], known) if drawn else (),
        "bill": [line | {"counted": _counted(line, known)} for line in answer["bill"]],
    }
    return render_to_string(TEMPLATE, context)


def _counted(line: Mapping[str, Any], document: Mapping[str, Any]) -> str:
    """What is bought by its length is counted as a length in the document's units, all else by the piece."""
    if line["unit"] != "length_16":
        return f"{line['exact']:,}"
    return format_length(line["exact"], "metric" if document.get("units") == "metric" else "imperial")


def _shown(document: Mapping[str, Any], place: str) -> tuple[str, str]:
    """The key and the name of the drawn thing that a problem is about; empty where it is about none."""
    name, _, rest = place.partition(".")
    number = rest.partition(".")[0]
    entries = document.get(name)
    if (
        name not in _ONE
        or not number.isdecimal()
        or not isinstance(entries, list)
        or int(number) >= len(entries)
    ):
        return "", ""
    entry = entries[int(number)]
    called = (entry.get("name") or entry.get("id")) if isinstance(entry, dict) else int(number) + 1
    return f"{name}.{number}", f"{_ONE[name]} {called}"


def _bays(options: Iterable[Mapping[str, Any]], document: Mapping[str, Any]) -> tuple[Bay, ...]:
    drawn = {bay["id"]: bay for bay in document.get("bays", ())}
    metric = document.get("units") == "metric"
    by_bay = groupby(options, key=lambda option: str(option["bay"]))
    return tuple(_bay(name, list(found), drawn.get(name, {}), metric=metric) for name, found in by_bay)


def _bay(name: str, options: list[Mapping[str, Any]], drawn: Mapping[str, Any], *, metric: bool) -> Bay:
    spacings = sorted({option["spacing_in"] for option in options})
    by_profile: dict[str, dict[float, Cell]] = {}
    for option in options:
        inches = option["spacing_in"]
        typed = spacing_typed(inches, "metric" if metric else "imperial")
        at = f"{round(inches * _METRIC_MM)} mm" if metric else f"{inches:g} in"
        chosen = drawn.get("profile") == option["profile"] and _inches(drawn.get("spacing")) == inches
        by_profile.setdefault(option["profile"], {})[inches] = Cell(option, typed, at, chosen)
    heads = tuple(next(row[inches].at for row in by_profile.values() if inches in row) for inches in spacings)
    rows: dict[bool, list[tuple[str, tuple[Cell, ...]]]] = {False: [], True: []}
    for profile, row in by_profile.items():
        fails = not any(cell.option["passes"] for cell in row.values())
        rows[fails].append((profile, tuple(row[inches] for inches in spacings if inches in row)))
    return Bay(name, heads, tuple(Rows(fails, tuple(found)) for fails, found in rows.items() if found))


def _inches(spacing: Any) -> float | None:
    """A typed spacing in inches; None for one that says another unit, which no offered one does."""
    try:
        return float(str(spacing).rstrip('" '))
    except ValueError:
        return None
