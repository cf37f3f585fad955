"""Floor documents broken in every way, the same ones every time."""

from __future__ import annotations

from copy import deepcopy
from random import Random
from typing import Any

NASTY: tuple[Any, ...] = (
    None, True, -1, 0, 1e308, 10**30, "", "-", "\x00", "\ud800", "1/0", "9" * 60, [], {}, [[]], {"a": {"b": []}},
    "24'", -5, ["0", "0"], "x" * 500, 0.1, "1e9", "' \"", [None] * 3,
)  # fmt: skip


def paths(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Ways to every value of a document."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(way for key, part in inner for way in paths(part, (*path, key)))]


def broken(document: dict[str, Any], chance: Random) -> dict[str, Any]:
    """The document with one to three values taken away, doubled or put in place of another."""
    found = deepcopy(document)
    for _ in range(chance.randint(1, 3)):
        *way, last = chance.choice([path for path in paths(found) if path])
        holder: Any = found
        for step in way:
            holder = holder[step]
        kind = chance.random()
        if kind < 0.2:
            del holder[last]
        elif kind < 0.35 and isinstance(holder, list):
            holder.append(deepcopy(holder[last]))
        else:
            holder[last] = deepcopy(chance.choice(NASTY))
    return found
