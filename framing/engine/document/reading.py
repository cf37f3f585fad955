"""Reading a floor document: text or parsed JSON in, a checked `FloorDocument` or a `DocumentRefused` out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, NoReturn

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from framing.engine.document.shape import FloorDocument
from framing.engine.errors import DocumentRefused, Problem

MAX_BYTES = 1_000_000
MAX_DEPTH = 8
MAX_NODES = 50_000
_LARGEST = 10**15


def read_document(source: str | bytes | Mapping[str, Any], *, max_bytes: int = MAX_BYTES) -> FloorDocument:
    """The document in `source`: JSON text, UTF-8 bytes, or JSON already parsed.

    Raises DocumentRefused with one problem per wrong field (place as in `openings.0.size.1`), nothing else.
    """
    parsed = _parse(source, max_bytes) if isinstance(source, (str, bytes)) else source
    if not isinstance(parsed, Mapping):
        _refuse("", "A floor document is a JSON object with format, version, outline and bays.")
    _check_depth(parsed)
    _check_version(parsed)
    try:
        document = FloorDocument.model_validate(dict(parsed))
    except ValidationError as error:
        raise DocumentRefused(_problems(error.errors(include_url=False))) from None
    _check_ids(document)
    return document


def json_schema() -> dict[str, Any]:
    """JSON Schema of version 1; the committed copy is `data/floor.schema.json`."""
    schema = FloorDocument.model_json_schema(by_alias=True)
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def dump_document(document: FloorDocument) -> dict[str, Any]:
    """The document as JSON-ready data, every field written out, texts as typed."""
    return document.model_dump(mode="json", by_alias=True)


def _refuse(place: str, message: str) -> NoReturn:
    raise DocumentRefused((Problem(place, message),))


def _parse(source: str | bytes, max_bytes: int) -> Any:
    size = len(source) if isinstance(source, bytes) else len(source.encode("utf-8", "surrogatepass"))
    if size > max_bytes:
        _refuse("", f"The document has {size:,} bytes; at most {max_bytes:,} are read. Split the floor.")
    try:
        text = source.decode("utf-8") if isinstance(source, bytes) else source
        return json.loads(text, parse_constant=_no_constant, object_pairs_hook=_unique_keys)
    except UnicodeDecodeError:
        _refuse("", "The document is not UTF-8 text.")
    except RecursionError:
        _refuse("", f"The document is nested more than {MAX_DEPTH} deep.")
    except ValueError as error:
        _refuse("", f"The document is not JSON: {error}.")


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a number")


def _unique_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f"“{twice[:40]}” is given twice in one object")
    return found


def _check_depth(parsed: Any) -> None:
    """Walk without recursion, so that no nesting can exhaust the stack."""
    waiting: list[tuple[Any, int]] = [(parsed, 1)]
    nodes = 0
    while waiting:
        value, depth = waiting.pop()
        nodes += 1
        if depth > MAX_DEPTH:
            _refuse("", f"The document is nested more than {MAX_DEPTH} deep.")
        if nodes > MAX_NODES:
            _refuse("", f"The document has more than {MAX_NODES:,} values. Split the floor.")
        if isinstance(value, Mapping):
            waiting.extend((inner, depth + 1) for inner in value.values())
        elif isinstance(value, (list, tuple)):
            waiting.extend((inner, depth + 1) for inner in value)


def _check_version(parsed: Mapping[str, Any]) -> None:
    if parsed.get("format") != "spanyard.floor":
        _refuse("format", f"{_shown(parsed.get('format'))} is not a known format; write “spanyard.floor”.")
    version = parsed.get("version")
    if isinstance(version, bool) or version != 1:
        _refuse("version", f"Version {_shown(version)} can't be read here; this engine reads version 1.")


def _shown(value: Any) -> str:
    """A value as a person may recognise it, short and printable."""
    if isinstance(value, (Mapping, list, tuple)):
        return "a list" if not isinstance(value, Mapping) else "an object"
    if isinstance(value, (int, float)) and not -_LARGEST <= value <= _LARGEST:
        return "A number beyond all floors"
    text = "nothing" if value is None else f"“{value}”" if isinstance(value, str) else repr(value)[:60]
    text = "".join(letter if letter.isprintable() else "?" for letter in text)
    return text if len(text) <= 60 else text[:57] + "...”"


def _problems(details: list[ErrorDetails]) -> tuple[Problem, ...]:
    """One problem a field, in document order; a list too short only because its entries failed is no news."""
    places = [".".join(str(step) for step in detail["loc"]) for detail in details]
    return tuple(
        Problem(place, _sentence(detail))
        for place, detail in zip(places, details, strict=True)
        if detail["type"] != "too_short" or not any(other.startswith(f"{place}.") for other in places)
    )


def _sentence(detail: ErrorDetails) -> str:
    kind, context = detail["type"], detail.get("ctx", {})
    field = str(detail["loc"][-1]) if detail["loc"] else "The document"
    value = _shown(detail["input"])
    if kind == "missing":
        return f"“{field}” is missing; add it."
    if kind == "extra_forbidden":
        return f"“{field[:40]}” is not known here; remove it or correct its name."
    if kind in ("literal_error", "enum"):
        return f"{value} is not offered; write {context['expected']}."
    if kind in ("too_short", "too_long"):
        words = "at least" if kind == "too_short" else "at most"
        limit = context.get("min_length", context.get("max_length"))
        return f"has {context['actual_length']} entries; {words} {limit} are taken."
    if kind in ("greater_than_equal", "less_than_equal"):
        words, limit = ("less", context["ge"]) if "ge" in context else ("more", context["le"])
        return f"{value} is {words} than the limit {limit:g}; write a number within it."
    if kind == "string_pattern_mismatch":
        return f"{value} can't be used; write 1 to {_pattern_length(context['pattern'])} letters and digits."
    if kind in _WANTED:
        return f"{value} can't stand here; write {_WANTED[kind]}."
    text = detail["msg"][0].lower() + detail["msg"][1:]
    return f"{value}: {text}."


_WANTED = {
    "int_type": "a whole number",
    "bool_type": "true or false",
    "string_type": "a text",
    "string_unicode": "a text without broken signs",
    "tuple_type": "a list",
    "model_type": "an object",
    "string_too_short": "at least one letter",
}


def _pattern_length(pattern: str) -> int:
    """The longest text that one of our two patterns takes."""
    return 4 if "{1,4}" in pattern else 20


def _check_ids(document: FloorDocument) -> None:
    problems = []
    seen: dict[str, str] = {}
    for list_name in ("supports", "openings", "partitions", "point_loads", "bays"):
        for index, entry in enumerate(getattr(document, list_name)):
            place = f"{list_name}.{index}.id"
            # Bays are named on their own; the others share one space because overrides and sheets name them.
            key = f"bay {entry.id}" if list_name == "bays" else entry.id
            if key in seen:
                message = f"“{entry.id}” is already used at {seen[key]}; give each its own id."
                problems.append(Problem(place, message))
            seen.setdefault(key, place)
    problems += _edge_problems(document)
    if problems:
        raise DocumentRefused(tuple(problems))


def _edge_problems(document: FloorDocument) -> list[Problem]:
    problems = []
    seen: set[int] = set()
    last = len(document.outline) - 1
    for index, entry in enumerate(document.edges):
        place = f"edges.{index}.edge"
        if entry.edge > last:
            problems.append(Problem(place, f"Edge {entry.edge} does not exist; the last is {last}."))
        elif entry.edge in seen:
            problems.append(Problem(place, f"Edge {entry.edge} is given twice; keep one entry."))
        seen.add(entry.edge)
    return problems
