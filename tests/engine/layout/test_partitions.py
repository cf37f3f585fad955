"""A bearing partition that no joist can stand under (R8), in inches."""

from __future__ import annotations

from typing import Any

import pytest

from framing.engine.errors import FloorRefused
from tests.engine.layout.builders import document, lay, plan_of


def _lay(high: Any) -> Any:
    partition = {"id": "P1", "from": [104, 0], "to": [104, high], "bearing": True}
    return lay(plan_of(document([[0, 0], [240, 0], [240, 168], [0, 168]], partitions=[partition])))


def test_a_partition_wholly_over_an_outside_wall_stands_on_no_span() -> None:
    # The wall is 5 1/2 wide; a sixteenth more and the partition stands on the span.
    with pytest.raises(FloorRefused, match="P1 stands on no joist span") as caught:
        _lay("5 1/2")
    assert caught.value.problems[0].place == "partitions.0"
    assert any(member.plies == 2 for member in _lay("5 9/16").members)
