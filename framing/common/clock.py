"""The database's clock: the only one that decides expiry and order; a wrong clock on one machine harms nothing."""

from __future__ import annotations

from datetime import datetime
from typing import cast

from django.db import connection


def database_now() -> datetime:
    """The time now by the database, in UTC; inside a transaction it still advances."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT clock_timestamp()")
        (now,) = cursor.fetchone()
    return cast("datetime", now)
