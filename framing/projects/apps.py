from django.apps import AppConfig


class ProjectsConfig(AppConfig):
    name = "framing.projects"
    label = "projects"
    default_auto_field = "django.db.models.BigAutoField"
