"""Three documents of one floor: what both began with, mine and theirs.

Whatever only one of the two changed is taken; what both changed differently is told, and mine is taken until somebody
chooses. A document is any JSON object, also one that can't be read.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from framing.projects.draw_parts import FLOOR, PARTS, Part

Document = Mapping[str, Any]
_WHOLE: Final[Mapping[str, str]] = {
    **{field.path: field.label for field in FLOOR.fields},
    "outline": "Outline",
    "load_case": "Loads",
}
_EDGES: Final = next(part for part in PARTS if part.at == "edges")
_LISTS: Final = tuple(part for part in PARTS if part.one and part.list not in ("outline", "loads"))


@dataclass(frozen=True, slots=True)
class Merged:
    """`clashes`: path and words of what both changed differently."""

    document: dict[str, Any]
    clashes: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class _Piece:
    """What is taken or left as one; `path` names it in all three documents, `at` is the list that it is of."""

    path: str
    words: str
    value: Any
    at: str = ""


def told_differences(before: Document, after: Document) -> tuple[str, ...]:
    """What differs between two documents, as sentences without an end."""
    old, new = _pieces(before), _pieces(after)
    return tuple(
        f"{piece.words} {_verb(old, new, path)}"
        for path, piece in {**old, **new}.items()
        if not _equal(_value(old, path), _value(new, path))
    )


def merge(
    base: Document, mine: Document, theirs: Document, choice: Mapping[str, str] | None = None
) -> Merged:
    """Both changes in one document; `choice` says of a clash's path whose is taken, "mine" or "theirs"."""
    was, my, their = _pieces(base), _pieces(mine), _pieces(theirs)
    clashes, taken = [], []
    for path, piece in {**was, **their, **my}.items():
        kept, changed = _value(my, path), _value(their, path)
        still = _equal(_value(was, path), kept)
        both = not still and not _equal(_value(was, path), changed) and not _equal(kept, changed)
        if both:
            clashes.append((path, piece.words))
        source = their if (both and (choice or {}).get(path) == "theirs") or (not both and still) else my
        if path in source:
            taken.append(source[path])
    return Merged(_assembled(mine, theirs, taken), tuple(clashes))


def _assembled(mine: Document, theirs: Document, taken: Sequence[_Piece]) -> dict[str, Any]:
    """Mine in my order, then what is theirs alone."""
    whole = {piece.path: piece.value for piece in taken if not piece.at}
    result = {key: value for key, value in mine.items() if key not in _WHOLE} | whole
    for part in _LISTS:
        at = _at(part)
        order = [_path(part, entry) for document in (mine, theirs) for entry in _entries(document, part)]
        kept = [piece for piece in taken if piece.at == at]
        if kept or _entries(mine, part):
            _put(
                result, at, [piece.value for piece in sorted(kept, key=lambda piece: order.index(piece.path))]
            )
    corners = len(result["outline"]) if isinstance(result.get("outline"), list) else 0
    edges = [entry for entry in _entries(result, _EDGES) if _number(entry) < corners]
    return {**result, "edges": sorted(edges, key=_number)}


def _put(document: dict[str, Any], at: str, value: Any) -> None:
    """Set a value at a path of one or two steps; what is on the way is copied, for it is somebody's."""
    first, _, rest = at.partition(".")
    if not rest:
        document[first] = value
        return
    held = document.get(first)
    document[first] = {**(held if isinstance(held, Mapping) else {}), rest: value}


def _pieces(document: Document) -> dict[str, _Piece]:
    found = {
        path: _Piece(path, words, document.get(path)) for path, words in _WHOLE.items() if path in document
    }
    for part in _LISTS:
        for entry in _entries(document, part):
            path = _path(part, entry)
            found[path] = _Piece(path, f"{part.one} {_id(part, entry)}", entry, _at(part))
    return found


def _entries(document: Document, part: Part) -> list[Mapping[str, Any]]:
    held: Any = document
    for step in _at(part).split("."):
        held = held.get(step) if isinstance(held, Mapping) else None
    return [entry for entry in held if isinstance(entry, Mapping)] if isinstance(held, list) else []


def _at(part: Part) -> str:
    return part.at or part.list


def _path(part: Part, entry: Mapping[str, Any]) -> str:
    return f"{_at(part)}|{_id(part, entry)}"


def _id(part: Part, entry: Mapping[str, Any]) -> str:
    """What tells an entry of a list for good: a wall's number, a member with fixed plies, else the id."""
    if part is _EDGES:
        return str(_number(entry) + 1)
    if part.list == "plies":
        return f"{entry.get('of')} {entry.get('part')}".replace("_", " ")
    return str(entry.get("id"))


def _number(edge: Mapping[str, Any]) -> int:
    number = edge.get("edge")
    return number if isinstance(number, int) else -1


def _value(pieces: Mapping[str, _Piece], path: str) -> Any:
    return pieces[path].value if path in pieces else None


def _verb(old: Mapping[str, _Piece], new: Mapping[str, _Piece], path: str) -> str:
    if _value(old, path) is None:
        return "added"
    return "changed" if path in new else "taken away"


def _equal(one: Any, other: Any) -> bool:
    """Equal as JSON; a field left out is one that is null."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return all(_equal(one.get(key), other.get(key)) for key in {*one, *other})
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_equal, one, other))
    return (type(one) is type(other) and bool(one == other)) or _numbers(one, other)


def _numbers(one: Any, other: Any) -> bool:
    """1 and 1.0 are one number; true is none."""
    kinds = [isinstance(value, (int, float)) and not isinstance(value, bool) for value in (one, other)]
    return all(kinds) and bool(one == other)
