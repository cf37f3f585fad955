"""Reads of deliveries: what is on none yet, what is too heavy for the site, by day and truck, and their moves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from django.db.models import Count, Prefetch, Q

from framing.common.errors import NotThere
from framing.common.zones import day_in
from orders.delivery_days import is_open, shut_days
from orders.delivery_floors import floor_of
from orders.delivery_gear import heavy_words, lift_of, reach_words, too_heavy_rows
from orders.models import Bundle, Carton, Delivery, DeliveryMove, Order, Truck, TruckLoad
from orders.selectors import delivery_list
from orders.states import OrderStage

MONTH_DAYS: Final = 35


@dataclass(frozen=True, slots=True)
class Left:
    """What of an order is on no delivery yet; bundles carry `piece_count`."""

    bundles: list[Bundle]
    cartons: list[Carton]

    @property
    def words(self) -> str:
        """“3 bundles and 1 carton”; “” where nothing is left."""
        told = [
            f"{len(rows)} {name}{'' if len(rows) == 1 else 's'}"
            for rows, name in ((self.bundles, "bundle"), (self.cartons, "carton"))
            if rows
        ]
        return " and ".join(told)


def left_of(order: Order) -> Left:
    """What of an order is on no delivery yet, by number."""
    bundles = order.bundles.filter(delivery=None).annotate(piece_count=Count("pieces")).order_by("number")
    return Left(list(bundles), list(order.cartons.filter(delivery=None).order_by("number")))


def floors_left(order: Order, left: Left) -> list[tuple[str, str]]:
    """Floors of which a bundle is on no delivery yet, each with what goes with it: “2 bundles and 5 cartons”."""
    floors = set(order.pieces.values_list("floor", flat=True))
    pairs = order.pieces.filter(bundle__in=left.bundles).values_list("floor", "bundle").distinct()
    by_floor: dict[str, set[int]] = {}
    for floor, bundle in pairs:
        by_floor.setdefault(floor, set()).add(bundle)
    told = []
    for floor, keys in sorted(by_floor.items()):
        cartons = [row for row in left.cartons if floor_of(row, floors) == floor]
        told.append((floor, Left([row for row in left.bundles if row.pk in keys], cartons).words))
    return told


def others_things(delivery: Delivery) -> Left:
    """What of the same order could come onto a delivery: what is on none, or on another that is not loaded."""
    free = Q(delivery=None) | Q(delivery__loaded_at=None) & Q(load=None) | Q(load__loaded_at=None)
    bundles = Bundle.objects.filter(free, order=delivery.order_id).exclude(delivery=delivery)
    cartons = Carton.objects.filter(free, order=delivery.order_id).exclude(delivery=delivery)
    counted = bundles.annotate(piece_count=Count("pieces")).select_related("delivery").order_by("number")
    return Left(list(counted), list(cartons.select_related("delivery").order_by("number")))


def heavy_of(delivery: Delivery) -> tuple[str, ...]:
    """What of a delivery is too heavy for what unloads there, in words, and what to do."""
    return heavy_words(_things(delivery), lift_of(delivery))


def far_of(delivery: Delivery) -> str:
    """What of it may be too heavy at full reach; “” where nothing is."""
    return reach_words(_things(delivery), lift_of(delivery))


def _things(delivery: Delivery) -> list[Bundle | Carton]:
    return [*delivery.bundles.order_by("number"), *delivery.cartons.order_by("number")]


def move_list(delivery: Delivery) -> list[DeliveryMove]:
    """How often a delivery went to another day or window, and why, oldest first."""
    return list(delivery.day_moves.select_related("by").order_by("id"))


# --- the company's trucks ---


def truck_all() -> list[Truck]:
    """Trucks in use first, then retired ones, by name."""
    return list(Truck.objects.order_by("-active", "name"))


def truck_get(public_id: str) -> Truck:
    """Raises NotThere."""
    truck = Truck.objects.filter(public_id=public_id).first()
    if truck is None:
        raise NotThere()
    return truck


# --- by day and truck ---


@dataclass(frozen=True, slots=True)
class Entry:
    """A delivery in one cell. `marks` are words with the state that gives them their shape."""

    delivery: Delivery
    trucks: str
    window: str
    marks: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Cell:
    """A truck's column on one day; `name` stands for it on phones."""

    name: str
    entries: tuple[Entry, ...]

    @property
    def waits(self) -> bool:
        """Whether something in it still needs a truck."""
        return self.name == NO_TRUCK and any(entry.delivery.state == "planned" for entry in self.entries)


@dataclass(frozen=True, slots=True)
class Row:
    """A day. `closed` on weekends and where the company is shut; `shut` says why it is."""

    day: date
    today: bool
    closed: bool
    cells: tuple[Cell, ...]
    shut: str = ""

    @property
    def empty(self) -> bool:
        return not any(cell.entries for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Board:
    """Days under each other, trucks beside each other; the first column holds what has no truck.

    `late` should have been loaded before these days, `under_way` was loaded before them and nobody has received it.
    """

    first: date
    last: date
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    late: tuple[Entry, ...]
    under_way: tuple[Entry, ...]

    @property
    def count(self) -> int:
        return sum(len(cell.entries) for row in self.rows for cell in row.cells)


NO_TRUCK: Final = "No truck yet"


def board(first: date, days: int, today: date, at: datetime) -> Board:
    """The deliveries of some days by truck, and what is open from before. Queries don't grow with deliveries."""
    last = first + timedelta(days=days - 1)
    late = Q(planned_for__lt=min(first, today), loaded_at=None)
    under_way = Q(planned_for__lt=first, loaded_at__isnull=False, delivered_at=None)
    before = [(row, _entry(row, at)) for row in _rows(late | under_way)]
    rows = _rows(Q(planned_for__range=(first, last)))
    entries = [(_entry(row, at), row) for row in rows]
    names = sorted({name for _, row in entries for name in _truck_names(row)})
    own = [truck.name for truck in Truck.objects.filter(active=True)]
    columns = (NO_TRUCK, *own, *(name for name in names if name not in own))
    found: dict[tuple[date, str], list[Entry]] = {}
    for entry, row in entries:
        for name in _truck_names(row) or [NO_TRUCK]:
            found.setdefault((row.planned_for, name), []).append(entry)
    span = [first + timedelta(days=step) for step in range(days)]
    shut = shut_days(span)
    table = tuple(
        Row(
            day,
            day == today,
            not is_open(day, shut),
            tuple(Cell(name, tuple(found.get((day, name), ()))) for name in columns),
            shut.get(day, ""),
        )
        for day in span
    )
    return Board(
        first,
        last,
        columns,
        table,
        late=tuple(entry for row, entry in before if row.loaded_at is None),
        under_way=tuple(entry for row, entry in before if row.loaded_at is not None),
    )


def _rows(which: Q) -> list[Delivery]:
    loads = TruckLoad.objects.select_related("trip__truck").order_by("number")
    rows = delivery_list().filter(which, dropped_at=None).exclude(order__stage=OrderStage.CANCELLED)
    rows = rows.annotate(
        bundle_count=Count("bundles", distinct=True),
        finished_count=Count("bundles", filter=Q(bundles__finished_at__isnull=False), distinct=True),
        heavy_bundles=Count("bundles", filter=too_heavy_rows(), distinct=True),
        heavy_cartons=Count("cartons", filter=too_heavy_rows("cartons"), distinct=True),
    )
    return list(rows.prefetch_related(Prefetch("loads", loads)).order_by("planned_for", "window_from", "id"))


def _truck_names(delivery: Delivery) -> list[str]:
    """The trucks of a delivery, each once; none where even one load has no trip yet."""
    loads = list(delivery.loads.all())
    if any(load.trip is None for load in loads):
        return []
    return sorted({load.trip.truck_name for load in loads if load.trip})


def _entry(delivery: Delivery, at: datetime) -> Entry:
    return Entry(
        delivery, ", ".join(_truck_names(delivery)), window_words(delivery), tuple(_marks(delivery, at))
    )


def window_words(delivery: Delivery) -> str:
    """“7:30 to 9:00”, by the site's clock; “” where no window is agreed."""
    if delivery.window_from is None or delivery.window_to is None:
        return ""
    return f"{delivery.window_from:%-H:%M} to {delivery.window_to:%-H:%M}"


def _marks(delivery: Delivery, at: datetime) -> Iterable[tuple[str, str]]:
    today = day_in(at, delivery.order.revision.quote.project.site.time_zone)
    if delivery.state != "planned":
        yield delivery.state, delivery.state.title()
        return
    if delivery.planned_for < today:
        yield "late", "Late"
    if delivery.order.stage == OrderStage.HELD:
        yield "held", "Held"
    heavy = delivery.heavy_bundles + delivery.heavy_cartons  # type: ignore[attr-defined]  # annotated
    if heavy:
        yield "heavy", f"{heavy} too heavy"
    open_count = delivery.bundle_count - delivery.finished_count  # type: ignore[attr-defined]  # annotated
    if open_count:
        yield "rolling", f"{open_count} to roll"


def first_day(span: str, day: date) -> tuple[date, int]:
    """The Monday that a week, or the five weeks around a month's first, begin with, and how many days they have."""
    if span == "week":
        return day - timedelta(days=day.weekday()), 7
    first = day.replace(day=1)
    return first - timedelta(days=first.weekday()), MONTH_DAYS if _fits(first) else MONTH_DAYS + 7


def _fits(first: date) -> bool:
    end = (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)
    return (end - (first - timedelta(days=first.weekday()))).days < MONTH_DAYS
