"""Addresses of trucks, their plans and manifests in the API."""

from django.urls import path

from orders.api import loads

_DAY = "truck-days/<str:day>/"
_PLAN = "truck-plans/<str:public_id>/"
_TRIP = "trips/<str:public_id>/"

PATTERNS = [
    path(_DAY, loads.TruckDayView.as_view(), name="truck_day"),
    path(_DAY + "plan/", loads.LoadPlanAskView.as_view(), name="load_plan_ask"),
    path(_DAY + "edit/", loads.TripsEditView.as_view(), name="trips_edit"),
    path(_DAY + "undo/", loads.TripsUndoView.as_view(), name="trips_undo"),
    path(_DAY + "redo/", loads.TripsRedoView.as_view(), name="trips_redo"),
    path(_DAY + "anew/", loads.LoadPlanAnewView.as_view(), name="load_plan_anew"),
    path(_PLAN, loads.LoadPlanGetView.as_view(), name="load_plan_get"),
    path(_PLAN + "stop/", loads.LoadPlanStopView.as_view(), name="load_plan_stop"),
    path(_PLAN + "take/", loads.LoadPlanTakeView.as_view(), name="load_plan_take"),
    path(_PLAN + "refuse/", loads.LoadPlanRefuseView.as_view(), name="load_plan_refuse"),
    path(_TRIP, loads.TripGetView.as_view(), name="trip_get"),
    path(_TRIP + "lock/", loads.TripLockView.as_view(), name="trip_lock"),
    path(_TRIP + "name/", loads.TripNameView.as_view(), name="trip_name"),
    path(_TRIP + "stops/", loads.TripStopsView.as_view(), name="trip_stops"),
    path(_TRIP + "load/", loads.TripLoadView.as_view(), name="trip_load"),
    path(_TRIP + "leave/", loads.TripLeaveView.as_view(), name="trip_leave"),
    path(_TRIP + "back/", loads.TripBackView.as_view(), name="trip_back"),
    path(_TRIP + "loading/", loads.TripLoadingView.as_view(), name="trip_loading"),
    path(_TRIP + "tick/", loads.TripTickView.as_view(), name="trip_tick"),
    path("loads/<str:public_id>/manifest/", loads.LoadManifestView.as_view(), name="load_manifest"),
]
