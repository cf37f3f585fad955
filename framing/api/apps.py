from django.apps import AppConfig


class ApiConfig(AppConfig):
    name = "framing.api"
    label = "api"
