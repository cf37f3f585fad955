"""Operations on trucks of a day, their plans and manifests."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any, ClassVar

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere
from orders import load_reads
from orders.api import load_shapes as shapes
from orders.api.views import read
from orders.load_pages import day_page
from orders.manifest_facts import manifest_json, manifest_of
from orders.models import LoadPlan, Trip
from orders.services import load_plans, trip_steps, trips
from orders.services.load_ticks import Tick, load_tick
from orders.trip_loading import loading_rows


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise NotThere() from None


class TruckDayView(OperationView):
    access = Act("trip", "read")

    @extend_schema(operation_id="truck_day", responses=shapes.TruckDayOutput)
    def get(self, _request: Request, day: str) -> Response:
        """The trips of a day with their loads, and what waits for a truck."""
        page = day_page(_day(day))
        body = {
            "day": page.day,
            "version": page.version,
            "trips": [card.trip for card in page.cards],
            "waiting": [row.id for row in page.waiting],
        }
        return Response(shapes.TruckDayOutput(body).data)


class LoadPlanAskView(OperationView):
    access = Act("trip", "plan")

    @extend_schema(
        operation_id="load_plan_ask", request=shapes.LoadPlanInput, responses={202: shapes.LoadPlanOutput}
    )
    def post(self, request: Request, day: str) -> Response:
        """Ask for the trucks of a day; the worker plans them. One plan of a day at a time."""
        data = read(shapes.LoadPlanInput, request)
        plan = load_plans.load_plan_ask(actor=self.actor, at=database_now(), day=_day(day), **data)
        return Response(shapes.LoadPlanOutput(plan).data, status=202)


class LoadPlanAnewView(OperationView):
    access = Act("trip", "plan")

    @extend_schema(operation_id="load_plan_anew", request=None, responses={202: shapes.LoadPlanOutput})
    def post(self, _request: Request, day: str) -> Response:
        """Ask for all of a day anew that is on no locked or loaded truck."""
        plan = load_plans.load_plan_anew(actor=self.actor, at=database_now(), day=_day(day))
        return Response(shapes.LoadPlanOutput(plan).data, status=202)


class LoadPlanGetView(OperationView):
    access = Act("trip", "read")

    @extend_schema(operation_id="load_plan_get", responses=shapes.LoadPlanOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One plan with its bound and count; while it is made `done_share` tells how far it is."""
        return Response(shapes.LoadPlanOutput(load_reads.load_plan_get(public_id)).data)


class _PlanActView(OperationView):
    act: ClassVar[Callable[..., LoadPlan]]

    def do(self, public_id: str) -> Response:
        plan = load_reads.load_plan_get(public_id)
        done = type(self).act(actor=self.actor, at=database_now(), plan=plan)
        return Response(shapes.LoadPlanOutput(done).data)


def _plan_verb(name: str, service: Callable[..., LoadPlan], words: str) -> type[_PlanActView]:
    @extend_schema(operation_id=name, request=None, responses=shapes.LoadPlanOutput, description=words)
    def post(self: _PlanActView, _request: Request, public_id: str) -> Response:
        return self.do(public_id)

    body = {"access": Act("trip", "plan"), "act": staticmethod(service), "post": post}
    return type(name, (_PlanActView,), body)


LoadPlanStopView = _plan_verb(
    "load_plan_stop", load_plans.load_plan_stop, "Stop; the best plan so far is put to you."
)
LoadPlanTakeView = _plan_verb(
    "load_plan_take", load_plans.load_plan_take, "Make the proposed trucks true; 409 where it is stale."
)
LoadPlanRefuseView = _plan_verb("load_plan_refuse", load_plans.load_plan_refuse, "Lay a proposed plan aside.")


class TripsEditView(OperationView):
    access = Act("trip", "change")

    @extend_schema(operation_id="trips_edit", request=shapes.TripStepInput, responses=shapes.TripChangeOutput)
    def post(self, request: Request, day: str) -> Response:
        """Move a bundle or carton, let two change places, or take one off; refused in words where a rule breaks."""
        data = read(shapes.TripStepInput, request)
        version = data.pop("version")
        change = trip_steps.trips_edit(
            actor=self.actor,
            at=database_now(),
            day=_day(day),
            version=version,
            step=trip_steps.TripStep(**data),
        )
        return Response(shapes.TripChangeOutput(change).data)


class TripsUndoView(OperationView):
    access = Act("trip", "change")

    @extend_schema(
        operation_id="trips_undo", request=shapes.DayVersionInput, responses=shapes.TripChangeOutput
    )
    def post(self, request: Request, day: str) -> Response:
        """Take back the last step of a day."""
        data = read(shapes.DayVersionInput, request)
        change = trip_steps.trips_undo(actor=self.actor, at=database_now(), day=_day(day), **data)
        return Response(shapes.TripChangeOutput(change).data)


class TripsRedoView(OperationView):
    access = Act("trip", "change")

    @extend_schema(
        operation_id="trips_redo", request=shapes.DayVersionInput, responses=shapes.TripChangeOutput
    )
    def post(self, request: Request, day: str) -> Response:
        """Do again the step of a day that was taken back last, while no other was done since."""
        data = read(shapes.DayVersionInput, request)
        change = trip_steps.trips_redo(actor=self.actor, at=database_now(), day=_day(day), **data)
        return Response(shapes.TripChangeOutput(change).data)


class TripGetView(OperationView):
    access = Act("trip", "read")

    @extend_schema(operation_id="trip_get", responses=shapes.TripOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One trip with its stops."""
        return _shown(public_id)


def _shown(public_id: str) -> Response:
    return Response(shapes.TripOutput(load_reads.trip_get(public_id)).data)


def _did(view: OperationView, public_id: str, act: Callable[..., Trip], **more: Any) -> Response:
    act(actor=view.actor, at=database_now(), trip=load_reads.trip_get(public_id), **more)
    return _shown(public_id)


class TripLockView(OperationView):
    access = Act("trip", "change")

    @extend_schema(operation_id="trip_lock", request=shapes.TripLockInput, responses=shapes.TripOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Keep a load as it is when the rest is planned anew, or let it go again."""
        return _did(self, public_id, trips.trip_lock, **read(shapes.TripLockInput, request))


class TripNameView(OperationView):
    access = Act("trip", "change")

    @extend_schema(operation_id="trip_name", request=shapes.TripNameInput, responses=shapes.TripOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Name truck and driver; refused where the load does not go on that truck."""
        data = read(shapes.TripNameInput, request)
        named = data.pop("truck")
        truck = load_reads.truck_named(named) if named else None
        return _did(self, public_id, trips.trip_name, truck=truck, **data)


class TripStopsView(OperationView):
    access = Act("trip", "change")

    @extend_schema(operation_id="trip_stops", request=shapes.TripStopsInput, responses=shapes.TripOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Put the stops of a trip in another order."""
        return _did(self, public_id, trips.trip_stops, **read(shapes.TripStopsInput, request))


class TripLoadView(OperationView):
    access = Act("trip", "load")

    @extend_schema(operation_id="trip_load", request=shapes.EditionInput, responses=shapes.TripOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """All of it is on the truck; the manifests are stored."""
        return _did(self, public_id, trips.trip_load, **read(shapes.EditionInput, request))


class TripLeaveView(OperationView):
    access = Act("trip", "load")

    @extend_schema(operation_id="trip_leave", request=None, responses=shapes.TripOutput)
    def post(self, _request: Request, public_id: str) -> Response:
        """The truck leaves the yard."""
        return _did(self, public_id, trips.trip_leave)


class TripBackView(OperationView):
    access = Act("trip", "load")

    @extend_schema(operation_id="trip_back", request=None, responses=shapes.TripOutput)
    def post(self, _request: Request, public_id: str) -> Response:
        """The truck is back."""
        return _did(self, public_id, trips.trip_back)


class TripLoadingView(OperationView):
    access = Act("trip", "tick")

    @extend_schema(operation_id="trip_loading", responses=shapes.TripLoadingOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """What goes on a truck, in the order in which it goes on, and what is on."""
        found = loading_rows(load_reads.trip_get(public_id))
        return Response(shapes.TripLoadingOutput(found).data)


class TripTickView(OperationView):
    access = Act("trip", "tick")

    @extend_schema(operation_id="trip_tick", request=shapes.TickInput, responses=shapes.TickOutput)
    def post(self, request: Request, public_id: str) -> Response:
        """Say that a bundle or carton is on its truck, or take that back; one number counts once.

        With the last tick the truck is loaded.
        """
        tick = Tick(**read(shapes.TickInput, request))
        trip = load_reads.trip_get(public_id)
        done = load_tick(actor=self.actor, at=database_now(), trip=trip, tick=tick)
        return Response(shapes.TickOutput(done).data)


class LoadManifestView(OperationView):
    access = Act("load_paper", "read")

    @extend_schema(operation_id="load_manifest", responses={200: OpenApiTypes.OBJECT})
    def get(self, _request: Request, public_id: str) -> Response:
        """The manifest of a load as data, version 1; what the PDF and the CSV tell."""
        return Response(manifest_json(manifest_of(load_reads.load_get(public_id))))
