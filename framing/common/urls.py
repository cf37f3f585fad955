from django.urls import path

from framing.common import views

app_name = "common"

urlpatterns = [
    path("l/<str:secret>/", views.link_door, name="link_door"),
    path("health/live", views.health_live, name="health_live"),
    path("health/ready", views.health_ready, name="health_ready"),
]
