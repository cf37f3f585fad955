"""The loads of a delivery as its page shows them: which truck, and what comes off it when (R47, R48)."""

from __future__ import annotations

from dataclasses import dataclass

from orders.delivery_gear import lift_of, too_heavy
from orders.load_facts import thing_id
from orders.load_figures import places_of
from orders.manifest_facts import load_rows
from orders.models import Bundle, Carton, Delivery, TruckLoad


@dataclass(frozen=True, slots=True)
class Coming:
    """One thing of a load; `off` counts from 1 over bundles and cartons, as on the manifest.

    `heavy`: why it is too heavy for what unloads there; "" where it is not.
    """

    off: int
    bundle: Bundle | None
    carton: Carton | None
    heavy: str


@dataclass(frozen=True, slots=True)
class LoadCard:
    """A load with its things in order of unloading. `truck` is "" while no truck is planned for it."""

    load: TruckLoad
    truck: str
    things: tuple[Coming, ...]


def load_cards(delivery: Delivery) -> list[LoadCard]:
    """All loads of a delivery, by number; the queries do not grow with what is on them."""
    return [_card(load) for load in load_rows().filter(delivery=delivery).order_by("number")]


def _card(load: TruckLoad) -> LoadCard:
    rows: list[Bundle | Carton] = [*load.bundles.all(), *load.cartons.all()]
    places = places_of(load)
    last = (len(rows) + 1, 0, 0)  # by number, cartons after bundles, where trucks go by weight alone
    rows.sort(key=lambda row: places.get(thing_id(row), last)[0])
    what = lift_of(load.delivery)
    things = tuple(
        Coming(
            off,
            row if isinstance(row, Bundle) else None,
            row if isinstance(row, Carton) else None,
            too_heavy(row, what),
        )
        for off, row in enumerate(rows, 1)
    )
    trip = load.trip
    return LoadCard(load, trip.truck_name if trip else "", things)
