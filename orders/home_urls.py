"""The home page, and the door behind the codes of tags."""

from django.urls import path

from orders import delivery_feed_views
from orders.views import tags, today

urlpatterns = [
    path("", today.today, name="today"),
    path("calendar/<str:secret>/deliveries.ics", delivery_feed_views.calendar_feed, name="calendar_feed"),
    path("t/<str:code>/", tags.tag_door, name="tag_door"),
    path("T/<str:code>/", tags.tag_door, name="tag_door_capitals"),  # codes hold their address in capitals
]
