"""Whatever is drawn or typed, the engine answers: a floor, or a refusal that says where and why; and in time.

Ten thousand spoiled floors with SPANYARD_TEST_SCALE=1, three hundred in an ordinary run. `SPANYARD_FUZZ_TIMES`
names a file for the slowest ones, `SPANYARD_FUZZ_SEED` is another start.
"""

from __future__ import annotations

import json
import os
from collections import Counter
from pathlib import Path
from time import perf_counter
from typing import Any

from hypothesis import given, seed

from framing.engine.catalogue import load_catalogue
from framing.engine.document import read_document, to_plan
from framing.engine.errors import DocumentRefused, FloorRefused, Problem, UnknownProfile
from framing.engine.floor_checks import check_floor
from framing.engine.pipeline import design_floor
from tests.engine.properties.laying import PRACTICE, SCALE, times
from tests.engine.properties.spoiling import spoiled

CATALOGUE = load_catalogue()


def _said(problems: tuple[Problem, ...]) -> None:
    assert problems
    for problem in problems:
        assert problem.message
        assert isinstance(problem.place, str)
        assert (problem.x_16 is None) == (problem.y_16 is None)


def answer(drawn: dict[str, Any]) -> str:
    """How far a document comes; a refusal has to say what is wrong."""
    try:
        plan = to_plan(read_document(drawn), PRACTICE)
        check_floor(plan, PRACTICE)
    except (DocumentRefused, FloorRefused) as refused:
        _said(refused.problems)
        return "refused"
    try:
        result = design_floor(plan, CATALOGUE, PRACTICE)
    except FloorRefused as refused:
        _said(refused.problems)
        return "refused by layout"
    except UnknownProfile:
        return "unknown profile"
    assert result.pieces
    assert all(piece.length_16 > 0 for piece in result.pieces)
    for line in result.bill:
        assert line.exact == sum(term.quantity for term in line.terms) > 0
    return "designed"


def test_every_spoiled_floor_is_answered() -> None:
    tally: Counter[str] = Counter()
    slow: list[tuple[float, str]] = []

    @seed(int(os.environ.get("SPANYARD_FUZZ_SEED", "1")))
    @times(10_000 if SCALE >= 1 else 3_000, least=200)
    @given(drawn=spoiled())
    def run(drawn: dict[str, Any]) -> None:
        began = perf_counter()
        tally[answer(drawn)] += 1
        slow.append((perf_counter() - began, json.dumps(drawn, default=str)))
        slow.sort(reverse=True)
        del slow[10:]

    try:
        run()
    finally:
        if os.environ.get("SPANYARD_FUZZ_TIMES"):
            text = json.dumps({"answers": tally, "slowest": slow}, indent=1)
            Path(os.environ["SPANYARD_FUZZ_TIMES"]).write_text(text)
    # Spoiling must leave floors that get all the way, and floors that do not.
    assert tally["refused"] > 0
    assert tally["designed"] > 0
