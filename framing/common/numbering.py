"""Document numbers such as Q-2026-0001: one locked row a series and year, so there is no gap and no twin."""

from __future__ import annotations

from datetime import datetime

from framing.common.models import NumberSeries


def next_number(series: str, at: datetime) -> str:
    """The next number of a series, inside the caller's transaction; a rollback gives it back."""
    NumberSeries.objects.get_or_create(series=series, year=at.year)
    row = NumberSeries.objects.select_for_update().get(series=series, year=at.year)
    row.last += 1
    row.save(update_fields=["last"])
    return f"{series}-{at.year}-{row.last:04d}"
