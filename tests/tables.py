"""The test database's tables that hold a company's rows, and whether rows may be put into them past triggers."""

from __future__ import annotations

from django.db import connection

_FILLED_BY_MIGRATING = {"django_content_type", "auth_permission"}


def is_superuser() -> bool:
    """Only a superuser may pass triggers and constraints over."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT rolsuper FROM pg_roles WHERE rolname = current_user")
        return bool(cursor.fetchone()[0])


def company_tables() -> list[str]:
    """Every model's table but those that migrating fills, by name."""
    names = connection.introspection.django_table_names(only_existing=True, include_views=False)
    return sorted(set(names) - _FILLED_BY_MIGRATING)
