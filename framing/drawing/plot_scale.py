"""Axes of plots: round ticks, the words on them, and which labels of a row have room. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, isfinite, log10

from framing.drawing.paper import Box

COUNT, PERCENT = "", "%"
_NICE = (1.0, 2.0, 2.5, 5.0, 10.0)
_THIN = (1, 2, 3, 4, 6, 12, 24, 60)
_SHORT = ((1e9, "B"), (1e6, "M"), (1e3, "k"))
_SLACK = 1e-9  # what floating point may add to a whole number of steps
MINUS = "\N{MINUS SIGN}"


def nice_step(span: float, most: int, *, whole: bool = False) -> float:
    """The least of 1, 2, 2.5 and 5 times a power of ten that parts `span` into at most `most` steps.

    With `whole` it is a whole number. Raises ValueError where the span is not above 0 or no number.
    """
    if not isfinite(span) or span <= 0 or most < 1:
        raise ValueError(f"a span of {span} can't be parted into {most} steps")
    least = span / most
    power = 10.0 ** floor(log10(least))
    for factor in _NICE:
        step = factor * power
        if step * (1 + _SLACK) >= least and not (whole and step != round(step)):
            return step
    return max(1.0, power * 20)  # whole numbers only, of a step below 1


@dataclass(frozen=True, slots=True)
class Scale:
    """From `low` to `high` by whole steps; 0 is always on it."""

    low: float
    high: float
    step: float

    @property
    def ticks(self) -> tuple[float, ...]:
        first, last = round(self.low / self.step), round(self.high / self.step)
        return tuple(number * self.step for number in range(first, last + 1))

    def share(self, value: float) -> float:
        """Where a value stands, 0 at the low end and 1 at the high end."""
        return (value - self.low) / (self.high - self.low)


def scale_of(values: Iterable[float], *, most: int = 5, whole: bool = False) -> Scale:
    """The scale that holds all values and 0 in about `most` round steps; without any value from 0 to 1.

    Raises ValueError for what is no finite number.
    """
    found = [0.0, *values]
    if not all(isfinite(value) for value in found):
        raise ValueError("a plot has finite values only")
    low, high = min(found), max(found)
    if low == high:
        return Scale(0.0, 1.0, 1.0)
    step = nice_step(high - low, most, whole=whole)
    return Scale(floor(low / step + _SLACK) * step, ceil(high / step - _SLACK) * step, step)


def short_number(value: float) -> str:
    """A number in few signs: 950, 2.5k, 1.25M, 3B; two decimals at most, and no sign before a 0."""
    size, letter = abs(value), ""
    for unit, sign in _SHORT:
        if size >= unit * 0.999995:  # 999,999 is 1M, not 1,000k
            size, letter = size / unit, sign
            break
    words = f"{_plain(size)}{letter}"
    return f"{MINUS}{words}" if value < 0 and words != "0" else words


def _plain(value: float) -> str:
    text = f"{value:,.2f}"
    return text.rstrip("0").rstrip(".")


def tick_words(value: float, unit: str) -> str:
    """A tick as it is written: a share as per cent, money after its sign, a count as it is."""
    if unit == PERCENT:
        return f"{short_number(value * 100)} %"
    words = short_number(value)
    return f"{MINUS}{unit}{words[1:]}" if words.startswith(MINUS) else f"{unit}{words}"


def step_with_room(boxes: Sequence[Box], firsts: Sequence[int], gap: float) -> tuple[int, int]:
    """Every which label of a row is written, and the first one, so that none comes nearer than `gap` to the next.

    Args:
        boxes: where each label would stand, from left to right.
        firsts: labels that had better be among them (where a year begins), the last one that can be met wins.
    """
    anchor = firsts[-1] if firsts else 0
    for step in _THIN:
        kept = boxes[anchor % step :: step]
        if all(a.right + gap <= b.left for a, b in pairwise(kept)):
            return step, anchor % step
    return len(boxes), min(anchor, len(boxes) - 1)
