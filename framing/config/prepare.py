"""Bring the database up to the code; `./run` and the compose file do so before anything starts.

python -m framing.config.prepare [--start-services]
"""

import argparse
import os

import django
from django.conf import settings
from django.core.management import call_command

from framing.config import embedded


def prepare() -> None:
    """Migrate, make the cache table and, at the first start of the demo, fill in the demo company.

    Where SPANYARD_DATABASE_ROLE names a role, that one gets the rights that the program needs on what is there now.
    """
    call_command("migrate", interactive=False, verbosity=0)
    call_command("createcachetable", verbosity=0)
    if role := os.environ.get("SPANYARD_DATABASE_ROLE"):
        call_command("grant_role", role, verbosity=0)
    if settings.SPANYARD_DEMO:
        from django.contrib.auth import get_user_model  # needs Django set up

        if not get_user_model().objects.exists():
            call_command("seed_demo")


def main() -> None:
    """Start the private services if asked to, then prepare their database."""
    parser = argparse.ArgumentParser(prog="prepare")
    parser.add_argument(
        "--start-services", action="store_true", help="PostgreSQL and Valkey of this checkout"
    )
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "framing.config.settings.dev")
    if parser.parse_args().start_services:
        embedded.start(settings.BASE_DIR)
    django.setup()
    prepare()


if __name__ == "__main__":
    main()
