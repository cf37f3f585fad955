"""Section properties against a finite-element judge: stored values, and live runs where it is installed."""

from __future__ import annotations

import pytest

from framing.engine.section.gross import gross
from framing.engine.section.shape import Shape
from tests.engine.published.fe_sections import COLUMNS, run, shapes, stored

SHAPES = shapes()
# Largest share of difference; J leaves out the rounding of the free ends and of the bends, 0.2 to 0.5 %.
WITHIN = dict.fromkeys(COLUMNS, 0.001) | {"j_in4": 0.005, "cw_in6": 0.002}
# Live runs use a coarser mesh, with bends of 16 facets, 0.1 % low on their own.
WITHIN_LIVE = dict.fromkeys(COLUMNS, 0.002) | {"j_in4": 0.006}


def _differing(section: Shape, judged: dict[str, float], within: dict[str, float]) -> dict[str, float]:
    full = gross(section)
    shares = {column: getattr(full, column) / judged[column] - 1 for column in COLUMNS}
    return {column: share for column, share in shares.items() if abs(share) > within[column]}


@pytest.mark.parametrize("name", SHAPES)
def test_stored_finite_element_values(name: str) -> None:
    row = stored()[name]
    assert _differing(SHAPES[name], {column: float(row[column]) for column in COLUMNS}, WITHIN) == {}


def test_no_stored_value_is_left_over() -> None:
    assert list(stored()) == list(SHAPES)


@pytest.mark.parametrize("name", ["1000S162-54", "1400S162-118", "7.25 x 1.9 x 0.8 x 0.08, R 0.25"])
def test_live_finite_element_run(name: str) -> None:
    pytest.importorskip("sectionproperties")
    assert _differing(SHAPES[name], run(SHAPES[name], facets=16, meshes_in_wall=1.0), WITHIN_LIVE) == {}
