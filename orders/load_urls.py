"""Addresses of trucks, their plans and loads."""

from django.urls import path

from orders import load_views
from orders import trip_loading_views as loading_views

_DAY = "trucks/<slug:day>/"
_PLAN = "trucks/truck-plans/<str:public_id>/"
_LOADING = "trucks/loading/<str:public_id>/"
_TRIP = "trucks/trips/<str:public_id>/"

PATTERNS = [
    path("trucks/", load_views.trucks, name="trucks"),
    path(_PLAN, load_views.load_plan_page, name="load_plan_page"),
    path(_PLAN + "stop/", load_views.load_plan_stop, name="load_plan_stop"),
    path(_PLAN + "take/", load_views.load_plan_take, name="load_plan_take"),
    path(_PLAN + "refuse/", load_views.load_plan_refuse, name="load_plan_refuse"),
    path(_TRIP, load_views.trip_page, name="trip_page"),
    path(_TRIP + "lock/", load_views.trip_lock, name="trip_lock"),
    path(_TRIP + "name/", load_views.trip_name, name="trip_name"),
    path(_TRIP + "stops/", load_views.trip_stops, name="trip_stops"),
    path(_TRIP + "load/", load_views.trip_load, name="trip_load"),
    path(_TRIP + "leave/", load_views.trip_leave, name="trip_leave"),
    path(_TRIP + "back/", load_views.trip_back, name="trip_back"),
    path("trucks/loading/", loading_views.loading, name="loading"),
    path(_LOADING, loading_views.loading_page, name="loading_page"),
    path(_LOADING + "tick/", loading_views.load_tick, name="load_tick"),
    path(_LOADING + "acts/", loading_views.load_ticks, name="load_ticks"),
    path(_DAY, load_views.trucks_day, name="trucks_day"),
    path(_DAY + "plan/", load_views.load_plan_ask, name="load_plan_ask"),
    path(_DAY + "move/", load_views.trip_move, name="trip_move"),
    path(_DAY + "edit/", load_views.trips_edit, name="trips_edit"),
    path(_DAY + "undo/", load_views.trips_undo, name="trips_undo"),
    path(_DAY + "redo/", load_views.trips_redo, name="trips_redo"),
    path(_DAY + "anew/", load_views.load_plan_anew, name="load_plan_anew"),
    path("loads/<str:public_id>/manifest.<slug:form>", load_views.load_manifest, name="load_manifest"),
]
