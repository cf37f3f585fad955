"""What a truck's load comes to, from its trip's rows: places, order of unloading, tie-downs, weights, sketch (R47)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from framing.engine.floor import Units
from framing.engine.trucks import Broken, PlanFigures, TruckFigures, check, figures_of
from orders.load_facts import DayFacts, day_facts
from orders.manifest_words import load_words, overhang_words

if TYPE_CHECKING:
    from orders.models import Trip, TruckLoad


@dataclass(frozen=True, slots=True)
class TripFigures:
    """A trip's load. `broken` lists rules that it breaks now, for what was changed elsewhere; then no figures."""

    facts: DayFacts
    truck: TruckFigures | None
    broken: tuple[Broken, ...]
    plan: PlanFigures | None = None


@dataclass(frozen=True, slots=True)
class Riding:
    """What a manifest takes of its trip.

    Attributes:
        places: by id of the stop's own things: when it comes off at this stop, lane, tier.
        sketch, sheets: deck and side view as one drawing, and in parts that go on a sheet of paper.
    """

    truck: TruckFigures
    places: Mapping[str, tuple[int, int, int]]
    overhangs: tuple[str, ...]
    sketch: str
    sheets: tuple[str, ...]


def trip_figures(trip: Trip) -> TripFigures:
    """A trip by itself: its lanes, stacks and weights."""
    facts = day_facts([trip], ())
    broken = tuple(one for one in check(facts.task, facts.plan) if one.rule != "missing")
    if broken or not facts.plan.trucks[0].stacks:
        return TripFigures(facts, None, broken)
    plan = figures_of(facts.task, facts.plan)
    return TripFigures(facts, plan.trucks[0], (), plan)


def riding_of(load: TruckLoad) -> Riding | None:
    """What the load's trip says of it; None without a trip, or where the trip's plan no longer holds."""
    figures = trip_figures(load.trip) if load.trip is not None else None
    if figures is None or figures.truck is None:
        return None
    units = _units(load)
    overhangs = overhang_words(figures, units)
    from framing.drawing.loads import load_svgs

    places, sheets = (
        _places(load, figures, figures.truck),
        load_svgs(figures.truck, units, load_words(figures)),
    )
    return Riding(figures.truck, places, overhangs, sketch_of(figures, units), sheets)


def _units(load: TruckLoad) -> Units:
    """Those of the project that it comes to."""
    return "metric" if load.delivery.order.revision.quote.project.units == "metric" else "imperial"


def places_of(load: TruckLoad) -> Mapping[str, tuple[int, int, int]]:
    """`Riding.places` of a load by itself; empty where `riding_of` is None."""
    figures = trip_figures(load.trip) if load.trip is not None else None
    return _places(load, figures, figures.truck) if figures is not None and figures.truck is not None else {}


def _places(load: TruckLoad, figures: TripFigures, truck: TruckFigures) -> dict[str, tuple[int, int, int]]:
    mine = {one.id for one in figures.facts.rows.values() if one.row.load_id == load.pk}
    tiers = {tier.thing: (stack.stack.lane, tier.tier) for stack in truck.stacks for tier in stack.tiers}
    coming = (thing for thing in truck.unloading if thing in mine)
    return {thing: (off, *tiers[thing]) for off, thing in enumerate(coming, 1)}


def sketch_of(figures: TripFigures, units: Units = "imperial") -> str:
    """Deck and side view as SVG in the reader's language; "" where there is nothing to draw."""
    if figures.truck is None:
        return ""
    from framing.drawing.loads import load_svg

    return load_svg(figures.truck, units, load_words(figures))
