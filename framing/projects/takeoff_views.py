"""The take-off page of a floor's saved version: bill with derivations, plan, schedule, cut list. No prices."""

from __future__ import annotations

from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from framing.common.access import grants
from framing.projects.takeoff import current_takeoff
from framing.projects.version_pages import asked_version, version_query

CSV_TABLES: Final = (("materials", "Bill"), ("schedule", "Schedule"), ("cuts", "Cut list"))


@grants("floor", "read")
@require_GET
def takeoff_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """What one floor needs and why, newest version unless `?version=` names one."""
    version = asked_version(request, public_id)
    query = version_query(version)
    context = {
        "takeoff": current_takeoff(version),
        "floor": version.floor,
        "version": version,
        "project": version.floor.project,
        "csv_tables": CSV_TABLES,
        "query": query,
        "and_version": query.replace("?", "&"),
    }
    return render(request, "projects/takeoff.html", context)
