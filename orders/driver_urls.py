"""Addresses of the driver's page, and of staff's page of his stops."""

from django.urls import path

from orders import driver_views, stop_views

_DRIVER = "driver/<str:public_id>/"
_TRIP = "trips/<str:public_id>/"

PATTERNS = [
    path(_DRIVER, driver_views.driver_trip, name="driver_trip"),
    path(_DRIVER + "acts/", driver_views.driver_acts, name="driver_acts"),
    path(_DRIVER + "act/", driver_views.driver_act, name="driver_act"),
    path(_DRIVER + "photos/", driver_views.driver_photo_take, name="driver_photo_take"),
    path(_DRIVER + "language/", driver_views.driver_language, name="driver_language"),
    path(_DRIVER + "worker.js", driver_views.driver_worker, name="driver_worker"),
    path(_TRIP + "driver/", stop_views.trip_stops, name="trip_driver"),
    path(_TRIP + "driver/<str:load_id>/arrive/", stop_views.arrive, name="stop_arrive"),
    path(_TRIP + "driver/<str:load_id>/unload/", stop_views.unload, name="stop_unload"),
    path(_TRIP + "driver/link/", stop_views.link_new, name="trip_link_make"),
    path(_TRIP + "driver/link/<str:link_id>/withdraw/", stop_views.link_end, name="trip_link_withdraw"),
]
