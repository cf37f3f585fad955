"""What the dimension strings outside the outline measure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from framing.drawing.outline_chains import outline_chains
from framing.drawing.strings import OPPOSITE, SIDES, Chain, Part, Side, place_on, reach_of, short_length
from framing.engine.floor import Units
from framing.engine.members import BayLayout, Span
from framing.engine.regions import regions_of
from framing.engine.result import FloorResult
from framing.engine.units import round_half_up


def find_chains(result: FloorResult) -> tuple[Chain, ...]:
    """All strings of a floor, from the outline outwards on each side; overall lengths last."""
    spacings = [chain for layout in result.bays for chain in _spacing(layout, result)]
    clears = [chain for layout in result.bays for chain in _clear(layout, result)]
    chains: list[Chain] = [*_shared(spacings), *_shared(clears)]
    return tuple(chain for chain in (*chains, *outline_chains(result)) if chain.parts)


def _shared(chains: Iterable[Chain]) -> list[Chain]:
    """Strings of one side that lie behind one another become one; bays of a row share theirs."""
    found: list[Chain] = []
    for chain in sorted(
        (c for c in chains if c.parts), key=lambda c: (SIDES.index(c.side), c.parts[0].low_16)
    ):
        for index, other in enumerate(found):
            gap = chain.parts[0].low_16 - other.parts[-1].high_16
            if other.side == chain.side and gap >= 0:
                between = (Part(other.parts[-1].high_16, chain.parts[0].low_16, ""),) if gap else ()
                found[index] = replace(other, parts=(*other.parts, *between, *chain.parts))
                break
        else:
            found.append(chain)
    return found


def _bay_reach(result: FloorResult, layout: BayLayout, level: bool) -> tuple[int, int]:
    """How far a bay's ground reaches in x (level) or y."""
    ring = next(region.ring for region in regions_of(result.plan) if region.bay == layout.bay.id)
    values = [place_on(p, level) for p in ring]
    return min(values), max(values)


def _spacing(layout: BayLayout, result: FloorResult) -> list[Chain]:
    """The bay's first edge to its first station, the run of equal spaces, its last station to its far edge.

    The shifted line of a lapped floor has its own string, on the other side, where it has stations that the
    first line has not (R5).
    """
    level = layout.frame.axis == "y"
    near = _near(result, layout, level)
    straight, shifted = (_stations(layout, shifted=shifted) for shifted in (False, True))
    chains = [_run(layout, result, near, straight)]
    if not set(shifted) <= set(straight):
        chains.append(_run(layout, result, OPPOSITE[near], shifted))
    return chains


def _stations(layout: BayLayout, *, shifted: bool) -> dict[int, int]:
    """The stations of a line that members stand on as R3 and R5 set them, and how far across they are."""
    found: dict[int, int] = {}
    for member in layout.members:
        station = member.station
        if station is not None and member.shifted == shifted and member.runs == "along":
            place = _grid(layout, station) + (member.width_16 // member.plies if shifted else 0)
            if member.centre_16 == place:
                found[station] = place
    return found


def _run(layout: BayLayout, result: FloorResult, side: Side, stations: Mapping[int, int]) -> Chain:
    if not stations:
        return Chain(side, "joists", ())
    frame, units = layout.frame, result.plan.units
    sign = -1 if frame.reverse else 1
    first, last = (frame.start_16 + sign * stations[pick(stations)] for pick in (min, max))
    low, high = sorted((first, last))
    spaces = max(stations) - min(stations)
    edge_low, edge_high = _bay_reach(result, layout, frame.axis == "y")
    parts = [Part(edge_low, low, short_length(low - edge_low, units))] if low > edge_low else []
    if spaces:
        spacing = _spacing_text(layout.bay.spacing_16, units)
        words = f"{spaces} @ {spacing} = {short_length(high - low, units)}"
        parts.append(Part(low, high, words if spaces > 1 else short_length(high - low, units)))
    if edge_high > high:
        parts.append(Part(high, edge_high, short_length(edge_high - high, units)))
    return Chain(side, "joists", tuple(parts))


def _near(result: FloorResult, layout: BayLayout, level: bool) -> Side:
    """The side that the bay lies nearest to, below or at the left where it is the same."""
    low, high = reach_of(result, not level)
    bay_low, bay_high = _bay_reach(result, layout, not level)
    sides: tuple[Side, Side] = ("bottom", "top") if level else ("left", "right")
    return sides[0] if bay_low - low <= high - bay_high else sides[1]


def _grid(layout: BayLayout, station: int) -> int:
    return round_half_up(layout.bay.offset_16 + station * layout.bay.spacing_16)


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
    chains = []
    for span in layout.spans:
        lines = {
            line.along_16 for line in result.lines if line.bay == layout.bay.id and line.span == span.index
        }
        inside = {place for place in lines if span.low_face_16 < place < span.high_face_16}
        stops = sorted({span.low_face_16, span.high_face_16} | inside)
        chains.append(
            Chain(_clear_side(layout, span, result, level), "clear", tuple(_measured(stops, units)))
        )
    return chains


def _measured(stops: list[int], units: Units) -> list[Part]:
    """Parts between the stops; three or more equal ones are one part with a count and its ticks."""
    sizes = {b - a for a, b in pairwise(stops)}
    if len(sizes) == 1 and len(stops) > 3:
        whole = stops[-1] - stops[0]
        each = short_length(sizes.pop(), units)
        words = f"{len(stops) - 1} @ {each} = {short_length(whole, units)}"
        return [Part(stops[0], stops[-1], words, tuple(stops[1:-1]))]
    return [Part(a, b, short_length(b - a, units)) for a, b in pairwise(stops)]


def _clear_side(layout: BayLayout, span: Span, result: FloorResult, level: bool) -> Side:
    """The side next to the strip where the span is largest, so that an L is measured where it is largest."""
    strips = [strip for strip in span.reach if strip[3] - strip[2] == span.clear_16]
    low, high = reach_of(result, not level)
    if strips:
        across_low, across_high, *_ = strips[0]
        middle = layout.frame.point((across_low + across_high) // 2, 0)
        place = middle.y_16 if level else middle.x_16
        if across_high - across_low < (high - low) * 0.9 and place * 2 > low + high:
            return "top" if level else "right"
    return "bottom" if level else "left"
