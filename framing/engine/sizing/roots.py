"""Roots of what a beam's stretches are made of."""

from __future__ import annotations

from collections.abc import Callable
from math import copysign, sqrt

CLOSE = 1e-9  # part of a segment's length within which a root is found; the last Newton step squares it
NOUGHT = 1e-13  # part of the largest value that rounding leaves of 0


def quadratic(a: float, b: float, c: float) -> tuple[float, ...]:
    """Real roots of a t2 + b t + c, a not 0, without the loss of digits of the textbook formula."""
    inside = b * b - 4 * a * c
    if inside < 0:
        return ()
    q = -(b + copysign(sqrt(inside), b)) / 2
    return (q / a, c / q) if q else (0.0,)


def roots(
    value: Callable[[float], float], rate: Callable[[float], float], places: list[float]
) -> list[float]:
    """Roots where a function changes its sign between places that it is monotone between."""
    values = [value(t) for t in places]
    least = NOUGHT * max(*values, -min(values))
    found = []
    for k in range(len(places) - 1):
        at_a, at_b = values[k], values[k + 1]
        if (at_a < -least and at_b > least) or (at_a > least and at_b < -least):
            found.append(root(value, rate, places[k], places[k + 1], rising=at_a < 0))
    return found


def root(
    value: Callable[[float], float],
    rate: Callable[[float], float],
    low: float,
    high: float,
    *,
    rising: bool,
) -> float:
    """Root between two places of different sign: Newton's step, or half-way where that leaves the bracket."""
    close = CLOSE * (high - low)
    t = (low + high) / 2
    while True:
        here, slope = value(t), rate(t)
        if (here < 0) == rising:
            low = t
        else:
            high = t
        last, t = t, t - here / slope if slope else high
        if t != last and not low < t < high:
            t = (low + high) / 2
        if abs(t - last) <= close:
            return t
