"""Bearings that joists do not meet (R51)."""

from __future__ import annotations

from tests.engine.layout.builders import lay, rectangle


def test_a_bearing_along_the_joists_changes_nothing() -> None:
    wall = {"id": "W1", "from": [100, 0], "to": [100, 168]}
    assert lay(rectangle(240, 168, supports=[wall])) == lay(rectangle(240, 168))
