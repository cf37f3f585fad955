"""Seeded nonsense: values, texts and documents bent at random. Equal seeds give equal nonsense."""

from __future__ import annotations

import json
from copy import deepcopy
from pathlib import Path
from random import Random
from typing import Any

PLANS = Path(__file__).resolve().parents[1] / "plans"
WORDS = (
    "", " ", "0", "-1", "1e999", "NaN", "1'", '12"', "24'-6 1/2\"", "1/0", "9" * 400, "٣", "½", "null",
    "\x00", "a\x00b", "\ud800", "\u202e", "\r\nX: y", "<script>", "=1+1", "../../x", "%s%n", "{{7*7}}",
    "' OR 1=1 --", "é" * 300, "\U0001f9f1", "x" * 5000, "\ufeff", "\t", "\\", '"', "A", "O1", "bearing",
)  # fmt: skip
NUMBERS = (
    0,
    -1,
    1,
    2**31,
    2**63,
    -(2**63) - 1,
    10**40,
    0.1,
    -0.0,
    1e-300,
    1e308,
    15.999,
    16,
    24,
    True,
    False,
)
LENGTH_PARTS = ("0", "1", "12", "24", "'", '"', "-", " ", "/", "1/2", "1/16", "5/8", ".", "mm", "m", "ft", "in", "x",
                "9" * 30, "½", "\u2212", "\u2019", "\u201d", "\x00", "e5", "+", ",", "000")  # fmt: skip


GOOD_LENGTHS = (
    "0",
    "1",
    "8",
    "1'",
    "4'",
    "12'",
    "13'-4",
    "20'",
    "24'",
    "46'",
    "120'",
    "5 1/2",
    "3/4",
    "1/16",
)


def plans(pattern: str = "**/*.json") -> list[dict[str, Any]]:
    """The floor documents of the test plans, good and bad, as parsed JSON."""
    return [json.loads(path.read_text()) for path in sorted(PLANS.glob(pattern))]


def many(scale: float, share: float) -> int:
    """10,000 in a full run; in a quick one that share of 10,000 x scale, since pages take their time."""
    return 10_000 if scale >= 1 else int(10_000 * scale * share)


def seeded(name: str) -> Random:
    """A source of nonsense that is the same in every run."""
    return Random(name)  # noqa: S311


def value(rng: Random) -> Any:
    """Any JSON value, mostly of a kind that is expected nowhere."""
    kind = rng.randrange(8)
    if kind < 3:
        return rng.choice(WORDS)
    if kind < 5:
        return rng.choice(NUMBERS)
    return (None, [], {}, [[]], [value(rng)], {rng.choice(WORDS): value(rng)})[rng.randrange(6)]


def length(rng: Random) -> str:
    """A text that may be a length."""
    return "".join(rng.choice(LENGTH_PARTS) for _ in range(rng.randrange(7)))


def bent(document: Any, rng: Random, times: int) -> Any:
    """A copy with some places changed: values swapped, moved, doubled, dropped, lengths shifted."""
    copy = deepcopy(document)
    for _ in range(times):
        _bend(copy, rng)
    return copy


def shifted(document: Any, rng: Random, times: int) -> Any:
    """A copy whose shape stays right: other lengths, figures, choices, an entry more or less."""
    copy = deepcopy(document)
    for _ in range(times):
        known = [(here, key) for here, key in places(copy) if key not in ("format", "version", "id", "units")]
        here, key = rng.choice(known)
        old = here[key]
        like = [other[k] for other, k in known if k == key and type(other[k]) is type(old)]
        if isinstance(old, str) and any(sign.isdigit() for sign in old):
            here[key] = rng.choice((_nudged(old, rng), rng.choice(GOOD_LENGTHS), rng.choice(like)))
        elif isinstance(old, str) or old is None:
            here[key] = rng.choice(like)
        elif isinstance(old, bool | int | float):
            here[key] = rng.choice((old, old * 2, old / 2, 0, 1, 40))
        elif isinstance(here, list) and isinstance(old, dict):
            del here[key]
        elif isinstance(old, list) and old and not isinstance(old[0], str):
            rng.shuffle(old)
    return copy


def places(node: Any) -> list[tuple[Any, Any]]:
    """All (container, key) pairs of a JSON value."""
    found: list[tuple[Any, Any]] = []
    waiting = [node]
    while waiting:
        here = waiting.pop()
        keys = list(here) if isinstance(here, dict) else range(len(here))
        found += [(here, key) for key in keys]
        waiting += [here[key] for key in keys if isinstance(here[key], dict | list)]
    return found


def _bend(document: Any, rng: Random) -> None:
    known = places(document)
    if not known:
        return
    here, key = rng.choice(known)
    other, other_key = rng.choice(known)
    act = rng.randrange(7)
    if act == 0:
        here[key] = value(rng)
    elif act == 1:
        here[key] = deepcopy(other[other_key])
    elif act == 2 and isinstance(here, list):
        here.insert(key, deepcopy(here[key]))
    elif act == 3:
        del here[key]
    elif isinstance(here[key], str):
        here[key] = length(rng) if act == 4 else _nudged(here[key], rng)
    elif isinstance(here[key], int | float):
        here[key] = here[key] * rng.choice((0, -1, 0.5, 2, 3, 10))


def _nudged(text: str, rng: Random) -> str:
    """A text with one sign changed, so that a good length often stays one."""
    if not text:
        return rng.choice(LENGTH_PARTS)
    at = rng.randrange(len(text))
    return text[:at] + rng.choice("0123456789'\" /-") + text[at + rng.randrange(2) :]


def broken_bytes(data: bytes, rng: Random) -> bytes:
    """JSON text cut, doubled or with bytes changed."""
    at = rng.randrange(len(data))
    act = rng.randrange(4)
    if act == 0:
        return data[:at]
    if act == 1:
        return data[:at] + bytes([rng.randrange(256)]) + data[at + 1 :]
    if act == 2:
        return data[:at] + data[at // 2 :]
    return b"[" * rng.choice((10, 50, 100_000)) + data


def encoded(document: Any) -> bytes:
    """JSON text of any value; lone surrogates stay as escapes."""
    return json.dumps(document).encode()
