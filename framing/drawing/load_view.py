"""The scale along a truck's deck, and words that fit into a box on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from framing.drawing.labels import TEXT
from framing.drawing.load_words import LoadWords
from framing.drawing.svg import text_width
from framing.engine.floor import Units
from framing.engine.trucks.figures import TruckFigures

WIDTH: Final = 186.0
LEFT: Final = 17.0
LINE: Final = 4.2
_RIGHT: Final = 1.0


@dataclass(frozen=True, slots=True)
class LoadView:
    """Sixteenths along the deck to millimetres on paper; what overhangs is within the width. With units and words."""

    truck: TruckFigures
    units: Units
    words: LoadWords
    factor: float

    @classmethod
    def of(cls, truck: TruckFigures, units: Units, words: LoadWords) -> LoadView:
        ends = (stack.stack.x_16 + stack.length_16 for stack in truck.stacks)
        longest = max(truck.deck_length_16, *ends, 1)
        return cls(truck, units, words, (WIDTH - LEFT - _RIGHT) / longest)

    def x(self, place_16: float) -> float:
        return LEFT + place_16 * self.factor


def fitting(choices: Iterable[str], width: float) -> str:
    """The first of the texts that fits into a width, in the mono face; "" if none does."""
    return next((text for text in choices if text_width(text, TEXT, mono=True) <= width - 1.5), "")
