from importlib import import_module

from django.apps import AppConfig


class CommonConfig(AppConfig):
    name = "framing.common"
    label = "common"
    default_auto_field = "django.db.models.BigAutoField"
    verbose_name = "Common"

    def import_models(self) -> None:
        """Load the models that stand beside `models` too."""
        super().import_models()
        import_module("framing.common.lists_models")
