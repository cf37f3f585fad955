"""Strings of the outline: openings, inner bearings, corners, overall lengths."""

from __future__ import annotations

from collections.abc import Iterator

from framing.drawing.strings import PAIRS, SIDES, Chain, Side, make_chain, place_on, reach_of
from framing.engine.floor import Support, SupportKind
from framing.engine.geometry import Point
from framing.engine.result import FloorResult


def outline_chains(result: FloorResult) -> list[Chain]:
    """From the outline outwards; overall lengths last."""
    return [*_openings(result), *_bearings(result), *_steps(result), *_overall(result)]


def _openings(result: FloorResult) -> list[Chain]:
    openings = result.plan.openings
    if not openings:
        return []
    x_stops = {c for o in openings for c in (o.rect.low.x_16, o.rect.high.x_16)} | set(reach_of(result, True))
    y_stops = {c for o in openings for c in (o.rect.low.y_16, o.rect.high.y_16)} | set(
        reach_of(result, False)
    )
    return [make_chain(result, "top", "openings", x_stops), make_chain(result, "right", "openings", y_stops)]


def _bearings(result: FloorResult) -> list[Chain]:
    """Outline to the centres of the inner bearings; of a skewed one to both its ends on the outline."""
    stops: dict[Side, set[int]] = {}
    for side, _, level in PAIRS:
        low, high = reach_of(result, level)
        for support in result.plan.supports:
            a, b = place_on(support.start, level), place_on(support.end, level)
            if a == b and low < a < high:
                stops.setdefault(side, {low, high}).add(a)
    for support in result.plan.supports:
        for end in _ends_askew(support):
            for side, place in _seen_from(result, end):
                level = side in ("bottom", "top")
                stops.setdefault(side, set(reach_of(result, level))).add(place)
    return [make_chain(result, side, _bearing_name(result), stops[side]) for side in SIDES if side in stops]


def _ends_askew(support: Support) -> tuple[Point, ...]:
    a, b = support.start, support.end
    return () if a.x_16 == b.x_16 or a.y_16 == b.y_16 else (a, b)


def _seen_from(result: FloorResult, end: Point) -> Iterator[tuple[Side, int]]:
    """The place of a skewed bearing's end on the sides along which the outline runs there."""
    outline = result.plan.outline
    for a, b in zip(outline, outline[1:] + outline[:1], strict=True):
        for side, other_side, level in PAIRS:
            beside = place_on(a, not level) == place_on(b, not level) == place_on(end, not level)
            low, high = sorted((place_on(a, level), place_on(b, level)))
            if beside and low < place_on(end, level) < high:
                first, last = reach_of(result, not level)
                near = place_on(end, not level) - first <= last - place_on(end, not level)
                yield (side if near else other_side), place_on(end, level)


def _bearing_name(result: FloorResult) -> str:
    kinds = {support.kind for support in result.plan.supports}
    if len(kinds) > 1:
        return "bearings"
    return "walls" if SupportKind.WALL in kinds else "beams"


def _steps(result: FloorResult) -> list[Chain]:
    """Corners of the outline between its ends, each on the side that one of them is nearest to."""
    stops: dict[Side, set[int]] = {}
    for low_side, high_side, level in PAIRS:
        low, high = reach_of(result, level)
        near: dict[int, tuple[int, Side]] = {}
        other_low, other_high = reach_of(result, not level)
        for point in result.plan.outline:
            here, other = place_on(point, level), place_on(point, not level)
            if low < here < high:
                choice = min((other - other_low, low_side), (other_high - other, high_side))
                near[here] = min(near.get(here, choice), choice)
        for here, (_, side) in sorted(near.items()):
            stops.setdefault(side, {low, high}).add(here)
    return [make_chain(result, side, "outline", stops[side]) for side in stops]


def _overall(result: FloorResult) -> list[Chain]:
    return [
        make_chain(result, "bottom", "", set(reach_of(result, True)), overall=True),
        make_chain(result, "left", "", set(reach_of(result, False)), overall=True),
    ]
