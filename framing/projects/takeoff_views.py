"""The take-off page of a floor's saved version: bill with derivations, plan, schedule, cut list. No prices."""

from __future__ import annotations

from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from framing.common.access import grants
from framing.projects import selectors
from framing.projects.sheets import version_named
from framing.projects.takeoff import current_takeoff

CSV_TABLES: Final = (("materials", "Bill"), ("schedule", "Schedule"), ("cuts", "Cut list"))


@grants("floor", "read")
@require_GET
def takeoff_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """What one floor needs and why, newest version unless `?version=` names one."""
    floor = selectors.floor_get(public_id)
    version = version_named(request.GET.get("version", ""), floor)
    older = version.number != floor.version
    context = {
        "takeoff": current_takeoff(version),
        "floor": floor,
        "version": version,
        "project": floor.project,
        "csv_tables": CSV_TABLES,
        "query": f"?version={version.number}" if older else "",
        "and_version": f"&version={version.number}" if older else "",
    }
    return render(request, "projects/takeoff.html", context)
