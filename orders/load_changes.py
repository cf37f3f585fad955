"""What planning the rest of a day anew would change: what it is about, which trucks stay, what moves (R47)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Any

from orders.load_facts import LoadRow, thing_name, things_of
from orders.load_making import plan_task, stays
from orders.load_reads import day_deliveries, day_trips
from orders.models import Delivery, LoadPlan, Trip


@dataclass(frozen=True, slots=True)
class Rest:
    """What of a day is planned anew: public ids of deliveries by their stops, and of the company's trucks."""

    deliveries: tuple[str, ...]
    trucks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """A thing that would ride otherwise than now; `was` is 0 where it is on no truck."""

    name: str
    was: str
    will: str


@dataclass(frozen=True, slots=True)
class PlanChanges:
    """What taking a plan changes.

    Attributes:
        kept: trips that stay as they are.
        gone: trips that the plan's trucks take the place of, each with what was named on it.
        before, after: trucks of what is planned anew.
        moved: things that change trucks, or get their first, or lose theirs.
        stay: how many ride together as they do now.
    """

    kept: tuple[Trip, ...]
    gone: tuple[tuple[Trip, str], ...]
    before: int
    after: int
    moved: tuple[Moved, ...]
    stay: int


def rest_of_day(day: date) -> Rest:
    """Deliveries with something on no locked or loaded truck, and the company's trucks that they ride on.

    They stand by the stops that they have; one that rides nowhere yet comes before the first that is due later.
    """
    rows = list(day_deliveries(day))
    free = {one.delivery_id for one in things_of(row.pk for row in rows) if not stays(one)}
    trips = [trip for trip in day_trips(day) if not _kept(trip)]
    stops = {load.delivery_id: load.stop for trip in reversed(trips) for load in trip.loads.all()}
    planned = sorted((row for row in rows if row.pk in stops), key=lambda row: stops[row.pk])
    deliveries = [row for row in _with_new(planned, rows) if row.pk in free]
    trucks = (trip.truck.public_id for trip in trips if trip.truck is not None and trip.truck.active)
    return Rest(tuple(row.public_id for row in deliveries), tuple(dict.fromkeys(trucks)))


def _with_new(planned: list[Delivery], rows: Iterable[Delivery]) -> list[Delivery]:
    """Deliveries in the order of their stops, with those among `rows` that have none, each by its window."""
    found = list(planned)
    for row in rows:
        if row not in planned:
            due = row.window_from or time.max
            later = (n for n, one in enumerate(found) if (one.window_from or time.max) > due)
            found.insert(next(later, len(found)), row)
    return found


def _kept(trip: Trip) -> bool:
    return trip.locked or trip.left_at is not None or any(load.loaded_at for load in trip.loads.all())


def plan_changes(plan: LoadPlan) -> PlanChanges | None:
    """What taking a proposed plan would change; None where its things are gone."""
    result: Mapping[str, Any] = plan.result or {}
    _, rows = plan_task(plan)
    if not rows:
        return None
    trips = day_trips(plan.day)
    now = {one.id: one.row.load.trip_id for one in rows.values() if one.row.load is not None}
    will = {
        thing: entry["number"]
        for entry in result["trucks"]
        for stack in entry["stacks"]
        for thing in stack["things"]
    }
    same = _same(now, will)
    gone = [trip for trip in trips if trip.pk in set(now.values()) and not _kept(trip)]
    places = {trip.pk: place for place, trip in enumerate(trips, 1)}
    moved = tuple(
        Moved(thing_name(one.row), _was(now.get(name), places), _will(will.get(name)))
        for name, one in _in_order(rows)
        if same.get(now.get(name) or 0) != will.get(name)
    )
    return PlanChanges(
        kept=tuple(trip for trip in trips if _kept(trip)),
        gone=tuple((trip, _named(trip)) for trip in gone),
        before=len(gone),
        after=len(result["trucks"]),
        moved=moved,
        stay=len(rows) - len(moved),
    )


def _in_order(rows: Mapping[str, LoadRow]) -> Iterable[tuple[str, LoadRow]]:
    return sorted(
        rows.items(), key=lambda pair: (pair[1].row.order_id, not pair[1].is_bundle, pair[1].row.number)
    )


def _same(now: Mapping[str, int | None], will: Mapping[str, int]) -> dict[int, int]:
    """Which truck of the plan goes on from which trip: pairs that share most, each once."""
    shared: dict[tuple[int, int], int] = {}
    for thing, trip in now.items():
        if trip is not None and thing in will:
            pair = (trip, will[thing])
            shared[pair] = shared.get(pair, 0) + 1
    found: dict[int, int] = {}
    for trip, number in sorted(shared, key=lambda pair: (-shared[pair], pair)):
        if trip not in found and number not in found.values():
            found[trip] = number
    return found


def _was(trip: int | None, places: Mapping[int, int]) -> str:
    return f"truck {places[trip]}" if trip is not None and trip in places else "on no truck"


def _will(number: int | None) -> str:
    return f"truck {number} of the plan" if number else "on no truck"


def _named(trip: Trip) -> str:
    """What was named on a trip and has to be named again."""
    return ", ".join(part for part in (str(trip.truck or ""), trip.driver) if part)
