from django.apps import AppConfig


class CommonConfig(AppConfig):
    name = "framing.common"
    label = "common"
    default_auto_field = "django.db.models.BigAutoField"
    verbose_name = "Common"
