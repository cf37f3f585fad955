"""The one write of an import: a floor made of a file that somebody brought."""

from __future__ import annotations

from datetime import datetime

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import Refused
from framing.projects.draw_services import draw_create
from framing.projects.import_choice import Choice
from framing.projects.import_floor import can_import, import_floor
from framing.projects.models import Floor, PlanFile


def floor_import(*, actor: Actor, at: datetime, plan: PlanFile, choice: Choice) -> Floor:
    """Make a new floor of the file's project as it was chosen; the same asked twice is one floor.

    Raises Refused where something has still to be chosen or mended, and as `floor_create`.
    """
    require(actor, "floor", "make")
    if not can_import(plan):
        raise Refused(
            f"No floor can be taken from “{plan.name}”; add a DXF, a CSV of corners or a floor document."
        )
    found = import_floor(plan, choice)
    if found.document is None:
        problems = [{"place": problem.place, "message": problem.message} for problem in found.problems]
        raise Refused(problems[0]["message"], field=problems[0]["place"], detail=problems)
    return draw_create(actor=actor, at=at, project=plan.project, document=found.document)
