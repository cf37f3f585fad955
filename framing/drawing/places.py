"""Where each counted thing lies on the sketch, so that a page can light it up; pure numbers, no markup.

Hundreds of screws share the few hundred places of their clips: equal shapes are one, which keeps a page small.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from framing.drawing.sketch import sketch_view
from framing.engine.placement import Item, Placed
from framing.engine.result import FloorResult

Shape = tuple[float, ...]
"""(x, y) a spot, (x, y, x, y) a line, (x, y, x, y, 1) a rectangle by two corners; sketch units, one decimal."""

_AREAS = (Item.SHEATHING_CELL, Item.SHEATHING_PANEL)
_CUT_UP = (Item.RIM_STICK, Item.BACKING_SHEET)  # bought stock lies where its pieces lie
_AREA = 1.0


@dataclass(frozen=True, slots=True)
class PlaceMap:
    """Shapes without repeats, and for each id of a member or placed thing the indexes of its shapes."""

    shapes: tuple[Shape, ...]
    indexes: dict[str, tuple[int, ...]]

    def of(self, ids: Iterable[str]) -> tuple[int, ...]:
        """Indexes of all shapes of these ids, each once, in the order met."""
        return tuple(dict.fromkeys(index for name in ids for index in self.indexes[name]))


def place_map(result: FloorResult) -> PlaceMap:
    """Every member and placed thing of a floor on its sketch (`sketch_svg`).

    A thing on a sheathing panel is shown as that panel; a stick or sheet that is cut up as its pieces.
    """
    view = sketch_view(result.plan)[0]
    things = {thing.id: thing for thing in result.placed}
    numbers: dict[Shape, int] = {}

    def number_of(shape: Shape) -> int:
        return numbers.setdefault(shape, len(numbers))

    def own(thing: Placed) -> Shape:
        spots = [view.spot(point) for point in (thing.at, thing.to) if point is not None]
        shape = tuple(round(value, 1) for spot in spots for value in (spot.x, spot.y))
        return (*shape, _AREA) if thing.item in _AREAS and thing.to is not None else shape

    indexes: dict[str, tuple[int, ...]] = {}
    for layout in result.bays:
        for member in layout.members:
            ends = [view.spot(point) for point in member.plan_ends(layout.frame)]
            indexes[member.id] = (number_of(tuple(round(v, 1) for end in ends for v in (end.x, end.y))),)
    for thing in result.placed:
        indexes[thing.id] = tuple(dict.fromkeys(number_of(own(part)) for part in _shown(thing, things)))
    return PlaceMap(tuple(numbers), indexes)


def _shown(thing: Placed, things: dict[str, Placed]) -> list[Placed]:
    """The things whose shapes stand for this one."""
    if thing.item in _CUT_UP:
        return [things[host] for host in thing.host.split(",")]
    host = things.get(thing.host)
    return [host] if host is not None and host.item in _AREAS else [thing]
