"""One dimension string outside the outline: its side, its parts and what they say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from framing.engine.floor import Units
from framing.engine.geometry import Point
from framing.engine.result import FloorResult
from framing.engine.units import format_length

Side = Literal["bottom", "left", "top", "right"]
SIDES: tuple[Side, ...] = ("bottom", "left", "top", "right")
OPPOSITE: dict[Side, Side] = {"bottom": "top", "top": "bottom", "left": "right", "right": "left"}
PAIRS: tuple[tuple[Side, Side, bool], ...] = (("bottom", "top", True), ("left", "right", False))


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a string, in plan sixteenths on the string's axis; without text it is not measured."""

    low_16: int
    high_16: int
    text: str
    ticks_16: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Chain:
    """One dimension string. `name` says what it measures and stands at its foot."""

    side: Side
    name: str
    parts: tuple[Part, ...]
    overall: bool = False

    @property
    def level(self) -> bool:
        return self.side in ("bottom", "top")


def short_length(length_16: int, units: Units) -> str:
    """A length as it stands in a string: millimetres without their sign, which the title strip gives."""
    return format_length(length_16, units).removesuffix(" mm")


def make_chain(
    result: FloorResult, side: Side, name: str, stops: Iterable[int], overall: bool = False
) -> Chain:
    units = result.plan.units
    places = sorted(stops)
    parts = (Part(a, b, short_length(b - a, units)) for a, b in pairwise(places))
    return Chain(side, name, tuple(parts), overall)


def reach_of(result: FloorResult, level: bool) -> tuple[int, int]:
    values = [place_on(p, level) for p in result.plan.outline]
    return min(values), max(values)


def place_on(point: Point, level: bool) -> int:
    return point.x_16 if level else point.y_16
