from django.apps import AppConfig


class ProjectsConfig(AppConfig):
    name = "framing.projects"
    label = "projects"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Tell how builders and projects are found and listed."""
        from framing.projects import find, lists  # models are there only now

        find.register()
        lists.register()
