"""Rows of the yard as the engine of the truck plan wants them (R47): things to load, kinds of truck, trips."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Final

from django.db.models import Count

from framing.engine.catalogue import load_catalogue
from framing.engine.errors import UnknownProfile
from framing.engine.trucks import (
    LoadTask,
    Securing,
    Stack,
    Thing,
    TruckKind,
    TrucksPlan,
    bundle_thing,
    pack_thing,
)
from framing.engine.trucks import Truck as Loaded
from orders.models import Bundle, Carton, Trip, Truck

FORMAT: Final = 1
FURTHER: Final = TruckKind(name="Further flatbed, 48 ft")
"""A truck of the usual size that is hired where the company's own are not enough (R47)."""
_DESIGNATOR: Final = re.compile(r"^(\d{3,4})S(\d{3})-\d+$")
_NO_SIZE: Final = (160, 26)
"""Depth and flange of a profile that no longer reads as one: 10 in and 1 5/8 in."""


@dataclass(frozen=True, slots=True)
class LoadRow:
    """A bundle or carton that is to be loaded, and its delivery."""

    id: str
    row: Bundle | Carton
    delivery_id: int

    @property
    def is_bundle(self) -> bool:
        return isinstance(self.row, Bundle)


def thing_id(row: Bundle | Carton) -> str:
    """How plans, papers and the API name a thing: `SO-2026-0003-B4`, or `…-C1` for a carton."""
    return f"{row.order.number}-{'B' if isinstance(row, Bundle) else 'C'}{row.number}"


def thing_name(row: Bundle | Carton) -> str:
    """How refusals call it."""
    return f"{'Bundle' if isinstance(row, Bundle) else 'Carton'} {row.number} of {row.order.number}"


def thing_of(row: Bundle | Carton, stop: int) -> Thing:
    """A row as the engine wants it. A bundle needs `piece_count`."""
    if isinstance(row, Carton):
        return pack_thing(thing_id(row), thing_name(row), row.title, float(row.weight_lb), stop)
    depth_16, flange_16 = profile_size(row.profile)
    return bundle_thing(
        thing_id(row),
        thing_name(row),
        pieces=max(1, row.piece_count),  # type: ignore[attr-defined]
        depth_16=depth_16,
        flange_16=flange_16,
        length_16=row.length_16,
        weight_lb=float(row.weighed_lb or row.weight_lb),
        stop=stop,
    )


def profile_size(designator: str) -> tuple[int, int]:
    """Depth and flange in sixteenths, up to whole ones; a profile no longer sold by what its name says (R14)."""
    try:
        profile = load_catalogue().profile(designator)
    except UnknownProfile:
        found = _DESIGNATOR.match(designator)
        if found is None:
            return _NO_SIZE
        return _up(int(found.group(1)) / 100), _up(int(found.group(2)) / 100)
    return _up(profile.depth_in), _up(profile.flange_in)


def _up(inches: float) -> int:
    return -int(-inches * 16 // 1)


def kind_of(truck: Truck) -> TruckKind:
    """One of the company's trucks as a kind of which there is one."""
    return TruckKind(
        name=truck.name,
        deck_length_16=truck.deck_length_16,
        deck_width_16=truck.deck_width_16,
        payload_lb=float(truck.payload_lb),
        stack_height_16=truck.stack_height_16,
        tiers=truck.tiers,
        count=1,
    )


def things_of(delivery_ids: Iterable[int]) -> list[LoadRow]:
    """All bundles and cartons of some deliveries, by order and number."""
    ids = list(delivery_ids)
    bundles = Bundle.objects.filter(delivery__in=ids).select_related("order", "load__trip", "delivery")
    bundles = bundles.defer("order__revision__result").annotate(piece_count=Count("pieces"))
    cartons = Carton.objects.filter(delivery__in=ids).select_related("order", "load__trip", "delivery")
    rows: list[Bundle | Carton] = [
        *bundles.order_by("order_id", "number"),
        *cartons.order_by("order_id", "number"),
    ]
    return [LoadRow(thing_id(row), row, int(row.delivery_id or 0)) for row in rows]


def kind_to_json(kind: TruckKind) -> dict[str, Any]:
    return {name: value for name, value in asdict(kind).items() if name != "count"}


def kind_of_json(data: Mapping[str, Any]) -> TruckKind:
    return TruckKind(**data)


def stacks_to_json(stacks: Iterable[Stack]) -> list[dict[str, Any]]:
    return [
        {"lane": one.lane, "lanes": one.lanes, "x_16": one.x_16, "things": list(one.things)} for one in stacks
    ]


def stacks_of_json(data: Iterable[Mapping[str, Any]]) -> tuple[Stack, ...]:
    return tuple(Stack(one["lane"], one["lanes"], one["x_16"], tuple(one["things"])) for one in data)


def trip_plan(kind: TruckKind, lane_16: int, stacks: Iterable[Stack]) -> dict[str, Any]:
    """What `Trip.plan` holds: the truck as it was planned with, the lanes' width, where each thing lies."""
    return {
        "format": FORMAT,
        "kind": kind_to_json(kind),
        "lane_16": lane_16,
        "stacks": stacks_to_json(stacks),
    }


def trip_kind(trip: Trip) -> TruckKind:
    """The truck that a trip was planned with."""
    return kind_of_json(trip.plan["kind"]) if trip.plan else FURTHER


def trip_stacks(trip: Trip, on_it: frozenset[str]) -> tuple[Stack, ...]:
    """Where things lie, without those that went to another delivery or trip since."""
    stacks = stacks_of_json(trip.plan.get("stacks", ())) if trip.plan else ()
    kept = (replace(one, things=tuple(t for t in one.things if t in on_it)) for one in stacks)
    return tuple(one for one in kept if one.things)


@dataclass(frozen=True, slots=True)
class DayFacts:
    """Trips of one day as one plan of the engine.

    Attributes:
        trips: by their place in the plan, from truck 1 on.
        rows: what rides or could ride, by id.
        stops: by trip and delivery, where it comes off.
    """

    task: LoadTask
    plan: TrucksPlan
    trips: tuple[Trip, ...]
    rows: Mapping[str, LoadRow]
    stops: Mapping[tuple[int, int], int]

    def truck_of(self, thing: str) -> int:
        """The number of the truck that a thing rides on; 0 where none."""
        return next((truck.number for truck, _, one in self.plan.places if one == thing), 0)


def day_facts(trips: Sequence[Trip], deliveries: Iterable[int], *, blocked: bool | None = None) -> DayFacts:
    """The trips and what else their deliveries hold, as one task. Each thing's stop is that of its own trip.

    Args:
        trips: with `loads` prefetched.
        deliveries: pks of further deliveries, of which nothing need ride yet.
    """
    stops = {(trip.pk, load.delivery_id): load.stop for trip in trips for load in trip.loads.all()}
    rows = {one.id: one for one in things_of({*deliveries, *(delivery for _, delivery in stops)})}
    by_trip = _by_trip(trips, rows)
    kinds = _kinds(trips)
    trucks = tuple(
        Loaded(number, kinds[trip.pk].name, trip_stacks(trip, by_trip[trip.pk]), _kept(trip))
        for number, trip in enumerate(trips, 1)
    )
    placed = {thing for truck in trucks for thing in truck.things}
    things = tuple(thing_of(one.row, _stop(one, stops)) for one in rows.values())
    lane_16 = next((trip.plan["lane_16"] for trip in trips if trip.plan), 0)
    securing = Securing(blocked=any(t.blocked_forward for t in trips) if blocked is None else blocked)
    task = LoadTask(things, tuple(dict.fromkeys(kinds.values())) or (FURTHER,), lane_16, securing=securing)
    return DayFacts(task, TrucksPlan(trucks, tuple(sorted(rows.keys() - placed))), tuple(trips), rows, stops)


def _kept(trip: Trip) -> bool:
    """Whether a trip's load stays as it is: locked, or loaded."""
    return trip.locked or any(load.loaded_at is not None for load in trip.loads.all())


def _by_trip(trips: Sequence[Trip], rows: Mapping[str, LoadRow]) -> dict[int, frozenset[str]]:
    found: dict[int, set[str]] = {trip.pk: set() for trip in trips}
    for one in rows.values():
        load = one.row.load
        if load is not None and load.trip_id in found:
            found[load.trip_id].add(one.id)
    return {pk: frozenset(ids) for pk, ids in found.items()}


def _stop(one: LoadRow, stops: Mapping[tuple[int, int], int]) -> int:
    load = one.row.load
    trip_id = load.trip_id if load is not None else None
    return stops.get((trip_id or 0, one.delivery_id), 1)


def _kinds(trips: Sequence[Trip]) -> dict[int, TruckKind]:
    """Each trip's truck; two that differ under one name are told apart by the trip's number."""
    found: dict[int, TruckKind] = {}
    named: dict[str, TruckKind] = {}
    for trip in trips:
        kind = replace(trip_kind(trip), count=None)
        if named.setdefault(kind.name, kind) != kind:
            kind = replace(kind, name=f"{kind.name} ({trip.number})")
            named[kind.name] = kind
        found[trip.pk] = kind
    return found
