"""What differs between two floor documents, in words. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

from framing.engine.errors import LengthUnreadable
from framing.engine.units import format_length, parse_length
from quotes.compare_members import pair_name
from quotes.compare_shapes import FloorChange, Moved, OfferFloor

_THINGS: Final[Mapping[str, str]] = {
    "bays": "Bay",
    "supports": "Support",
    "openings": "Opening",
    "partitions": "Wall on the floor",
    "edges": "Edge",
    "layers": "Layer",
}
_WORDS: Final[Mapping[str, str]] = {
    "load_case": "Loads",
    "live_psf": "live, psf",
    "psf": "psf",
    "partition_psf": "partitions, psf",
    "plf": "lb per ft",
    "load_plf": "lb per ft",
}
_NAMES: Final = ("name", "level")
_NAMED_BY: Final = ("id", "edge", "index", "name")
_LONGEST: Final = 120


def floor_changes(pairs: Iterable[tuple[OfferFloor | None, OfferFloor | None]]) -> Iterator[FloorChange]:
    """Floors that came, went, were renamed, or whose document differs."""
    for was, now in pairs:
        if was is None or now is None:
            floor = now or was
            if floor is not None:
                yield FloorChange(floor.key, floor.name, ("added" if was is None else "removed",))
            continue
        moved = tuple(document_changes(_in_its_units(was.document), _in_its_units(now.document)))
        named = any(change.name.lower() in _NAMES for change in moved)
        kinds = (("renamed",) if named else ()) + (("changed",) if _beyond_names(moved) else ())
        if kinds:
            yield FloorChange(now.key, pair_name((was, now)), kinds, moved)


def _in_its_units(document: Mapping[str, Any]) -> Mapping[str, Any]:
    """The document with the spacings of a metric floor in millimetres: they are offered, and so kept, in inches."""
    if document.get("units") != "metric":
        return document
    bays = [{**bay, "spacing": _millimetres(bay.get("spacing"))} for bay in document.get("bays", ())]
    return {**document, "bays": bays}


def _millimetres(text: Any) -> Any:
    try:
        return format_length(parse_length(str(text), "metric"), "metric") if text else text
    except LengthUnreadable:
        return text


def _beyond_names(moved: Sequence[Moved]) -> bool:
    return any(change.name.lower() not in _NAMES for change in moved)


def document_changes(was: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Moved]:
    """Each value that differs, by its place in words."""
    yield from _mapping("", was, now)


def _mapping(place: str, was: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Moved]:
    for key in dict.fromkeys((*was, *now)):
        old, new = was.get(key), now.get(key)
        if old == new:
            continue
        if _is_things(old) or _is_things(new):
            yield from _things(place, key, old or (), new or ())
        elif isinstance(old, Mapping) and isinstance(new, Mapping):
            yield from _mapping(_join(place, _word(key)), old, new)
        else:
            yield Moved(_join(place, _word(key)), value_words(old, key), value_words(new, key))


def _things(place: str, key: str, was: Sequence[Any], now: Sequence[Any]) -> Iterator[Moved]:
    """Lists of named things, one by one: added, removed, or what of it differs."""
    before, after = _named(was), _named(now)
    for name in dict.fromkeys((*before, *after)):
        old, new = before.get(name), after.get(name)
        title = _join(place, f"{_THINGS.get(key, _word(key))} {name}")
        if old is None or new is None:
            yield Moved(
                title, "" if old is None else value_words(old), "" if new is None else value_words(new)
            )
        elif old != new:
            yield from _mapping(title, old, new)


def _named(things: Sequence[Mapping[str, Any]]) -> dict[str, Mapping[str, Any]]:
    found: dict[str, Mapping[str, Any]] = {}
    for number, thing in enumerate(things, start=1):
        name = next((str(thing[key]) for key in _NAMED_BY if thing.get(key) not in (None, "")), str(number))
        found[name if name not in found else f"{name} ({number})"] = thing
    return found


def _is_things(value: Any) -> bool:
    return (
        isinstance(value, Sequence)
        and not isinstance(value, str)
        and any(isinstance(v, Mapping) for v in value)
    )


def _word(key: str) -> str:
    return _WORDS.get(key, key.replace("_", " "))


def _join(place: str, word: str) -> str:
    return f"{place}, {word}" if place else word[:1].upper() + word[1:]


def value_words(value: Any, key: str = "") -> str:
    """A value of a document as one would say it, cut where it is long; `key` is what the document calls it."""
    text = _sides(value, key) or _plain(value)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def _sides(value: Any, key: str) -> str:
    """An opening's size, or an outline that is a rectangle from the corner, by its two sides; "" for all else."""
    if not isinstance(value, Sequence) or isinstance(value, str):
        return ""
    if key == "size" and len(value) == 2:
        return f"{value[0]} by {value[1]}"
    if key != "outline" or len(value) != 4 or not all(len(corner) == 2 for corner in value):
        return ""
    wide, deep = value[2]
    corners = [["0", "0"], [wide, "0"], [wide, deep], ["0", deep]]
    return f"{wide} by {deep}" if [[str(x), str(y)] for x, y in value] == corners else ""


def _plain(value: Any) -> str:
    if value is None or value in ("", [], {}):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Mapping):
        return ", ".join(f"{_word(key)} {_plain(part)}" for key, part in value.items() if _plain(part))
    if isinstance(value, Sequence) and not isinstance(value, str):
        deep = any(isinstance(part, Sequence) and not isinstance(part, str) for part in value)
        return ("; " if deep else ", ").join(_plain(part) for part in value)
    return str(value)
