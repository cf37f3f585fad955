"""The member to analyse, and what no member can be: a beam on simple supports under line and point loads."""

from __future__ import annotations

from collections.abc import Iterator
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
    """

    supports_in: tuple[float, ...]
    lines: tuple[LineLoad, ...]
    points: tuple[PointLoad, ...] = ()
    low_in: float | None = None
    high_in: float | None = None
    braces_in: tuple[float, ...] = ()

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
    for thing, value in _numbers(model):
        if not -inf < value < inf:
            raise LoadRefused(f"{thing} is {value}; it must be a finite number.")
    _check_supports(model)
    for i, line in enumerate(model.lines):
        _check_line(model, f"Line load {i + 1}", line)
    for i, point in enumerate(model.points):
        thing = f"Point load {i + 1}{f' of {point.source}' if point.source else ''}"
        _check_down(thing, "lb", point.dead_lb, point.live_lb)
        _check_on(model, thing, point.at_in)


def _numbers(model: BeamModel) -> Iterator[tuple[str, float]]:
    """Every number of a model with what it is called."""
    for i, support in enumerate(model.supports_in):
        yield f"Support {i + 1}", support
    for end in (model.low_in, model.high_in):
        yield "An end of the member", end or 0.0
    for brace in model.braces_in:
        yield "A brace of the bottom flange", brace
    for i, line in enumerate(model.lines):
        ends = (line.dead_end_lb_in or 0.0, line.live_end_lb_in or 0.0)
        for value in (line.low_in, line.high_in, line.dead_lb_in, line.live_lb_in, *ends):
            yield f"Line load {i + 1}", value
    for i, point in enumerate(model.points):
        for value in (point.at_in, point.dead_lb, point.live_lb):
            yield f"Point load {i + 1}", value


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


def _check_line(model: BeamModel, thing: str, line: LineLoad) -> None:
    if line.high_in < line.low_in:
        raise LoadRefused(
            f"{thing} runs from {line.low_in:g} to {line.high_in:g} in; its end must not lie before its start."
        )
    ends = (line.dead_end_lb_in or 0.0, line.live_end_lb_in or 0.0)
    _check_down(thing, "lb per in", line.dead_lb_in, line.live_lb_in, *ends)
    _check_on(model, thing, line.low_in)
    _check_on(model, thing, line.high_in)


def _check_down(thing: str, unit: str, *values: float) -> None:
    if min(values) < 0:
        raise LoadRefused(f"{thing} is {min(values):g} {unit}; it must not be under 0.")


def _check_on(model: BeamModel, thing: str, at_in: float) -> None:
    """A place past the tip of an overhang is refused; past a bearing it goes into the bearing."""
    low, high = model.ends_in
    if at_in < low < model.supports_in[0]:
        raise LoadRefused(f"{thing} reaches {at_in:g} in; the member starts at {low:g} in.")
    if at_in > high > model.supports_in[-1]:
        raise LoadRefused(f"{thing} reaches {at_in:g} in; the member ends at {high:g} in.")
