"""Taking a floor off its project and putting it back, with all that it had."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

from django.core import serializers
from django.db import models, router, transaction
from django.db.models.deletion import Collector

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import NotThere, Refused
from framing.projects.floor_holds import order_holding
from framing.projects.models import Floor, Project
from framing.projects.repeat_selectors import TAKE_OFF, drawers_of, take_off_entry
from framing.projects.repeat_services import refuse_full
from framing.projects.services import floor_locked


def floor_take_off(*, actor: Actor, at: datetime, floor: Floor) -> Project:
    """Take a floor off its project, with all its versions; `floor_put_back` brings back all that it had.

    Quotes keep their own copy of their floors. Raises Refused where an order in work was booked with the floor, or
    where somebody else has drawn on it and not saved it.
    """
    require(actor, "floor", "take_off")
    with transaction.atomic():
        project = Project.objects.select_for_update().get(pk=floor.project_id)
        row = floor_locked(floor)
        _refuse_held(row, actor)
        change = {"floor": row.public_id, "name": row.name, "rows": _rows_of(row)}
        audit_record(actor, TAKE_OFF, project, at=at, change=change, why=row.name)
        row.delete()
    return project


def floor_put_back(*, actor: Actor, at: datetime, project: Project, public_id: str) -> Floor:
    """Bring a floor back that was taken off, with all its versions, at the place that it had.

    One that is back already is answered as it is. Raises NotThere where none was taken off; Refused where its name
    has been given to another or the project is full.
    """
    require(actor, "floor", "make")
    with transaction.atomic():
        Project.objects.select_for_update().get(pk=project.pk)
        entry = take_off_entry(project, public_id)
        if entry is None:
            raise NotThere()
        there = project.floors.filter(public_id=public_id).first()
        if there is not None:
            return there
        name = entry.change["name"]
        refuse_full(project, 1)
        if project.floors.filter(name=name).exists():
            words = f"The project has another floor named “{name}” now; give that one another name, then put this back."
            raise Refused(words, field="floor")
        for stored in serializers.deserialize("python", entry.change["rows"], ignorenonexistent=True):
            if _stands(stored.object):
                stored.save()
        floor = project.floors.get(public_id=public_id)
        audit_record(actor, "floor_put_back", project, at=at, change={"floor": public_id}, why=name)
    return floor


def _stands(row: models.Model) -> bool:
    """Whether all that a row points at is there; the plan under a floor may be gone, and then it stays away."""
    for field in row._meta.concrete_fields:
        target = getattr(row, field.attname)
        if isinstance(field, models.ForeignKey) and target is not None:
            other: Any = field.related_model
            if not other._base_manager.filter(pk=target).exists():
                return False
    return True


def _refuse_held(floor: Floor, actor: Actor) -> None:
    if order := order_holding(floor):
        words = (
            f"Order {order} was booked with {floor.name}; it stays until that order is closed or cancelled."
        )
        raise Refused(words, field="floor")
    if drawers := drawers_of(floor, but=actor.user.pk if actor.user else None):
        have = "has" if len(drawers) == 1 else "have"
        words = f"{' and '.join(drawers)} {have} drawn on {floor.name} and not saved it. Ask to save or drop it first."
        raise Refused(words, field="floor")


def _rows_of(floor: Floor) -> list[dict[str, Any]]:
    """The floor and every row that goes with it, the floor first, as plain data that can be stored again."""
    collector = _All(using=router.db_for_write(Floor))
    collector.collect([floor])
    ordered = [floor, *(row for rows in collector.data.values() for row in rows if row != floor)]
    # Not by the library's own JSON, which cuts moments to milliseconds.
    found: list[dict[str, Any]] = json.loads(
        json.dumps(serializers.serialize("python", ordered), default=str)
    )
    return found


class _All(Collector):
    """Collects also the rows that could be deleted without looking at them."""

    def can_fast_delete(self, objs: Any, from_field: models.Field[Any, Any] | None = None) -> bool:
        del objs, from_field
        return False
