"""Writes of practice sets: draft a version, change the draft, put it in force. One act at a time, each audited."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused, StaleSave
from framing.projects.models import PracticeSet
from framing.projects.services import (
    next_practice_version,
    practice_set_current,
    practice_sets_lock,
    practice_values,
)

NAME_MOST, REASON_MOST = 80, 400


def practice_set_draft(
    *, actor: Actor, at: datetime, name: str, values: Mapping[str, Any], reason: str
) -> PracticeSet:
    """Keep values as a draft, the next version of its name. `values` holds what is no default.

    Raises Refused: a value unknown, of the wrong kind or outside its limits, no name, no reason.
    """
    require(actor, "practice", "change")
    name, reason = _text(name, "name", NAME_MOST), _text(reason, "reason", REASON_MOST)
    with transaction.atomic():
        practice_sets_lock()
        practice_set_current(at=at)
        version = next_practice_version(name)
        row = PracticeSet.objects.create(
            name=name,
            version=version,
            values=practice_values(name, version, values),
            reason=reason,
            made_by=actor.name[:160],
            created_at=at,
        )
        audit_record(actor, "practice_set_draft", row, at=at, change={"values": row.values}, why=reason)
    return row


def practice_set_change(
    *, actor: Actor, at: datetime, row: PracticeSet, values: Mapping[str, Any], reason: str, edit: int
) -> PracticeSet:
    """Change a draft that still is as it was at `edit`. What changes nothing writes nothing.

    Raises Clash where it is no draft any more, StaleSave where somebody changed it, Refused as `practice_set_draft`.
    """
    require(actor, "practice", "change")
    reason = _text(reason, "reason", REASON_MOST)
    with transaction.atomic():
        practice_sets_lock()
        draft = _draft(row)
        kept = practice_values(draft.name, draft.version, values)
        if (kept, reason) == (draft.values, draft.reason):
            return draft
        _refuse_stale(draft, edit)
        names = sorted({*kept, *draft.values})
        moved = {n: [draft.values.get(n), kept.get(n)] for n in names if draft.values.get(n) != kept.get(n)}
        draft.values, draft.reason, draft.edit = kept, reason, draft.edit + 1
        draft.save(update_fields=["values", "reason", "edit"])
        audit_record(actor, "practice_set_change", draft, at=at, change=moved, why=reason)
    return draft


def practice_set_put_in_force(
    *, actor: Actor, at: datetime, row: PracticeSet, edit: int, replaces: str = ""
) -> PracticeSet:
    """Put a draft or an earlier version in force; the one before is kept for the quotes made with it.

    Args:
        edit: the draft as it was read.
        replaces: id of the version that the reader takes to be in force; empty where it does not matter.

    Raises Clash where it is in force already or another was put in force meanwhile, StaleSave where the draft was
    changed, Refused where a value of an old version is outside today's limits.
    """
    require(actor, "practice", "change")
    with transaction.atomic():
        practice_sets_lock()
        mine = PracticeSet.objects.select_for_update().get(pk=row.pk)
        before = practice_set_current(at=at)
        if mine.in_force:
            raise Clash(f"{mine} is in force already, put there by {mine.in_force_by}.")
        if replaces and replaces != before.public_id:
            raise Clash(
                f"{before} was put in force meanwhile; look at what would change now, then put {mine} in force."
            )
        _refuse_stale(mine, edit)
        practice_values(mine.name, mine.version, mine.values)
        PracticeSet.objects.filter(in_force=True).update(in_force=False)
        mine.in_force, mine.in_force_at, mine.in_force_by = True, at, actor.name[:160]
        mine.save(update_fields=["in_force", "in_force_at", "in_force_by"])
        change = {"in_force": [str(before), str(mine)]}
        audit_record(actor, "practice_set_put_in_force", mine, at=at, change=change, why=mine.reason)
    return mine


def _draft(row: PracticeSet) -> PracticeSet:
    draft = PracticeSet.objects.select_for_update().get(pk=row.pk)
    if draft.state != "draft":
        raise Clash(f"{draft} has been in force and never changes; make a new version from it.")
    return draft


def _refuse_stale(draft: PracticeSet, edit: int) -> None:
    if draft.edit != edit:
        raise StaleSave(
            f"Somebody changed {draft} while you looked at it. Compare it with what you typed, then save again.",
            field="edit",
            detail={"edit": draft.edit},
        )


def _text(value: str, field: str, most: int) -> str:
    text = " ".join(value.split())
    if not text:
        words = (
            "Give the version a name." if field == "name" else "Say why: the reason stays with the version."
        )
        raise Refused(words, field=field, detail={field: [words]})
    if len(text) > most:
        words = f"It has {len(text)} signs; {most} at most."
        raise Refused(words, field=field, detail={field: [words]})
    return text
