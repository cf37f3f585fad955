"""Rows of loads and stops as a plan of trucks wants them; callers hold the orders' locks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.db.models import Max, Sum

from orders.load_facts import LoadRow
from orders.models import Bundle, Carton, Delivery, Order, Trip, TruckLoad
from orders.services.moves import order_locked

FAR = 10_000  # stops while they are counted anew: no trip has so many


def orders_locked(order_ids: Iterable[int]) -> list[Order]:
    """Orders locked in one order everywhere, so that two verbs never wait for each other."""
    return [order_locked(pk) for pk in sorted(set(order_ids))]


def trips_locked(trip_ids: Iterable[int]) -> list[Trip]:
    """Trips locked after their orders, by number, with their loads."""
    rows = Trip.objects.select_for_update(of=("self",)).filter(pk__in=list(trip_ids)).order_by("number")
    return list(rows.prefetch_related("loads__delivery"))


def load_number(delivery_id: int) -> int:
    """The lowest number that no load of a delivery has."""
    taken = set(TruckLoad.objects.filter(delivery=delivery_id).values_list("number", flat=True))
    return next(number for number in range(1, len(taken) + 2) if number not in taken)


def fill_load(load: TruckLoad, things: Iterable[LoadRow]) -> None:
    """Put things on a load beside what is on it."""
    things = list(things)
    bundles = [one.row.pk for one in things if one.is_bundle]
    cartons = [one.row.pk for one in things if not one.is_bundle]
    Bundle.objects.filter(pk__in=bundles).update(load=load)
    Carton.objects.filter(pk__in=cartons).update(load=load)


def take_off(things: Iterable[LoadRow]) -> None:
    """Leave things on no load; they stay on their delivery."""
    things = list(things)
    Bundle.objects.filter(pk__in=[one.row.pk for one in things if one.is_bundle]).update(load=None)
    Carton.objects.filter(pk__in=[one.row.pk for one in things if not one.is_bundle]).update(load=None)


def clear_loads(deliveries: Sequence[Delivery], things: Iterable[LoadRow]) -> None:
    """Take off what is planned anew; loads, and trips, that hold nothing after that are gone."""
    take_off(things)
    loads = TruckLoad.objects.filter(delivery__in=deliveries, loaded_at=None)
    trips = set(loads.exclude(trip=None).values_list("trip_id", flat=True))
    loads.filter(bundles=None, cartons=None).delete()
    for trip in trips_locked(trips):
        settle_trip(trip)
    Trip.objects.filter(pk__in=trips, loads=None).delete()


def settle_trip(trip: Trip) -> None:
    """After things came or went: empty loads go, stops count from 1, weights are summed, the edition grows."""
    trip.loads.filter(bundles=None, cartons=None, loaded_at=None).delete()
    stops = list(trip.loads.order_by("stop"))
    for place, load in enumerate(stops, 1):
        if load.stop != place:  # upwards, so a stop is free before it is given
            TruckLoad.objects.filter(pk=load.pk).update(stop=place)
    weigh_loads(stops)
    trip.edition += 1
    trip.save(update_fields=["plan", "edition"])


def weigh_loads(loads: Iterable[TruckLoad]) -> None:
    """A load weighs what is on it."""
    for load in loads:
        sums = [
            rows.aggregate(lb=Sum("weight_lb"))["lb"] or Decimal(0) for rows in (load.bundles, load.cartons)
        ]
        TruckLoad.objects.filter(pk=load.pk).update(weight_lb=sum(sums, Decimal(0)))


def order_stops(load_ids: Sequence[int]) -> None:
    """Give all loads of a trip their stops in this order."""
    for place, pk in enumerate(load_ids, 1):
        TruckLoad.objects.filter(pk=pk).update(stop=FAR + place)
    for place, pk in enumerate(load_ids, 1):
        TruckLoad.objects.filter(pk=pk).update(stop=place)


def last_stop(trip: Trip) -> int:
    return int(TruckLoad.objects.filter(trip=trip).aggregate(most=Max("stop"))["most"] or 0)
