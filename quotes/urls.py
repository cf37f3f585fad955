from django.urls import URLPattern

app_name = "quotes"

urlpatterns: list[URLPattern] = []
