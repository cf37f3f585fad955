from django.urls import path

from framing.common import find_views, listing_views, views

app_name = "common"

urlpatterns = [
    path("l/<str:secret>/", views.link_door, name="link_door"),
    path("find/", find_views.find_page, name="find"),
    path("keys/", listing_views.keys_page, name="keys_page"),
    path("lists/saved/", listing_views.saved_page, name="saved_page"),
    path("lists/saved/<str:public_id>/", listing_views.saved_change, name="saved_change"),
    path("lists/saved/<str:public_id>/remove/", listing_views.saved_remove, name="saved_remove"),
    path("lists/saved/<str:public_id>/start/", listing_views.saved_start, name="saved_start"),
    path("lists/<slug:key>/save/", listing_views.saved_make, name="saved_make"),
    path("lists/<slug:key>/start/clear/", listing_views.start_clear, name="start_clear"),
    path("health/live", views.health_live, name="health_live"),
    path("health/ready", views.health_ready, name="health_ready"),
]
