"""What the yard sees of a truck that it loads: each thing with its place, what is on, what is left (R47)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from orders.load_facts import thing_id
from orders.load_figures import trip_figures
from orders.load_reads import trips_to_load
from orders.load_ticks import Loading, Row, loading_of, loadings_of
from orders.models import Bundle, LoadTick, Trip

SAYS: Final[Mapping[str, str]] = {
    "all": "Everything is sent.",
    "rest": "The rest is sent.",
    "one": "One tick waits",
    "many": "%s ticks wait",
    "waits": "It is sent when the line is back.",
    "memory": "Keep this page open: this phone keeps nothing.",
    "ended": "This truck is no more; go back to the list.",
    "refused": "Not counted",
    "again": "Try again",
    "drop": "Leave it out",
    "typed": "",
    "photo": "",
    "photos": "",
    "on": "It is on",
    "off": "Take the tick back",
    "told_on": "On",
    "told_off": "Not on yet",
    "unsent": "not sent yet",
    "left": "%1 of %2 on.",
    "loaded": "Loaded. Its manifests are stored.",
    "full": "All is on; it does not count as loaded yet.",
    "ticked": "is on",
    "was": "is on already",
    "rolls": "is still to roll; it can't go on.",
    "strange": "This is not on the list of this truck: leave it off. Where it belongs is told in a moment.",
    "camera": "The camera can't be used. Type the code.",
}
"""What the page's script says."""


@dataclass(frozen=True, slots=True)
class LoadingRow:
    """A thing of the truck. `turn` is its place in the order of loading: what comes off last goes on first.

    `what`: its floor and zone, or what is packed in it.
    """

    code: str
    name: str
    what: str
    order: str
    stop: int
    lane: int
    tier: int
    turn: int
    length_16: int
    weight_lb: float
    unfinished: bool
    tick: LoadTick | None


@dataclass(frozen=True, slots=True)
class LoadingRows:
    """A truck's things in the order in which they go on."""

    rows: tuple[LoadingRow, ...]
    on: int
    loaded: bool
    left: bool

    @property
    def waiting(self) -> int:
        return len(self.rows) - self.on


@dataclass(frozen=True, slots=True)
class TripRow:
    """A truck of the list, and how far it is."""

    trip: Trip
    things: int
    on: int
    loaded: bool


def loading_list(day: date) -> list[TripRow]:
    """Trucks to load, with how much is on each; as many queries with many as with few."""
    trips = trips_to_load(day)
    found = loadings_of(trips)
    return [
        TripRow(trip, len(found[trip.pk].things), len(found[trip.pk].on), _loaded(trip)) for trip in trips
    ]


def loading_rows(trip: Trip) -> LoadingRows:
    """A truck's things; where its plan no longer holds, bundles first by number."""
    loading = loading_of(trip)
    figures = trip_figures(trip)
    places: dict[str, tuple[int, int, int, int]] = {}
    if figures.truck is not None:
        off = {thing: turn for turn, thing in enumerate(figures.truck.unloading)}
        places = {
            tier.thing: (-off[tier.thing], tier.stop, stack.stack.lane, tier.tier)
            for stack in figures.truck.stacks
            for tier in stack.tiers
        }
    order = sorted(loading.things, key=lambda row: places.get(thing_id(row), (1, 0, 0, 0))[0])
    rows = tuple(_row(turn, row, loading, places.get(thing_id(row))) for turn, row in enumerate(order, 1))
    return LoadingRows(rows, len(loading.on), _loaded(trip), trip.left_at is not None)


def _row(turn: int, row: Row, loading: Loading, place: Sequence[int] | None) -> LoadingRow:
    _, stop, lane, tier = place or (0, 0, 0, 0)
    is_bundle = isinstance(row, Bundle)
    return LoadingRow(
        code=row.code,
        name=f"{'Bundle' if is_bundle else 'Carton'} {row.number}",
        what=row.zone if isinstance(row, Bundle) else row.title,
        order=row.order.number,
        stop=stop,
        lane=lane,
        tier=tier,
        turn=turn,
        length_16=getattr(row, "length_16", 0),
        weight_lb=float(getattr(row, "weighed_lb", None) or row.weight_lb),
        unfinished=isinstance(row, Bundle) and row.finished_at is None,
        tick=loading.on.get(thing_id(row)),
    )


def codes_on(trip: Trip) -> tuple[list[str], bool]:
    """Codes of what is on, and whether the truck counts as loaded."""
    loading = loading_of(trip)
    on = [row.code for row in loading.things if thing_id(row) in loading.on]
    return on, _loaded(trip)


def _loaded(trip: Trip) -> bool:
    loads = list(trip.loads.all())
    return bool(loads) and all(load.loaded_at is not None for load in loads)
