"""What the pages and the API of trucks show, as plain rows (R47)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from framing.engine.trucks import CAUTION, TIES_SOURCE, TrucksPlan, TrucksRefused, check, figures_of
from framing.engine.trucks import Truck as Loaded
from framing.engine.units import format_length
from orders.delivery_gear import lift_of, too_heavy
from orders.load_facts import DayFacts, day_facts, kind_of_json, stacks_of_json, trip_kind
from orders.load_figures import TripFigures, sketch_of
from orders.load_making import plan_task
from orders.load_reads import day_deliveries, day_trips, day_version, spare_kinds
from orders.models import Bundle, LoadPlan, Trip


@dataclass(frozen=True, slots=True)
class ThingRow:
    """A bundle or carton on a truck, as a table shows it. `what`: its floor and zone, or what is packed in it."""

    id: str
    name: str
    what: str
    is_bundle: bool
    public_id: str
    order: str
    stop: int
    lane: int
    tier: int
    off: int
    length: str
    weight_lb: float
    too_heavy: str = ""


@dataclass(frozen=True, slots=True)
class TruckCard:
    """A truck with its load. `number` is its place on the day; `sketch` is SVG where it was asked for."""

    number: int
    trip: Trip | None
    kind: str
    payload_lb: float
    weight_lb: float
    things: tuple[ThingRow, ...]
    lanes: int
    quarters_lb: tuple[float, ...] = ()
    sides_lb: tuple[float, ...] = ()
    centre: str = ""
    tie_downs: int = 0
    least_wll_lb: float = 0.0
    credit_lb: float = 0.0
    dunnage: tuple[str, ...] = ()
    overhangs: tuple[str, ...] = ()
    broken: tuple[str, ...] = ()
    sketch: str = ""
    caution: str = CAUTION
    source: str = TIES_SOURCE

    @property
    def heavy(self) -> tuple[str, ...]:
        """Why things on it are too heavy for what unloads them, each by itself."""
        return tuple(row.too_heavy for row in self.things if row.too_heavy)

    @property
    def share(self) -> int:
        """Payload used, in hundredths, rounded up."""
        return int(-(-100 * self.weight_lb // self.payload_lb)) if self.payload_lb else 0


@dataclass(frozen=True, slots=True)
class Day:
    """The trucks of a day and what waits for one."""

    day: date
    version: str
    cards: tuple[TruckCard, ...]
    waiting: tuple[ThingRow, ...]
    kinds: tuple[str, ...]


def day_page(day: date) -> Day:
    """Trucks with their loads; as many queries with 200 bundles as with 10, and one more for nothing."""
    trips = day_trips(day)
    facts = day_facts(trips, list(day_deliveries(day).values_list("pk", flat=True)))
    left = sorted(facts.plan.left, key=lambda thing: _place(facts, thing))
    waiting = tuple(_row(facts, thing, 0, 0, 0) for thing in left)
    kinds = tuple(kind.name for kind in spare_kinds(day))
    return Day(day, day_version(trips), _cards(facts), waiting, kinds)


def _place(facts: DayFacts, thing: str) -> tuple[int, bool, int]:
    """By order, its bundles before its cartons, each by number."""
    one = facts.rows[thing]
    return one.row.order_id, not one.is_bundle, one.row.number


def trip_card(trip: Trip) -> TruckCard:
    """One trip with its sketch."""
    return _cards(day_facts([trip], ()), sketches=True)[0]


def plan_cards(plan: LoadPlan) -> tuple[TruckCard, ...]:
    """The trucks of a proposed plan with their sketches; none where its things are gone."""
    result: dict[str, Any] = plan.result or {}
    task, rows = plan_task(plan)
    if not rows:
        return ()
    trucks = tuple(
        Loaded(entry["number"], entry["kind"]["name"], stacks_of_json(entry["stacks"]))
        for entry in result["trucks"]
    )
    kinds = tuple({entry["kind"]["name"]: kind_of_json(entry["kind"]) for entry in result["trucks"]}.values())
    task = replace(task, kinds=kinds or task.kinds, lane_width_16=result["lane_16"])
    facts = DayFacts(task, TrucksPlan(trucks, tuple(result["left"])), (), rows, {})
    return _cards(facts, sketches=True)


def _cards(facts: DayFacts, *, sketches: bool = False) -> tuple[TruckCard, ...]:
    if not facts.plan.trucks:
        return ()
    broken: dict[int, list[str]] = {}
    try:
        for one in check(facts.task, facts.plan):
            if one.rule != "missing":
                broken.setdefault(one.truck, []).append(one.words)
        if broken.get(0):
            return tuple(_bare(facts, truck, broken[0]) for truck in facts.plan.trucks)
        sound = tuple(truck for truck in facts.plan.trucks if truck.number not in broken)
        figures = {one.number: one for one in figures_of(facts.task, TrucksPlan(sound)).trucks}
    except TrucksRefused as refusal:
        return tuple(_bare(facts, truck, [refusal.message]) for truck in facts.plan.trucks)
    return tuple(
        _card(facts, truck, figures[truck.number], sketches=sketches)
        if truck.number in figures
        else _bare(facts, truck, broken[truck.number])
        for truck in facts.plan.trucks
    )


def _trip(facts: DayFacts, number: int) -> Trip | None:
    return facts.trips[number - 1] if facts.trips else None


def _bare(facts: DayFacts, truck: Loaded, words: Iterable[str]) -> TruckCard:
    """A truck that breaks a rule since something was changed elsewhere: what is on it, and the rule."""
    trip = _trip(facts, truck.number)
    rows = tuple(
        _row(facts, thing, stack.lane, tier, 0)
        for stack in truck.stacks
        for tier, thing in enumerate(stack.things, 1)
        if thing in facts.rows
    )
    kind = trip_kind(trip) if trip else facts.task.kinds[0]
    weight = sum(row.weight_lb for row in rows)
    return TruckCard(truck.number, trip, truck.kind, kind.payload_lb, weight, rows, 0, broken=tuple(words))


def _card(facts: DayFacts, truck: Loaded, figures: Any, *, sketches: bool) -> TruckCard:
    def size(length_16: int) -> str:
        return format_length(length_16, facts.task.units)

    off = {thing: place for place, thing in enumerate(figures.unloading, 1)}
    rows = [
        _row(facts, tier.thing, stack.stack.lane, tier.tier, off[tier.thing])
        for stack in figures.stacks
        for tier in stack.tiers
    ]
    return TruckCard(
        number=truck.number,
        trip=_trip(facts, truck.number),
        kind=truck.kind,
        payload_lb=figures.payload_lb,
        weight_lb=figures.weight_lb,
        things=tuple(sorted(rows, key=lambda row: row.off)),
        lanes=figures.lanes,
        quarters_lb=figures.quarters_lb,
        sides_lb=figures.sides_lb,
        centre=size(figures.centre_16),
        tie_downs=figures.tie_downs,
        least_wll_lb=figures.least_wll_lb,
        credit_lb=figures.credit_lb,
        dunnage=tuple(f"{one.count} of {size(one.length_16)}" for one in figures.dunnage),
        overhangs=tuple(one.words for one in figures.overhangs),
        sketch=sketch_of(TripFigures(facts, figures, ())) if sketches else "",
    )


def _row(facts: DayFacts, thing: str, lane: int, tier: int, off: int) -> ThingRow:
    one, row = next(t for t in facts.task.things if t.id == thing), facts.rows[thing]
    return ThingRow(
        id=thing,
        name=f"{'Bundle' if row.is_bundle else 'Carton'} {row.row.number}",
        what=row.row.zone if isinstance(row.row, Bundle) else row.row.title,
        is_bundle=row.is_bundle,
        public_id=getattr(row.row, "public_id", ""),
        order=row.row.order.number,
        stop=one.stop,
        lane=lane,
        tier=tier,
        off=off,
        length=format_length(one.length_16, facts.task.units),
        weight_lb=one.weight_lb,
        too_heavy=too_heavy(row.row, lift_of(row.row.delivery)) if row.row.delivery else "",
    )
