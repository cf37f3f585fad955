"""What goes on a delivery: chosen, put on it, and filled into truck loads by weight where no truck is planned (R47).

Callers hold the order's lock.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TypeVar

from django.db.models import Model, QuerySet

from framing.common.errors import Clash, Refused
from framing.engine.result import Bundle as EngineBundle
from framing.engine.result import Carton as EngineCarton
from framing.engine.result import TruckLoad as EngineLoad
from framing.engine.trucks import load_trucks
from framing.projects.selectors import practice_of
from orders.delivery_floors import of_floors
from orders.models import Bundle, Carton, Delivery, Order, TruckLoad
from orders.services.load_rows import load_number, settle_trip, trips_locked
from orders.services.release import weight
from orders.shop_scope import still_wanted
from quotes.selectors import package_accepted

Row = TypeVar("Row", Bundle, Carton)


@dataclass(frozen=True, slots=True)
class Things:
    """Bundles and cartons of one order."""

    bundles: list[Bundle] = field(default_factory=list)
    cartons: list[Carton] = field(default_factory=list)

    def __bool__(self) -> bool:
        return bool(self.bundles or self.cartons)

    @property
    def all(self) -> tuple[Bundle | Carton, ...]:
        """Bundles, then cartons."""
        return (*self.bundles, *self.cartons)

    @property
    def rows(self) -> tuple[tuple[type[Bundle | Carton], list[int]], ...]:
        """Each model with the keys of its rows."""
        return (Bundle, _keys(self.bundles)), (Carton, _keys(self.cartons))


def _keys(rows: Sequence[Model]) -> list[int]:
    return [row.pk for row in rows]


def things_left(order: Order) -> Things:
    """What of an order is on no delivery yet."""
    return Things(
        list(order.bundles.filter(still_wanted(), delivery=None).order_by("number")),
        list(order.cartons.filter(delivery=None).order_by("number")),
    )


def things_chosen(
    order: Order,
    *,
    floors: Collection[str] = (),
    bundles: Collection[str] | None = None,
    cartons: Collection[int] | None = None,
) -> Things:
    """What goes: chosen bundles (public ids) and cartons (numbers), or the bundles of some floors, or all that is left.

    A bundle of two floors goes with the first. Cartons go with the floors that they are packed for; what belongs to no
    floor goes with the first. Where bundles alone are named, all cartons that are left go along.

    Raises Refused for what is not of this order, or nothing at all; Clash where all is on deliveries already.
    """
    left = things_left(order)
    if not left and bundles is None and cartons is None:
        raise Clash(all_planned_words(order))
    if bundles is None and floors:
        found = _of_floors(order, left, floors)
    elif bundles is None:
        found = left if cartons is None else Things()
    else:
        found = Things(_named(order.bundles.all(), "public_id", bundles, "bundle"), left.cartons)
    if cartons is not None:
        found = Things(found.bundles, _named(order.cartons.all(), "number", cartons, "carton"))
    if not found:
        raise Refused("Nothing goes on it; choose at least one bundle or carton.", field="bundles")
    return found


def all_planned_words(order: Order) -> str:
    numbers = order.deliveries.filter(dropped_at=None).order_by("id").values_list("number", flat=True)
    return f"All of order {order.number} is on delivery {', '.join(numbers)} already."


def _of_floors(order: Order, left: Things, floors: Collection[str]) -> Things:
    known = set(order.pieces.values_list("floor", flat=True))
    strange = sorted(set(floors) - known)
    if strange:
        raise Refused(
            f"Order {order.number} has no floor “{strange[0][:80]}”; it has {', '.join(sorted(known))}.",
            field="floors",
        )
    wanted = set(order.pieces.filter(floor__in=floors, bundle__isnull=False).values_list("bundle", flat=True))
    found = [bundle for bundle in left.bundles if bundle.pk in wanted]
    if not found:
        raise Refused("All bundles of these floors are on a delivery already.", field="floors")
    return Things(found, of_floors(left.cartons, floors, known))


def _named(rows: QuerySet[Row], key: str, names: Collection[object], what: str) -> list[Row]:
    wanted = set(names)
    found = list(rows.filter(**{f"{key}__in": wanted}).order_by("number"))
    if len(found) != len(wanted):
        raise Refused(
            f"One of the {what}s named is not of this order; load the page again.", field=f"{what}s"
        )
    return found


def check_free(things: Things) -> None:
    """Raise Clash where one of them is on a delivery already."""
    for row in things.all:
        if row.delivery is not None:
            raise Clash(
                f"{thing_words(row)} is on delivery {row.delivery.number} already; move it from there instead."
            )


def thing_words(row: Bundle | Carton) -> str:
    return f"{'Bundle' if isinstance(row, Bundle) else 'Carton'} {row.number}"


def put_on(delivery: Delivery | None, things: Things) -> None:
    """Put things on a delivery, or on none, and off whatever truck they were to ride."""
    for model, keys in things.rows:
        model.objects.filter(pk__in=keys).update(delivery=delivery, load=None)


def fill_by_weight(delivery: Delivery) -> None:
    """One load a truck by weight, for what rides on no planned trip.

    The trucks are the snapshot's where all of the order goes as it was sold; else they are filled anew.
    """
    _settle(delivery)
    delivery.loads.filter(trip=None, loaded_at=None).delete()  # its things fall back to no load
    bundles = list(delivery.bundles.filter(load=None).order_by("number"))
    cartons = list(delivery.cartons.filter(load=None).order_by("number"))
    for load in _loads(delivery.order, bundles, cartons):
        made = TruckLoad.objects.create(
            delivery=delivery, number=load_number(delivery.pk), weight_lb=weight(load.weight_lb)
        )
        Bundle.objects.filter(pk__in=[bundles[index].pk for index in load.bundles]).update(load=made)
        Carton.objects.filter(pk__in=[cartons[index].pk for index in load.cartons]).update(load=made)


def _settle(delivery: Delivery) -> None:
    """Trips of this delivery after something was taken off them."""
    for trip in trips_locked(delivery.loads.exclude(trip=None).values_list("trip_id", flat=True)):
        settle_trip(trip)


def _loads(order: Order, bundles: list[Bundle], cartons: list[Carton]) -> tuple[EngineLoad, ...]:
    mine = [_engine_bundle(row) for row in bundles]
    packs = [EngineCarton(row.number, row.title, (), float(row.weight_lb)) for row in cartons]
    package = package_accepted(order.revision)
    if _weights(mine) == _weights(package.bundles) and _weights(packs) == _weights(package.cartons):
        return package.loads
    return load_trucks(mine, packs, practice_of(order.revision.practice_set))


def _engine_bundle(row: Bundle) -> EngineBundle:
    """A bundle as the loading sees it: by weight and length alone."""
    return EngineBundle(
        row.number, row.profile, (), float(row.weight_lb), row.length_16, row.zone, row.short, row.note
    )


def _weights(things: Sequence[EngineBundle | EngineCarton]) -> list[tuple[int, Decimal]]:
    return [(thing.number, weight(thing.weight_lb)) for thing in things]
