"""Addresses of stops in the orders' API."""

from django.urls import path

from orders.api import stops

PATTERNS = [
    path("trips/<str:public_id>/loads/", stops.StopListView.as_view(), name="stop_list"),
    path("trips/<str:public_id>/links/", stops.TripLinkMakeView.as_view(), name="trip_link_make"),
    path(
        "trips/<str:public_id>/links/<str:link_id>/withdraw/",
        stops.TripLinkWithdrawView.as_view(),
        name="trip_link_withdraw",
    ),
    path("loads/<str:public_id>/arrive/", stops.StopArriveView.as_view(), name="stop_arrive"),
    path("loads/<str:public_id>/unload/", stops.StopUnloadView.as_view(), name="stop_unload"),
]
