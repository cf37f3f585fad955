"""Reads of plan files: those of a project, their pages, what lies under a floor."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, QuerySet
from django.urls import reverse

from framing.common.errors import NotThere
from framing.common.models import OutboxEntry
from framing.projects.models import Floor, FloorUnderlay, PlanFile, PlanPage, PlanState, Project

READ_WORK = "plan_file_read"


def plan_file_list(project: Project) -> QuerySet[PlanFile]:
    """The plan files of a project, newest first, with who brought them and `page_count`; without their facts."""
    rows = PlanFile.objects.filter(project=project).select_related("uploaded_by").defer("facts")
    return rows.annotate(page_count=Count("pages")).order_by("-id")


def plan_file_get(project_id: str, public_id: str) -> PlanFile:
    """One plan file of a project, with the project, builder and owner. Raises NotThere."""
    rows = PlanFile.objects.select_related("project__builder", "project__owner", "uploaded_by")
    known = project_id.isalnum() and public_id.isalnum()
    found = rows.filter(project__public_id=project_id, public_id=public_id).first() if known else None
    if found is None:
        raise NotThere()
    return found


def plan_page_find(public_id: Any, project: Project | None = None) -> PlanPage | None:
    """One page with its file and project, of that project where one is given; None where there is none."""
    if not isinstance(public_id, str) or not public_id.isalnum():
        return None
    rows = PlanPage.objects.select_related("plan_file__project").filter(public_id=public_id)
    return (rows if project is None else rows.filter(plan_file__project=project)).first()


def plan_page_get(public_id: str, project: Project | None = None) -> PlanPage:
    """As `plan_page_find`. Raises NotThere."""
    found = plan_page_find(public_id, project)
    if found is None:
        raise NotThere()
    return found


def plan_page_list(plan_file: PlanFile) -> QuerySet[PlanPage]:
    """The pages of a plan file in order."""
    return PlanPage.objects.filter(plan_file=plan_file).order_by("number")


def reading_job(plan_file: PlanFile) -> OutboxEntry | None:
    """The work that reads a file, while it waits to be read."""
    if plan_file.state != PlanState.WAITING:
        return None
    return OutboxEntry.objects.filter(kind=READ_WORK, key=plan_file.public_id).first()


def floor_under(floor: Floor) -> PlanPage | None:
    """The page that lies under a floor."""
    row = FloorUnderlay.objects.select_related("page__plan_file").filter(floor=floor).first()
    return row.page if row else None


def placement_facts(page: PlanPage) -> dict[str, Any]:
    """Where a page lies, as the editor and the API tell it; lengths in sixteenths of an inch."""
    names = ("inches_per_px", "x_16", "y_16", "quarter_turns", "dim", "locked")
    return {name: getattr(page, name) for name in names}


def under_facts(page: PlanPage) -> dict[str, Any]:
    """A page as the editor takes it: its picture, its size, where it lies and where to say that it was moved."""
    return {
        "page": page.public_id,
        "name": page.plan_file.name,
        "number": page.number,
        "picture": reverse("projects:plan_picture", args=[page.public_id]),
        "width_px": page.width_px,
        "height_px": page.height_px,
        **placement_facts(page),
        "place_url": reverse("projects:plan_place", args=[page.public_id]),
    }
