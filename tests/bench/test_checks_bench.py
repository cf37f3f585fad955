"""How long the floor checks take on the largest documents that are read, against a house designed in full."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from functools import partial

import pytest

from framing.engine import design_floor, load_catalogue
from framing.engine.errors import FloorRefused
from framing.engine.floor import FloorPlan
from framing.engine.floor_checks import check_floor
from framing.engine.practice import Practice
from tests.bench.test_engine_bench import forget
from tests.engine.floor_checks.asking import drawn
from tests.engine.floor_checks.test_large import LARGEST
from tests.engine.layout.builders import sample

pytestmark = pytest.mark.bench
PRACTICE = Practice()


def check(plan: FloorPlan) -> None:
    with suppress(FloorRefused):
        check_floor(plan, PRACTICE)


@pytest.mark.parametrize("name", LARGEST)
def test_largest_documents_against_a_house(name: str, measure: Callable[..., float]) -> None:
    house = partial(design_floor, sample("house"), load_catalogue(), PRACTICE)
    ratio = measure(
        f"checks of the largest floor, {name}",
        partial(check, drawn(**LARGEST[name])),
        "house in full",
        house,
        before=forget,
    )
    assert ratio < 200
