"""The preview: figures and drawing of a floor, or its problems."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree as ET

import pytest

from framing.engine.document import rectangle_document
from framing.engine.practice import Practice
from framing.projects.preview import preview_document, preview_json


def floor(**fields: Any) -> Any:
    values: dict[str, Any] = {"name": "First", "width": "24'", "depth": "16'"}
    return rectangle_document(**(values | fields))


def texts_of(svg: str) -> str:
    return "".join(ET.fromstring(svg).itertext())  # noqa: S314  # our own drawing


def test_figures_of_a_plain_floor() -> None:
    # R3: 24 ft at 16 in has joists at 16, 32, ..., 272 in: 17. R20: one bearing clip at each end.
    preview = preview_document(floor(), Practice())
    counts = {count.code: count.quantity for count in preview.counts}
    assert (counts["joist"], counts["bearing_clip"]) == (17, 34)
    assert "header" not in counts
    assert preview.problems == ()
    assert preview.said == "17 joists and tails, all members pass"
    assert texts_of(preview.svg)


def test_the_worst_check_of_each_profile_governs() -> None:
    preview = preview_document(floor(), Practice())
    (case,) = preview.governing
    assert preview.result is not None
    ratios = [check.ratio for case_ in preview.result.checks for check in case_.checks if check.required]
    assert case.check.ratio == max(ratios)
    assert case.passes


def test_members_that_fail_are_counted_and_said() -> None:
    preview = preview_document(floor(depth="30'", profile="800S162-54"), Practice())
    assert preview.result is not None
    assert not preview.result.passes
    assert preview.failing == 17
    assert preview.said == "17 joists and tails, 17 members fail"
    assert not preview.governing[0].passes


def test_the_option_matrix_has_a_cell_for_each_pair_that_was_tried() -> None:
    preview = preview_document(floor(), Practice())
    assert preview.result is not None
    assert preview.matrix is not None
    cells = [
        cell for bay in preview.matrix.bays for row in bay.rows for cell in row.cells if cell is not None
    ]
    assert len(cells) == len(preview.result.options)
    assert {cell.passes for cell in cells} <= {True, False}


def test_a_floor_that_can_not_be_read_has_no_drawing() -> None:
    preview = preview_document(floor(depth="tall"), Practice())
    assert (preview.plan, preview.result, preview.svg) == (None, None, "")
    assert {problem.place for problem in preview.problems} == {"outline.2.1", "outline.3.1"}
    assert preview.said.startswith("2 to correct: ")


def test_a_floor_that_can_not_be_built_is_drawn_with_its_problems() -> None:
    hole = {"id": "O1", "name": "Stair", "kind": "stair", "corner": ["20'", "2'"], "size": ["6'", "8'"]}
    preview = preview_document(floor(openings=[hole]), Practice())
    assert preview.plan is not None
    assert preview.result is None
    assert "Stair" in preview.problems[0].message
    assert "Stair" in texts_of(preview.svg)


@pytest.mark.parametrize("profile", ["9999S999-99", "<b>"])
def test_an_unknown_profile_is_a_problem_in_words(profile: str) -> None:
    preview = preview_document(floor(profile=profile), Practice())
    assert preview.result is None
    assert profile in preview.problems[0].message


def test_the_answer_as_json_has_figures_and_words() -> None:
    answer = preview_json(preview_document(floor(), Practice()))
    assert answer["builds"] is True
    assert answer["passes"] is True
    assert answer["counts"][0] == {"code": "joist", "words": "Joists and tails", "quantity": 17}
    assert answer["svg"].startswith("<svg")
    refused = preview_json(preview_document({"format": "spanyard.floor", "version": 7}, Practice()))
    assert (refused["builds"], refused["passes"], refused["problems"][0]["place"]) == (False, None, "version")
