"""Truck loads by weight alone (R47, first pass): deck length, stacks and stops are not yet looked at.

Bundles are loaded before packs. Heaviest first into the first truck with room; where that takes more trucks
than the weight asks for, each into the fullest truck that still has room is tried too. A thing over the
payload rides alone and its load shows the weight.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil

from framing.engine.practice import Practice
from framing.engine.result import Bundle, Carton, TruckLoad


@dataclass(slots=True)
class _Truck:
    weight_100: int = 0
    bundles: list[int] = field(default_factory=list)
    cartons: list[int] = field(default_factory=list)


def load_trucks(
    bundles: Sequence[Bundle], cartons: Sequence[Carton], practice: Practice
) -> tuple[TruckLoad, ...]:
    """Loads with indexes into `bundles` and `cartons`, each on one truck. Nothing to load, no trucks."""
    limit_100 = round(practice.truck_payload_lb * 100)
    loads = _loaded(bundles, cartons, limit_100, fullest_first=False)
    if len(loads) > trucks_by_weight(bundles, cartons, practice):
        loads = min(loads, _loaded(bundles, cartons, limit_100, fullest_first=True), key=len)
    return tuple(
        TruckLoad(number, tuple(sorted(t.bundles)), tuple(sorted(t.cartons)), t.weight_100 / 100)
        for number, t in enumerate(loads, start=1)
    )


def trucks_by_weight(bundles: Sequence[Bundle], cartons: Sequence[Carton], practice: Practice) -> int:
    """The fewest trucks that the total weight allows; no plan goes below it."""
    things: list[Bundle | Carton] = [*bundles, *cartons]
    total_100 = sum(round(thing.weight_lb * 100) for thing in things)
    return ceil(total_100 / round(practice.truck_payload_lb * 100))


def _loaded(
    bundles: Sequence[Bundle], cartons: Sequence[Carton], limit_100: int, *, fullest_first: bool
) -> list[_Truck]:
    trucks: list[_Truck] = []
    for index in _heaviest_first(bundles):
        _truck_for(trucks, bundles[index].weight_lb, limit_100, fullest_first=fullest_first).bundles.append(
            index
        )
    for index in _heaviest_first(cartons):
        _truck_for(trucks, cartons[index].weight_lb, limit_100, fullest_first=fullest_first).cartons.append(
            index
        )
    return trucks


def _heaviest_first(things: Sequence[Bundle | Carton]) -> list[int]:
    return sorted(range(len(things)), key=lambda i: (-things[i].weight_lb, i))


def _truck_for(trucks: list[_Truck], weight_lb: float, limit_100: int, *, fullest_first: bool) -> _Truck:
    weight_100 = round(weight_lb * 100)
    room = [truck for truck in trucks if truck.weight_100 + weight_100 <= limit_100]
    if not room:
        trucks.append(_Truck())
        room = trucks[-1:]
    truck = max(room, key=lambda t: t.weight_100) if fullest_first else room[0]
    truck.weight_100 += weight_100
    return truck
