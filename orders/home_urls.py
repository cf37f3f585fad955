"""The home page."""

from django.urls import path

from orders.views import today

urlpatterns = [path("", today.today, name="today")]
