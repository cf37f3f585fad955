"""Bring the database up to the code; `./run` does so before anything starts."""

import os

import django
from django.conf import settings
from django.core.management import call_command


def prepare() -> None:
    """Migrate, make the cache table and, in the demo's first start, fill in the demo company."""
    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)
    if settings.SPANYARD_DEMO:
        from django.contrib.auth import get_user_model

        if not get_user_model().objects.exists():
            call_command("seed_demo")
        call_command("seed_demo", show=True)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "framing.config.settings.dev")
    django.setup()
    prepare()
