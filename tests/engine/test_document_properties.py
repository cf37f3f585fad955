"""Whatever is thrown at the reader, it answers with a document or with a refusal in words."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.document import read_document, to_plan
from framing.engine.errors import DocumentRefused, FloorRefused, Problem
from framing.engine.floor_checks import check_floor
from framing.engine.practice import Practice

HOUSE = json.loads((Path(__file__).resolve().parents[1] / "plans" / "house.json").read_text())
JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)


def _paths(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [path] if path else []
    if isinstance(value, dict):
        for key, inner in value.items():
            found += _paths(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            found += _paths(inner, (*path, index))
    return found


PATHS = _paths(HOUSE)


def _problems(source: Any) -> tuple[Problem, ...] | None:
    """What a refusal says, None where the source is a floor that can be built."""
    try:
        check_floor(to_plan(read_document(source), Practice()), Practice())
    except (DocumentRefused, FloorRefused) as refused:
        return refused.problems
    return None


@settings(max_examples=150, deadline=None)
@given(path=st.sampled_from(PATHS), junk=JUNK)
def test_any_value_in_any_field_is_answered(path: tuple[Any, ...], junk: Any) -> None:
    changed = copy.deepcopy(HOUSE)
    inside = changed
    for step in path[:-1]:
        inside = inside[step]
    inside[path[-1]] = junk
    problems = _problems(changed)
    assert problems is None or (problems and all(problem.message for problem in problems))


@settings(max_examples=100, deadline=None)
@given(data=st.binary(max_size=200) | st.text(max_size=200))
def test_any_text_is_answered(data: bytes | str) -> None:
    problems = _problems(data)
    assert problems
    assert all(problem.message for problem in problems)
