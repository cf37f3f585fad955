"""What the floors of `test_real_*` share: plan corners, bills read back in inches, boxes bought."""

from __future__ import annotations

from typing import TYPE_CHECKING

from framing.engine.placement import Item
from tests.engine.hand.floors_on_paper import count, inches

if TYPE_CHECKING:
    from framing.engine.result import FloorResult

FASTENERS = ("steel_screw", "wood_screw", "bearing_nail", "strap_screw")
_BY_THE_LINE = ("sheathing_nail", "adhesive_tube")  # worked only where a floor's paper says so


def rectangle(width: int, depth: int, across: int = 0, along: int = 0) -> list[list[str]]:
    """Corners in inches, counter-clockwise from the low one at (across, along)."""
    right, top = str(across + width), str(along + depth)
    return [[str(across), str(along)], [right, str(along)], [right, top], [str(across), top]]


def bill(floor: FloorResult) -> dict[str, float]:
    """Exact quantity of every bill line but sheathing nails and adhesive: pieces, or inches of a length."""
    return {
        entry.code: inches(entry.exact) if entry.unit == "length_16" else entry.exact
        for entry in floor.bill
        if entry.code not in _BY_THE_LINE
    }


def boxes(floor: FloorResult) -> dict[str, int]:
    """Boxes bought of the fasteners of steel and wood (R31)."""
    return {entry.code: entry.bought for entry in floor.bill if entry.code in FASTENERS}


def cells(floor: FloorResult) -> int:
    """Panel pieces laid (R30)."""
    return sum(count(floor, Item.SHEATHING_CELL).values())
