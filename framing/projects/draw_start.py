"""What the plan editor's page begins with: the document, what may be done, the addresses that it asks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from framing.engine.catalogue import load_catalogue
from framing.engine.loads import load_dead_layers, load_occupancies
from framing.projects.draw_selectors import Opened
from framing.projects.entry_values import usual_values
from framing.projects.models import Floor, PlanPage, Project, UnitSystem
from framing.projects.plan_selectors import under_facts

OF_FLOOR = ("draft", "draft_drop", "save", "versions", "presence")


@dataclass(frozen=True, slots=True)
class Rights:
    """What the reader's role may do; the page leaves out what it may not."""

    change: bool
    price: bool


def blank_document(units: str, name: str) -> dict[str, Any]:
    """A floor with nothing drawn yet, with the loads and the spacing that a new floor usually has."""
    usual, layer = usual_values(units), load_dead_layers()[0].layer
    use = next(row for row in load_occupancies() if row.name == usual["occupancy"])
    return {
        "format": "spanyard.floor",
        "version": 1,
        "name": name,
        "level": usual["level"],
        "units": units,
        "repeat": 1,
        "outline": [],
        "edges": [],
        "supports": [],
        "openings": [],
        "bays": [
            {
                "id": usual["bay_id"],
                "direction": usual["direction"],
                "start": usual["start"],
                "spacing": usual["spacing"],
                "offset": None,
                "profile": None,
                "outline": None,
                "load_case": None,
                "plies": 1,
            }
        ],
        "partitions": [],
        "load_case": {
            "occupancy": use.name,
            "live_psf": use.live_psf,
            "layers": [{"name": layer.name, "psf": layer.load_psf}],
            "partition_psf": 0,
        },
        "overrides": {"plies": []},
    }


def start_facts(
    project: Project, floor: Floor | None, opened: Opened, rights: Rights, under: PlanPage | None = None
) -> dict[str, Any]:
    """The page's start document, ready for JSON; floor None is a new floor of the project.

    `under` is the page of a plan that lies under the drawing.
    """
    uses, typed = load_occupancies(), opened.document.get("units")
    facts: dict[str, Any] = {
        "document": opened.document,
        "base_version": opened.base_version,
        "from_draft": opened.from_draft,
        "version": floor.version if floor else 0,
        "units": typed if typed in UnitSystem.values else project.units,
        "name": floor.name if floor else opened.document["name"],
        "urls": _urls(project, floor, rights),
        "profiles": [profile.designator for profile in load_catalogue().profiles],
        "occupancies": [use.name for use in uses],
        "live_psf": {use.name: use.live_psf for use in uses},
        "may_change": rights.change,
        "may_price": rights.price,
        "under": under_facts(under) if under else None,
        "under_url": reverse("projects:draw_under", args=[floor.public_id]) if floor else None,
        "plans_url": reverse("projects:plan_list", args=[project.public_id]),
    }
    if under and floor is None:  # the first save names the page that is traced
        facts["urls"]["save"] += f"?under={under.public_id}"
    return facts


def _urls(project: Project, floor: Floor | None, rights: Rights) -> dict[str, str | None]:
    """Addresses by what is asked there; None where a new floor has nothing to ask for, or the reader no right to."""
    urls: dict[str, str | None] = {
        name: None if floor is None else reverse(f"projects:draw_{name}", args=[floor.public_id])
        for name in OF_FLOOR
    }
    for name in ("answer", "places", "change"):
        urls[name] = reverse(f"projects:draw_{name}", args=[project.public_id])
    urls["options"] = (
        reverse("api:quotes_api:priced_options", args=[project.public_id]) if rights.price else None
    )
    if floor is None:
        urls["save"] = reverse("projects:draw_create", args=[project.public_id])
    return urls
