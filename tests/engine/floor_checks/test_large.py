"""The largest documents that are read are answered with a bounded list; how long it takes is a bench."""

from __future__ import annotations

from math import cos, sin, tau
from typing import Any

import pytest

from framing.engine.errors import FloorRefused
from framing.engine.floor_checks import check_floor
from tests.engine.floor_checks.asking import PRACTICE, bay, box, drawn

ROUND = [[round(5000 + 4800 * f(k * tau / 400), 3) for f in (cos, sin)] for k in range(400)]
TANGLE = [[k * 7919 % 9000, k * 104_729 % 9001] for k in range(400)]
WALLS = [
    {"id": f"W{k}", "from": [1000 + k, 3000 + 20 * k], "to": [9000 - k, 3003 + 20 * k]} for k in range(200)
]
BEAMS = [
    {"id": f"B{k}", "kind": "flush_beam", "from": [1000, 3000 + 20 * k], "to": [9000, 3000 + 20 * k]}
    for k in range(200)
]
PARTITIONS = [
    {"id": f"P{k}", "from": [1000 + k, 3000 + 20 * k], "to": [9000 - k, 3300 + 20 * k]} for k in range(200)
]
OPENINGS = [{"id": f"O{k}", "corner": [2000 + 30 * k, 3000 + 20 * k], "size": [20, 15]} for k in range(200)]
BAYS = [bay(f"A{k}", box(200 * k, 0, 200 * k + 200, 10_000)) for k in range(1, 49)]


LARGEST: dict[str, dict[str, Any]] = {
    "tangle": {"outline": TANGLE},
    "round": {"outline": ROUND, "supports": WALLS, "openings": OPENINGS, "partitions": PARTITIONS},
    "bays": {"outline": ROUND, "bays": BAYS, "supports": WALLS, "openings": OPENINGS},
    "beams": {"outline": ROUND, "bays": BAYS, "supports": BEAMS},
    "equal bays": {"outline": ROUND, "bays": [bay(f"A{k}", None) for k in range(50)]},
}


@pytest.mark.parametrize("name", LARGEST)
def test_the_largest_floors_are_answered(name: str) -> None:
    with pytest.raises(FloorRefused) as caught:
        check_floor(drawn(**LARGEST[name]), PRACTICE)
    assert 1 <= len(caught.value.problems) <= 1000
