"""What differs between two floor documents, field by field, and who changed it since their common version."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any, Literal

By = Literal["you", "they", "both"]
NOTHING = "none"


@dataclass(frozen=True, slots=True)
class Difference:
    """One field of which two documents differ; values are texts as a person reads them.

    Attributes:
        place: path in the document, such as `openings.0.size.1`.
        base, yours, theirs: values in the common version and in both documents; `none` where absent.
        by: who moved away from the common version.
    """

    place: str
    base: str
    yours: str
    theirs: str
    by: By

    @property
    def words(self) -> str:
        return place_words(self.place)

    def as_json(self) -> dict[str, str]:
        return asdict(self)


_SINCE = {"bays": {"plies": 1}}
"""Fields that entries of a list have gained, with what their absence in an older document means."""


def find_differences(
    *, base: Mapping[str, Any], yours: Mapping[str, Any], theirs: Mapping[str, Any]
) -> tuple[Difference, ...]:
    """Fields of which `yours` and `theirs` differ, in document order."""
    flat_base, flat_yours, flat_theirs = (dict(_leaves(document, ())) for document in (base, yours, theirs))
    found = []
    for place in dict.fromkeys((*flat_yours, *flat_theirs)):
        old, mine, other = (flat.get(place, NOTHING) for flat in (flat_base, flat_yours, flat_theirs))
        if mine != other:
            by: By = "they" if mine == old else "you" if other == old else "both"
            found.append(Difference(".".join(place), old, mine, other, by))
    return tuple(found)


def place_words(place: str) -> str:
    """A document path in words that count from 1: `openings.0.size.1` is `opening 1, size y`."""
    steps = place.split(".")
    words: list[str] = []
    for index, step in enumerate(steps):
        if not step.isdigit():
            follows_number = index + 1 < len(steps) and steps[index + 1].isdigit() and step in _ENTRIES
            plain = (
                step.replace("_psf", " load").replace("_plf", "").replace("_lb", " load").replace("_", " ")
            )
            words.append(_ENTRIES[step] if follows_number else plain)
        elif index and steps[index - 1] in _ENTRIES:
            words[-1] = f"{words[-1]} {int(step) + 1}"
        else:
            words.append("xy"[int(step)] if int(step) < 2 else step)
    return ", ".join(words)


_ENTRIES = {
    "outline": "corner",
    "edges": "wall",
    "supports": "bearing",
    "openings": "opening",
    "partitions": "partition",
    "point_loads": "point load",
    "bays": "bay",
    "layers": "layer",
    "plies": "fixed plies",
}


def _leaves(value: Any, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    if isinstance(value, Mapping):
        known = _SINCE.get(path[0], {}) if len(path) == 2 else {}
        for key, inner in (known | dict(value)).items():
            yield from _leaves(inner, (*path, str(key)))
    elif isinstance(value, (list, tuple)):
        for index, inner in enumerate(value):
            yield from _leaves(inner, (*path, str(index)))
    else:
        yield path, _shown(value)


def _shown(value: Any) -> str:
    if value is None:
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
