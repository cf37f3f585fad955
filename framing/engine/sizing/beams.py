"""The member to analyse, and what no member can be: a beam on simple supports under line and point loads."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import inf

from framing.engine.errors import LoadRefused
from framing.engine.loads import LineLoad, PointLoad


@dataclass(frozen=True, slots=True)
class BeamModel:
    """A member to analyse; positions in inches on its axis, loads down positive.

    Attributes:
        supports_in: two or more, rising.
        lines, points: loads; beyond an outer support without an overhang they go into the bearing.
        low_in, high_in: ends of the member where it runs past its outer supports; None = it ends there.
        braces_in: where the bottom flange is held, besides the supports.
        top_free_in: the longest stretch of top flange that nothing holds; 0 where the sheathing holds all of it.
    """

    supports_in: tuple[float, ...]
    lines: tuple[LineLoad, ...]
    points: tuple[PointLoad, ...] = ()
    low_in: float | None = None
    high_in: float | None = None
    braces_in: tuple[float, ...] = ()
    top_free_in: float = 0.0

    @property
    def ends_in(self) -> tuple[float, float]:
        """Where the member ends: its overhangs' tips, else its outer supports."""
        low = self.supports_in[0] if self.low_in is None else self.low_in
        return low, self.supports_in[-1] if self.high_in is None else self.high_in


def check_model(model: BeamModel) -> None:
    """Refuse what no member can be.

    Raises:
        LoadRefused: fewer than two supports, a number that is not finite, supports or member ends out of
            order, a load that pulls up, runs backwards or lies off an overhang.
    """
    for i, support in enumerate(model.supports_in):
        _check_finite("Support", i, support)
    _check_finite("End of the member", 0, *(end for end in (model.low_in, model.high_in) if end is not None))
    _check_finite("Brace of the bottom flange", 0, *model.braces_in)
    _check_finite("Free top flange", 0, model.top_free_in)
    _check_supports(model)
    for i, line in enumerate(model.lines):
        _check_line(model, i, line)
    for i, point in enumerate(model.points):
        _check_finite("Point load", i, point.at_in, point.dead_lb, point.live_lb)
        _check_down("Point load", i, point.dead_lb, point.live_lb)
        _check_on(model, "Point load", i, point.at_in)


def _check_finite(thing: str, index: int, *values: float) -> None:
    for value in values:
        if not -inf < value < inf:
            raise LoadRefused(f"{thing} {index + 1} has {value}; it must be a finite number.")


def _check_supports(model: BeamModel) -> None:
    supports = model.supports_in
    if len(supports) < 2:
        raise LoadRefused(f"The member has {len(supports)} supports; at least 2 are needed.")
    for i, (a, b) in enumerate(pairwise(supports)):
        if b <= a:
            raise LoadRefused(f"Span {i + 1} is {b - a:g} in long; it must be longer than 0.")
    for name, overhang in (
        ("low", supports[0] - model.ends_in[0]),
        ("high", model.ends_in[1] - supports[-1]),
    ):
        if overhang < 0:
            raise LoadRefused(
                f"The overhang at the {name} end is {overhang:g} in long; it must not be under 0."
            )


def _check_line(model: BeamModel, index: int, line: LineLoad) -> None:
    dead_end = 0.0 if line.dead_end_lb_in is None else line.dead_end_lb_in
    live_end = 0.0 if line.live_end_lb_in is None else line.live_end_lb_in
    parts = (line.dead_lb_in, line.live_lb_in, dead_end, live_end)
    _check_finite("Line load", index, line.low_in, line.high_in, *parts)
    if line.high_in < line.low_in:
        raise LoadRefused(
            f"Line load {index + 1} runs from {line.low_in:g} to {line.high_in:g} in; it must not run backwards."
        )
    _check_down("Line load", index, *parts)
    _check_on(model, "Line load", index, line.low_in, line.high_in)


def _check_down(thing: str, index: int, *values: float) -> None:
    least = min(values)
    if least < 0:
        raise LoadRefused(f"{thing} {index + 1} has {least:g}; a load must not be under 0.")


def _check_on(model: BeamModel, thing: str, index: int, *places: float) -> None:
    """A place past the tip of an overhang is refused; past a bearing it goes into the bearing."""
    low, high = model.ends_in
    for at in places:
        if at < low < model.supports_in[0]:
            raise LoadRefused(f"{thing} {index + 1} reaches {at:g} in; the member starts at {low:g} in.")
        if at > high > model.supports_in[-1]:
            raise LoadRefused(f"{thing} {index + 1} reaches {at:g} in; the member ends at {high:g} in.")
