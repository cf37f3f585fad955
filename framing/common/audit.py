"""Writing and reading the audit trail."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import models
from django.db.models import QuerySet

from framing.common.actors import Actor
from framing.common.models import AuditEntry
from framing.common.requests import request_id


def audit_record(
    actor: Actor,
    verb: str,
    thing: models.Model,
    *,
    at: datetime,
    change: Mapping[str, Any] | None = None,
    why: str = "",
) -> AuditEntry:
    """Write one entry in the caller's transaction. `change` holds before and after of what moved, as JSON."""
    return AuditEntry.objects.create(
        at=at,
        actor_kind=actor.kind,
        actor_name=actor.name[:160],
        user=actor.user,
        link=actor.link,
        verb=verb,
        object_type=thing._meta.label_lower,
        object_id=thing.pk,
        object_label=str(thing)[:200],
        change=dict(change or {}),
        why=why[:400],
        request_id=request_id.get(),
    )


def audit_list(thing: models.Model) -> QuerySet[AuditEntry]:
    """The history of one object, oldest first."""
    return AuditEntry.objects.filter(object_type=thing._meta.label_lower, object_id=thing.pk).order_by("id")
