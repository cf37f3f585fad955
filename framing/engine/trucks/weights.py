"""Where a load presses on the deck: each thing's weight is even along its length, and across its lanes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isclose

from framing.engine.trucks.facts import FOOT

Part = tuple[int, int, float]
"""Front end from the headboard and length in sixteenths, weight in lb."""


@dataclass(frozen=True, slots=True)
class Press:
    """A load on its deck; see `TruckFigures` for what each is."""

    centre_16: int
    quarters_lb: tuple[float, float, float, float]
    feet_lb: tuple[float, ...]
    behind_lb: float


def press_of(parts: Sequence[Part], deck_16: int) -> Press:
    """Where a load presses on a deck of a length."""
    first, second, third, last = (pressed(parts, deck_16 * n / 4, deck_16 * (n + 1) / 4) for n in range(4))
    return Press(
        centre_16(parts),
        (first, second, third, last),
        tuple(pressed(parts, at, min(at + FOOT, deck_16)) for at in range(0, deck_16, FOOT)),
        pressed(parts, deck_16, inf),
    )


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


def sides_lb(across: Sequence[tuple[int, int, float]], lanes: int) -> tuple[float, float]:
    """Pounds on the driver's half of the deck's width and on the other; `across`: first lane, lanes, weight in lb."""
    near = 0.0
    for lane, wide, weight_lb in across:
        near += weight_lb * min(1.0, max(0.0, (lanes / 2 - (lane - 1)) / wide))
    return near, sum(weight_lb for _, _, weight_lb in across) - near
