"""Writes of plan files: adding one, placing a page, laying it under a floor, taking a plan away."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.bounded import JobRefused
from framing.common.errors import Clash, NotThere, Refused, TooBig
from framing.common.outbox import outbox_add
from framing.projects.draw_services import draw_create
from framing.projects.models import Floor, FloorUnderlay, PlanFile, PlanPage, Project
from framing.projects.plan_selectors import READ_WORK
from framing.projects.plan_store import FILES
from framing.projects.reading.kinds import kind_of, safe_name

FILE_MOST: Final = 25_000_000
FILES_MOST: Final = 100
PLACE_MOST_16: Final = 16 * 12 * 10_000
INCHES_PER_PX_MOST: Final = 1000
DIM_LEAST: Final = 0.1


def plan_file_add(*, actor: Actor, at: datetime, project: Project, name: str, data: bytes) -> PlanFile:
    """Keep a file that somebody brought and ask the worker to read it; the same bytes in a project are one file.

    Raises:
        TooBig: over 25,000,000 bytes.
        Refused: empty, of no kind that is read here, or more than 100 files in the project.
    """
    require(actor, "project", "change")
    user = actor.user
    if user is None:
        raise NotThere()
    if len(data) > FILE_MOST:
        raise TooBig(
            f"“{safe_name(name)}” has {len(data):,} bytes; at most {FILE_MOST:,} are read. Save fewer pages or a "
            "smaller picture, and add that.",
            field="file",
        )
    try:
        kind = kind_of(data)
    except JobRefused as error:
        raise Refused(f"“{safe_name(name)}”: {error}", field="file") from error
    sha256 = hashlib.sha256(data).hexdigest()
    with transaction.atomic():
        Project.objects.select_for_update().get(pk=project.pk)
        known = project.plan_files.filter(sha256=sha256).first()
        if known is not None:
            return known
        if project.plan_files.count() >= FILES_MOST:
            raise Refused(
                f"A project keeps at most {FILES_MOST} plans; take one away before you add another.",
                field="file",
            )
        FILES.hold()
        row = PlanFile.objects.create(
            project=project,
            uploaded_by=user,
            name=safe_name(name),
            kind=kind,
            sha256=FILES.write(data),
            size=len(data),
            made_at=at,
        )
        outbox_add(READ_WORK, row.public_id, {"plan_file": row.pk})
        audit_record(actor, "plan_file_add", project, at=at, change={"name": row.name, "kind": kind})
    return row


def plan_file_remove(*, actor: Actor, at: datetime, plan_file: PlanFile) -> None:
    """Take a plan away: its pages go, and lie under no floor any more; the floors stay. Harmless when it is gone."""
    require(actor, "project", "change")
    with transaction.atomic():
        row = PlanFile.objects.select_for_update().filter(pk=plan_file.pk).first()
        if row is not None:
            audit_record(actor, "plan_file_remove", row.project, at=at, change={"name": row.name})
            row.delete()


# --- pages under floors ---


def plan_page_place(*, actor: Actor, page: PlanPage, placement: Mapping[str, Any]) -> PlanPage:
    """Say where a page lies, any of its placement's fields; the last word holds.

    `inches_per_px` (or None), `x_16`, `y_16`, `quarter_turns`, `dim` and `locked`. How dim a locked page is may still
    be said. Raises Refused for a wrong value, Clash while it is locked, unless this unlocks it.
    """
    require(actor, "project", "change")
    values = {name: _placed(name, value) for name, value in placement.items()}
    with transaction.atomic():
        row = PlanPage.objects.select_for_update(of=("self",)).select_related("plan_file").get(pk=page.pk)
        if row.locked and values.get("locked", True) and set(values) - {"dim", "locked"}:
            raise Clash("The plan under the drawing is locked; unlock it before you move, turn or scale it.")
        for name, value in values.items():
            setattr(row, name, value)
        row.save(update_fields=list(values))
    return row


def _placed(name: str, value: Any) -> Any:
    """A value of a placement. Raises Refused naming the field, its limits and what to do."""
    number = isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)
    whole = isinstance(value, int) and not isinstance(value, bool)
    good, words = {
        "inches_per_px": (
            value is None or (number and 0 < value < INCHES_PER_PX_MOST),
            f"over 0 and under {INCHES_PER_PX_MOST:,} inches of the building a pixel; set the scale anew",
        ),
        "x_16": (whole and abs(value) <= PLACE_MOST_16, "within 10,000 ft of the corner of the plan"),
        "y_16": (whole and abs(value) <= PLACE_MOST_16, "within 10,000 ft of the corner of the plan"),
        "quarter_turns": (whole and 0 <= value <= 3, "0, 1, 2 or 3"),
        "dim": (number and DIM_LEAST <= value <= 1, f"from {DIM_LEAST} to 1"),
        "locked": (isinstance(value, bool), "true or false"),
    }.get(name, (False, "left out: a page has no such value"))
    if not good:
        raise Refused(f"“{name}” must be {words}.", field=name)
    return value


def floor_underlay_set(*, actor: Actor, floor: Floor, page: PlanPage | None) -> None:
    """Lay a page under a floor in place of the one before, or take it away (None). Raises Refused for a page of
    another project."""
    require(actor, "floor", "change")
    if page is not None and page.plan_file.project_id != floor.project_id:
        raise Refused("This plan belongs to another project; add it to this one first.", field="page")
    if page is None:
        FloorUnderlay.objects.filter(floor=floor).delete()
    else:
        FloorUnderlay.objects.update_or_create(floor=floor, defaults={"page": page})


def floor_create_over(
    *, actor: Actor, at: datetime, project: Project, document: Mapping[str, Any], page: PlanPage | None
) -> Floor:
    """Save a new floor (`draw_create`) that was traced over a page, which goes on lying under it."""
    with transaction.atomic():
        floor = draw_create(actor=actor, at=at, project=project, document=document)
        if page is not None:
            floor_underlay_set(actor=actor, floor=floor, page=page)
    return floor
