"""The home page, and the door behind the codes of tags."""

from django.urls import path

from orders.views import tags, today

urlpatterns = [
    path("", today.today, name="today"),
    path("t/<str:code>/", tags.tag_door, name="tag_door"),
    path("T/<str:code>/", tags.tag_door, name="tag_door_capitals"),  # codes hold their address in capitals
]
