"""Reads of trips, truck plans and what waits for a truck; every list fixes its joins and its order (R47)."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import date, timedelta

from django.db.models import Count, Prefetch, Q, QuerySet

from framing.common.models import OutboxEntry
from framing.engine.trucks import TruckKind
from orders.load_facts import FURTHER, kind_of
from orders.models import Bundle, Carton, Delivery, LoadPlan, Trip, TripChange, Truck, TruckLoad
from orders.selectors import missing
from orders.states import LoadPlanState, OrderStage

_PROJECT = "delivery__order__revision__quote__project"
_BIG = ("delivery__order__revision__result", "delivery__order__revision__floors")
STEPS_SHOWN = 12
AHEAD = timedelta(days=3)
CLOSED_TO_TRUCKS = (OrderStage.CANCELLED, OrderStage.CLOSED)


def _trips() -> QuerySet[Trip]:
    loads = (
        TruckLoad.objects.select_related(f"{_PROJECT}__builder", f"{_PROJECT}__site")
        .defer(*_BIG)
        .annotate(
            bundle_count=Count("bundles", distinct=True),
            carton_count=Count("cartons", distinct=True),
            unfinished=Count("bundles", filter=Q(bundles__finished_at=None), distinct=True),
        )
        .order_by("stop")
    )
    return Trip.objects.select_related("truck").prefetch_related(Prefetch("loads", loads))


def trip_list(day: date) -> QuerySet[Trip]:
    """Trips of a day that carry something, by number, each with its stops in order."""
    return _trips().filter(day=day, loads__isnull=False).distinct().order_by("number")


def day_trips(day: date) -> list[Trip]:
    return list(trip_list(day))


def trips_to_load(day: date) -> list[Trip]:
    """Trips of a day and the next ones, for trucks are loaded ahead, and earlier ones that are not loaded yet."""
    soon = Q(day__gte=day, day__lte=day + AHEAD)
    late = Q(day__lt=day, left_at=None, loads__loaded_at=None)
    pks = Trip.objects.filter(soon | late, loads__isnull=False).values("pk")
    return list(_trips().filter(pk__in=pks).order_by("day", "number"))


def trip_get(public_id: str) -> Trip:
    """One trip with truck and stops. Raises NotThere."""
    return _trips().filter(public_id=public_id).first() or missing()


def load_get(public_id: str) -> TruckLoad:
    """One load by its public id, with delivery and trip. Raises NotThere."""
    from orders.manifest_facts import load_rows

    found: TruckLoad | None = load_rows().filter(public_id=public_id).first()
    return found or missing()


def load_of(delivery: Delivery, number: str) -> TruckLoad:
    """A load of a delivery by its number, the first one for "". Raises NotThere."""
    from orders.manifest_facts import load_rows

    rows = load_rows().filter(delivery=delivery).order_by("number")
    if number:
        rows = (
            rows.filter(number=int(number))
            if number.isascii() and number.isdigit() and len(number) < 5
            else rows.none()
        )
    found: TruckLoad | None = rows.first()
    return found or missing()


def manifest_job(delivery: Delivery) -> OutboxEntry | None:
    """The work on the manifests of a delivery's loaded trucks that is not done yet, stopped work first."""
    keys = [
        f"load {pk}" for pk in delivery.loads.filter(loaded_at__isnull=False).values_list("pk", flat=True)
    ]
    rows = OutboxEntry.objects.filter(kind="manifest_paper", key__in=keys, done_at=None)
    return rows.order_by("parked_at", "id").first()


def day_version(trips: Sequence[Trip]) -> str:
    """Which state of a day's trucks a page shows; a step on another state is refused."""
    text = " ".join(f"{trip.number}:{trip.edition}" for trip in trips)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def day_deliveries(day: date) -> QuerySet[Delivery]:
    """Deliveries of a day that are still to be loaded, by window and number, with what they hold counted."""
    rows = (
        _to_load()
        .filter(planned_for=day)
        .select_related("order__revision__quote__project__builder", "order__revision__quote__project__site")
    )
    rows = rows.defer("order__revision__result", "order__revision__floors").annotate(
        bundle_count=Count("bundles", distinct=True),
        carton_count=Count("cartons", distinct=True),
        waiting_bundles=Count("bundles", filter=Q(bundles__load__trip=None), distinct=True),
        waiting_cartons=Count("cartons", filter=Q(cartons__load__trip=None), distinct=True),
    )
    return rows.order_by("window_from", "number")


def _to_load() -> QuerySet[Delivery]:
    rows = Delivery.objects.filter(loaded_at=None, dropped_at=None)
    return rows.exclude(order__stage__in=CLOSED_TO_TRUCKS)


def next_day_to_load(day: date) -> date | None:
    """The first day after this one on which something is still to be loaded."""
    rows = _to_load().filter(planned_for__gt=day).order_by("planned_for")
    return rows.values_list("planned_for", flat=True).first()


def loads_without_trip(day: date) -> QuerySet[TruckLoad]:
    """What of a day's deliveries was loaded though no truck was planned for it."""
    rows = TruckLoad.objects.filter(trip=None, loaded_at__isnull=False, delivery__planned_for=day)
    rows = rows.select_related(f"{_PROJECT}__builder", f"{_PROJECT}__site").defer(*_BIG)
    return rows.order_by("delivery__number", "number")


def waiting_things(day: date) -> list[Bundle | Carton]:
    """What of a day's deliveries is on no truck, bundles first."""
    ids = [row.pk for row in day_deliveries(day)]
    bundles = Bundle.objects.filter(delivery__in=ids, load__trip=None).select_related("order", "delivery")
    cartons = Carton.objects.filter(delivery__in=ids, load__trip=None).select_related("order", "delivery")
    return [*bundles.order_by("order_id", "number"), *cartons.order_by("order_id", "number")]


def trucks_active() -> QuerySet[Truck]:
    """The company's trucks that can be used, by name."""
    return Truck.objects.filter(active=True).order_by("name")


def trucks_free(day: date) -> set[str]:
    """Public ids of the company's trucks that no locked, loaded or gone trip of a day has taken."""
    taken = Trip.objects.filter(day=day, loads__isnull=False)
    taken = taken.filter(Q(locked=True) | Q(left_at__isnull=False) | Q(loads__loaded_at__isnull=False))
    rows = trucks_active().exclude(pk__in=taken.exclude(truck=None).values("truck"))
    return set(rows.values_list("public_id", flat=True))


def spare_kinds(day: date) -> list[TruckKind]:
    """Trucks that a step may add to a day: the company's that are on no trip of it, and one that is hired."""
    used = Trip.objects.filter(day=day, loads__isnull=False).exclude(truck=None).values("truck")
    return [*(kind_of(truck) for truck in trucks_active().exclude(pk__in=used)), FURTHER]


def load_plan_get(public_id: str) -> LoadPlan:
    """One truck plan. Raises NotThere."""
    return LoadPlan.objects.select_related("asked_by").filter(public_id=public_id).first() or missing()


def load_plan_of(day: date) -> LoadPlan | None:
    """The plan of a day that is being made or waits to be looked at."""
    states = (LoadPlanState.ASKED, LoadPlanState.MAKING, LoadPlanState.PROPOSED)
    return LoadPlan.objects.filter(day=day, state__in=states).first()


def load_plan_list(day: date) -> QuerySet[LoadPlan]:
    """Plans of a day, newest first."""
    return LoadPlan.objects.filter(day=day).order_by("-id")


def trip_changes(day: date) -> list[TripChange]:
    """The last steps of a day, newest first."""
    return list(TripChange.objects.filter(day=day).select_related("by").order_by("-id")[:STEPS_SHOWN])


def step_to_undo(day: date) -> TripChange | None:
    """The last step of a day that stands; None where one of its trucks gave way to others since."""
    return _on_its_trucks(TripChange.objects.filter(day=day, undone_at=None).last())


def step_to_redo(day: date) -> TripChange | None:
    """The step that was taken back last: the first one after those that stand, unless another was done since.

    None where one of its trucks gave way to others since.
    """
    return _on_its_trucks(TripChange.objects.filter(day=day, undone_at__isnull=False, cleared=False).first())


def _on_its_trucks(change: TripChange | None) -> TripChange | None:
    if change is None or Trip.objects.filter(number__in=change.after).count() < len(change.after):
        return None
    return change


def truck_named(public_id: str) -> Truck:
    """One of the company's trucks. Raises NotThere."""
    return Truck.objects.filter(public_id=public_id).first() or missing()
