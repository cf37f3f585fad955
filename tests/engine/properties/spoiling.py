"""Floor documents spoiled: real floors with a few things bent, doubled, taken away or replaced by nonsense."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import strategies as st

from tests.engine.drawn_floors import documents
from tests.engine.properties.documents import document
from tests.engine.properties.floor_moves import moves
from tests.engine.properties.sketches import real_floors

Draw = st.DrawFn
Path = tuple[Any, ...]
NONSENSE: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 2**63, 1e308, -1e-308, float("nan"), float("inf"), "", " ", "0", "-0", "1/0",
    "1' 2\" 3'", "9" * 60, "1e400", "\N{BELL}", "x" * 5000, [], {}, [[]], {"": 0}, [0] * 500, "A", "12", "-12'",
    "low", "free", "flush_beam",
)  # fmt: skip
LENGTHS = (
    "0", "1/16", "-1/16", "1/32", "0.01", "1", "3", "4 1/8", "5 1/2", "11.9", "12", "40'", "480 1/16", "999'",
    "1000'", "1001'", "-1000'", "16 9/16",
)  # fmt: skip


@st.composite
def spoiled(draw: Draw) -> dict[str, Any]:
    """A document that is mostly a floor; often no longer one that can be built."""
    base = draw(st.sampled_from(("real", "real", "real", "drawn")))
    if base == "drawn":
        made = draw(documents())
    else:
        plan = draw(moves()).floor(draw(real_floors()))
        made = document(plan, draw(st.sampled_from(("imperial", "metric"))))
    made = copy.deepcopy(made)
    for _ in range(draw(st.sampled_from((0, 1, 1, 2, 4)))):
        _spoil(draw, made)
    return made


def paths(value: Any, path: Path = ()) -> list[Path]:
    """Every place in a document."""
    found = [path] if path else []
    items: list[tuple[Any, Any]] = []
    if isinstance(value, dict):
        items = list(value.items())
    elif isinstance(value, list):
        items = list(enumerate(value))
    for key, inner in items:
        found += paths(inner, (*path, key))
    return found


def _spoil(draw: Draw, made: dict[str, Any]) -> None:
    known = paths(made)
    if not known:
        return
    path = draw(st.sampled_from(known))
    holder = made
    for key in path[:-1]:
        holder = holder[key]
    ways = [_replace, _replace, _length, _length, _length, _borrow, _drop, _double]
    draw(st.sampled_from(ways))(draw, made, holder, path[-1])


def _replace(draw: Draw, made: dict[str, Any], holder: Any, key: Any) -> None:
    holder[key] = copy.deepcopy(draw(st.sampled_from(NONSENSE)))


def _length(draw: Draw, made: dict[str, Any], holder: Any, key: Any) -> None:
    """Another length where one stands; elsewhere nonsense."""
    value = holder[key]
    while isinstance(value, list) and value:
        holder, key = value, draw(st.integers(0, len(value) - 1))
        value = holder[key]
    holder[key] = draw(st.sampled_from(LENGTHS))


def _borrow(draw: Draw, made: dict[str, Any], holder: Any, key: Any) -> None:
    """What stands elsewhere: corners on corners, walls on edges, one bay's ring for another's."""
    path = draw(st.sampled_from(paths(made)))
    value: Any = made
    for step in path:
        value = value[step]
    holder[key] = copy.deepcopy(value)


def _drop(draw: Draw, made: dict[str, Any], holder: Any, key: Any) -> None:
    del holder[key]


def _double(draw: Draw, made: dict[str, Any], holder: Any, key: Any) -> None:
    if isinstance(holder, list):
        holder.insert(draw(st.integers(0, len(holder))), copy.deepcopy(holder[key]))
