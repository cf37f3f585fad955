"""What the dimension strings outside the outline measure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from framing.engine.floor import SupportKind, Units
from framing.engine.geometry import Point
from framing.engine.members import BayLayout
from framing.engine.result import FloorResult
from framing.engine.units import format_length, round_half_up

Side = Literal["bottom", "left", "top", "right"]
SIDES: tuple[Side, ...] = ("bottom", "left", "top", "right")
_PAIRS: tuple[tuple[Side, Side, bool], ...] = (("bottom", "top", True), ("left", "right", False))


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


def find_chains(result: FloorResult) -> tuple[Chain, ...]:
    """All strings of a floor, from the outline outwards on each side; overall lengths last."""
    chains: list[Chain] = []
    for layout in result.bays:
        chains.extend(_spacing(layout, result))
        chains.extend(_clear(layout, result))
    chains.extend(_openings(result))
    chains.extend(_bearings(result))
    chains.extend(_steps(result))
    chains.extend(_overall(result))
    return tuple(chain for chain in chains if chain.parts)


def _reach(result: FloorResult, level: bool) -> tuple[int, int]:
    values = [_here(p, level) for p in result.plan.outline]
    return min(values), max(values)


def _chain(result: FloorResult, side: Side, name: str, stops: set[int], overall: bool = False) -> Chain:
    units = result.plan.units
    places = sorted(stops)
    parts = (Part(a, b, short_length(b - a, units)) for a, b in pairwise(places))
    return Chain(side, name, tuple(parts), overall)


def _spacing(layout: BayLayout, result: FloorResult) -> list[Chain]:
    """Outline to first station, the run of equal spaces, last station to outline."""
    frame, bay, units = layout.frame, layout.bay, result.plan.units
    stations = sorted(
        {m.station for m in layout.members if m.station is not None and _on_grid(layout, m.station)}
    )
    if not stations:
        return []
    side: Side = "bottom" if frame.axis == "y" else "left"
    sign = -1 if frame.reverse else 1
    first, last = (frame.start_16 + sign * _grid(layout, station) for station in (stations[0], stations[-1]))
    low, high = sorted((first, last))
    spaces = stations[-1] - stations[0]
    edge_low, edge_high = _reach(result, frame.axis == "y")
    parts = [Part(edge_low, low, short_length(low - edge_low, units))] if low > edge_low else []
    if spaces:
        spacing = _spacing_text(bay.spacing_16, units)
        words = f"{spaces} @ {spacing} = {short_length(high - low, units)}"
        parts.append(Part(low, high, words if spaces > 1 else short_length(high - low, units)))
    if edge_high > high:
        parts.append(Part(high, edge_high, short_length(edge_high - high, units)))
    return [Chain(side, "joists", tuple(parts))]


def _grid(layout: BayLayout, station: int) -> int:
    return round_half_up(layout.bay.offset_16 + station * layout.bay.spacing_16)


def _on_grid(layout: BayLayout, station: int) -> bool:
    return any(
        m.centre_16 == _grid(layout, station)
        for m in layout.members
        if m.station == station and not m.shifted
    )


def _spacing_text(spacing_16: Fraction, units: Units) -> str:
    """A spacing exactly: 19.2 in is no whole sixteenth."""
    inches = spacing_16 / 16
    if units == "metric":
        return str(round_half_up(inches * Fraction(254, 10)))
    return f'{float(inches):g}"'


def _clear(layout: BayLayout, result: FloorResult) -> list[Chain]:
    """Clear distances: support face, bridging lines, support face, span by span."""
    level = layout.frame.axis == "x"
    units = result.plan.units
    parts: list[Part] = []
    for span in sorted(layout.spans, key=lambda span: span.low_face_16):
        lines = {
            line.along_16 for line in result.lines if line.bay == layout.bay.id and line.span == span.index
        }
        stops = sorted({span.low_face_16, span.high_face_16} | lines)
        if parts and parts[-1].high_16 < stops[0]:
            parts.append(Part(parts[-1].high_16, stops[0], ""))
        parts.extend(_measured(stops, units))
    return [Chain(_clear_side(layout, result, level), "clear", tuple(parts))]


def _measured(stops: list[int], units: Units) -> list[Part]:
    """Parts between the stops; three or more equal ones are one part with a count and its ticks."""
    sizes = {b - a for a, b in pairwise(stops)}
    if len(sizes) == 1 and len(stops) > 3:
        whole = stops[-1] - stops[0]
        each = short_length(sizes.pop(), units)
        words = f"{len(stops) - 1} @ {each} = {short_length(whole, units)}"
        return [Part(stops[0], stops[-1], words, tuple(stops[1:-1]))]
    return [Part(a, b, short_length(b - a, units)) for a, b in pairwise(stops)]


def _clear_side(layout: BayLayout, result: FloorResult, level: bool) -> Side:
    """The side next to the strip with the largest span, so that an L is measured where it is largest."""
    strips = [strip for span in layout.spans for strip in span.reach if strip[3] - strip[2] == span.clear_16]
    low, high = _reach(result, not level)
    if strips:
        across_low, across_high, *_ = strips[0]
        middle = layout.frame.point((across_low + across_high) // 2, 0)
        place = middle.y_16 if level else middle.x_16
        if across_high - across_low < (high - low) * 0.9 and place * 2 > low + high:
            return "top" if level else "right"
    return "bottom" if level else "left"


def _openings(result: FloorResult) -> list[Chain]:
    openings = result.plan.openings
    if not openings:
        return []
    x_stops = {c for o in openings for c in (o.rect.low.x_16, o.rect.high.x_16)} | set(_reach(result, True))
    y_stops = {c for o in openings for c in (o.rect.low.y_16, o.rect.high.y_16)} | set(_reach(result, False))
    return [_chain(result, "top", "openings", x_stops), _chain(result, "right", "openings", y_stops)]


def _bearings(result: FloorResult) -> list[Chain]:
    """Outline to the centres of the interior bearings that are parallel to an axis."""
    chains: list[Chain] = []
    for side, _, level in _PAIRS:
        low, high = _reach(result, level)
        stops: set[int] = set()
        for support in result.plan.supports:
            a, b = _here(support.start, level), _here(support.end, level)
            if a == b and low < a < high:
                stops.add(a)
        if stops:
            chains.append(_chain(result, side, _bearing_name(result), stops | {low, high}))
    return chains


def _bearing_name(result: FloorResult) -> str:
    kinds = {support.kind for support in result.plan.supports}
    if len(kinds) > 1:
        return "bearings"
    return "walls" if SupportKind.WALL in kinds else "beams"


def _steps(result: FloorResult) -> list[Chain]:
    """Corners of the outline between its ends, each on the side that one of them is nearest to."""
    stops: dict[Side, set[int]] = {}
    for low_side, high_side, level in _PAIRS:
        low, high = _reach(result, level)
        near: dict[int, tuple[int, Side]] = {}
        other_low, other_high = _reach(result, not level)
        for point in result.plan.outline:
            here, other = _here(point, level), _here(point, not level)
            if low < here < high:
                choice = min((other - other_low, low_side), (other_high - other, high_side))
                near[here] = min(near.get(here, choice), choice)
        for here, (_, side) in sorted(near.items()):
            stops.setdefault(side, {low, high}).add(here)
    return [_chain(result, side, "outline", stops[side]) for side in stops]


def _here(point: Point, level: bool) -> int:
    return point.x_16 if level else point.y_16


def _overall(result: FloorResult) -> list[Chain]:
    return [
        _chain(result, "bottom", "", set(_reach(result, True)), overall=True),
        _chain(result, "left", "", set(_reach(result, False)), overall=True),
    ]
