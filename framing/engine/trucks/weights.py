"""Where a load presses on the deck: each thing's weight is even along its length."""

from __future__ import annotations

from collections.abc import Sequence
from math import isclose

Part = tuple[int, int, float]
"""Front end from the headboard and length in sixteenths, weight in lb."""


def pressed(parts: Sequence[Part], low_16: float, high_16: float) -> float:
    """Pounds between two places along the deck."""
    return sum(
        weight_lb * max(0.0, min(high_16, x_16 + length_16) - max(low_16, x_16)) / length_16
        for x_16, length_16, weight_lb in parts
    )


def centre_16(parts: Sequence[Part]) -> int:
    """Centre of weight from the headboard, to a sixteenth; 0 without weight."""
    total_lb = sum(weight_lb for _, _, weight_lb in parts)
    if isclose(total_lb, 0):
        return 0
    moment = sum(weight_lb * (x_16 + length_16 / 2) for x_16, length_16, weight_lb in parts)
    return round(moment / total_lb)
