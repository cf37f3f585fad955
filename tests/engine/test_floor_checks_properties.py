"""Whatever is drawn, the checks answer with warnings or with a refusal that says what and where.

Two thousand floors with SPANYARD_TEST_SCALE=1, a tenth of that without it.
"""

from __future__ import annotations

import os
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from framing.engine.document import read_document, to_plan
from framing.engine.errors import DocumentRefused, FloorRefused, Problem
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import check_floor, join_openings
from framing.engine.practice import Practice
from framing.engine.regions import regions_of
from tests.engine.drawn_floors import documents

COUNT = max(50, round(2000 * float(os.environ.get("SPANYARD_TEST_SCALE", "0.1"))))
PRACTICE = Practice()
PLACES = {
    "outline",
    "edges",
    "supports",
    "openings",
    "bays",
    "partitions",
    "point_loads",
    "overrides",
    "load_case",
}


def _said(problems: tuple[Problem, ...]) -> None:
    """Every problem names a place of the document, ends as a sentence and is marked on the plan where it has one."""
    for problem in problems:
        assert problem.place.partition(".")[0] in PLACES
        assert problem.message.endswith(".")
        assert (problem.x_16 is None) == (problem.y_16 is None)
        assert isinstance(problem.x_16, int | None)


@settings(max_examples=COUNT, deadline=None)
@given(drawn=documents())
def test_any_floor_is_answered(drawn: dict[str, Any]) -> None:
    plan, problems = _answer(drawn)
    _said(problems)
    if plan is None:
        assert problems
        return
    # What passes has ground for every bay and openings that can be joined.
    assert all(len(region.sides) >= 3 for region in regions_of(plan))
    joined = join_openings(plan)
    assert join_openings(joined) == joined
    check_floor(joined, PRACTICE)


@settings(max_examples=COUNT // 4, deadline=None)
@given(drawn=documents(), data=st.data())
def test_turning_the_outline_round_changes_no_answer(drawn: dict[str, Any], data: st.DataObject) -> None:
    """The same floor drawn from another corner, edges renumbered with it, is refused or passed alike."""
    count = len(drawn["outline"])
    by = data.draw(st.integers(1, count - 1))
    turned = {
        **drawn,
        "outline": drawn["outline"][by:] + drawn["outline"][:by],
        "edges": [{**edge, "edge": (edge["edge"] - by) % count} for edge in drawn["edges"]],
    }
    assert (_answer(turned)[0] is None) == (_answer(drawn)[0] is None)


def _answer(drawn: dict[str, Any]) -> tuple[FloorPlan | None, tuple[Problem, ...]]:
    """A floor that can be built with its warnings, or none with the problems; anything else is raised."""
    try:
        plan = to_plan(read_document(drawn), PRACTICE)
        return plan, check_floor(plan, PRACTICE)
    except (DocumentRefused, FloorRefused) as refused:
        return None, refused.problems
