"""Intervals and exact roots for fit-out; lengths in sixteenths, whole numbers kept as ints."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import lru_cache
from math import isqrt

from framing.engine.lean import Number, whole

Interval = tuple[Number, Number]
_ROOT_BITS = 40


def subtract(span: Interval, holes: Iterable[Interval]) -> tuple[Interval, ...]:
    """What is left of an interval after taking away others; pieces of no length are dropped."""
    left: list[Interval] = [span]
    for low, high in sorted(holes):
        kept: list[Interval] = []
        for a, b in left:
            if high <= a or low >= b:
                kept.append((a, b))
                continue
            if a < low:
                kept.append((a, low))
            if high < b:
                kept.append((high, b))
        left = kept
    return tuple(left)


def clip(span: Interval, to: Interval) -> Interval | None:
    """The common part of two intervals, None where they share no length."""
    low, high = max(span[0], to[0]), min(span[1], to[1])
    return (low, high) if low < high else None


def union(spans: Sequence[Interval]) -> tuple[Interval, ...]:
    """Intervals merged where they touch or overlap, low to high."""
    merged: list[Interval] = []
    for low, high in sorted(spans):
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return tuple(merged)


def middle(low: Number, high: Number) -> int:
    """Half-way between two positions, to the nearest whole sixteenth, halves up."""
    return (low + high + 1) // 2


@lru_cache(maxsize=256)
def between_evenly(low: Number, high: Number, most: int) -> tuple[Number, ...]:
    """As few positions strictly between `low` and `high` as keep the equal spaces at or under `most`."""
    spaces = max(1, -int(-(high - low) // most))
    return tuple(low + whole(Fraction(i * (high - low)) / spaces) for i in range(1, spaces))


@lru_cache(maxsize=256)
def root(square: Fraction) -> Fraction:
    """Square root: exact where it is a fraction, else cut off below 1 / 2**40 of its denominator."""
    over, under = square.numerator, square.denominator
    exact = Fraction(isqrt(over), isqrt(under))
    if exact * exact == square:
        return exact
    return Fraction(isqrt(over * under << 2 * _ROOT_BITS), under << _ROOT_BITS)


def root_up(square: int) -> int:
    """The least whole number whose square is no less."""
    found = isqrt(square)
    return found if found * found == square else found + 1
