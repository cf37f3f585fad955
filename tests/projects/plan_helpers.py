"""Plans brought to a project as tests need them: added, read, their pages and addresses."""

from __future__ import annotations

from django.urls import reverse

from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.models import OutboxEntry, Role, User
from framing.common.outbox import outbox_run
from framing.projects.models import PlanFile, PlanPage, Project
from framing.projects.plan_services import plan_file_add
from tests.projects import plan_seeds as seeds

PDF = seeds.pdf(pages=2, box="0 0 300 200")
MAY_CHANGE = (Role.SELLER, Role.MANAGER)
MAY_LOOK = (*MAY_CHANGE, Role.PLANNER, Role.DISPATCHER, Role.ADMINISTRATOR)


def add(project: Project, who: User, data: bytes = PDF, name: str = "Lot 7.pdf") -> PlanFile:
    return plan_file_add(actor=person(who), at=database_now(), project=project, name=name, data=data)


def read(plan: PlanFile) -> PlanFile:
    """Let the worker read it, in its own bounded process."""
    assert outbox_run(OutboxEntry.objects.get(kind="plan_file_read", key=plan.public_id).pk)
    plan.refresh_from_db()
    return plan


def page_of(project: Project, who: User) -> PlanPage:
    return read(add(project, who)).pages.get(number=1)


def page_url(name: str, page: PlanPage) -> str:
    return reverse(f"projects:{name}", args=[page.public_id])


def plan_url(name: str, plan: PlanFile) -> str:
    return reverse(f"projects:{name}", args=[plan.project.public_id, plan.public_id])
