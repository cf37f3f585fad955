"""Writes of the plan editor: keeping a draft, saving it as a version, saving a new floor.

A draft is nobody's business but its owner's and changes nothing that is sold, so the audit trail does not tell of it;
a saved version is told as ever.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from django.db import transaction

from framing.common.access import may, require
from framing.common.actors import Actor
from framing.common.errors import NotThere, Refused, TooBig
from framing.common.models import User
from framing.engine.document import MAX_BYTES
from framing.projects.draw_presence import presence_tell
from framing.projects.draw_selectors import Other, other_list, same_document
from framing.projects.models import Floor, FloorDraft, FloorVersion, Project
from framing.projects.services import floor_create, floor_locked, floor_save

DEEPEST: Final = 32
"""How deep a draft may be nested; a document that can be read is nested 8 deep at most."""


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of a draft: `draft` is False where it said what is saved already and went."""

    saved_at: datetime
    draft: bool
    others: tuple[Other, ...]


def draft_keep(*, actor: Actor, at: datetime, floor: Floor, document: Any, base_version: int) -> Kept:
    """Keep what a person has drawn so far, in place of what he had drawn before.

    Any document of at most 1,000,000 bytes is kept, also one that can't be read or built. One that says what the
    newest version says is none; an own draft goes then.

    Raises:
        TooBig: more bytes.
        Refused: no JSON object, nested too deep, or a base version that the floor never had.
    """
    require(actor, "floor", "change")
    user, text = _person(actor), _text(document)
    with transaction.atomic():
        row = floor_locked(floor)
        _refuse_unknown(row, base_version)
        newest = row.versions.get(number=row.version)
        said = same_document(document, newest.document)
        if said:
            row.drafts.filter(user=user).delete()
        else:
            values = {"base_version": base_version, "document": text, "saved_at": at}
            FloorDraft.objects.update_or_create(floor=row, user=user, defaults=values)
        presence_tell(row, user, base_version, at)
    return Kept(at, not said, other_list(row, user, at))


def draft_drop(*, actor: Actor, floor: Floor) -> None:
    """Let go of the own draft; harmless where there is none."""
    require(actor, "floor", "change")
    floor.drafts.filter(user=_person(actor)).delete()


def draw_create(*, actor: Actor, at: datetime, project: Project, document: Mapping[str, Any]) -> Floor:
    """Save a new floor of a project (`floor_create`); the same asked twice is one floor.

    A person whose first answer got lost on the way asks again with what he has saved already. Raises Refused as
    `floor_create`.
    """
    try:
        return floor_create(actor=actor, at=at, project=project, document=document)
    except Refused as error:
        if error.field != "name":
            raise
        made = FloorVersion.objects.filter(floor__project=project, floor__version=1, saved_by=actor.name)
        for version in made.select_related("floor"):
            if same_document(document, version.document):
                return version.floor
        raise


def draw_save(
    *, actor: Actor, at: datetime, floor: Floor, document: Mapping[str, Any], base_version: int
) -> FloorVersion:
    """Save the drawn document as the floor's next version (`floor_save`); the own draft goes with it.

    Raises StaleSave and Refused as `floor_save`; the own draft stays then.
    """
    with transaction.atomic():
        saved = floor_save(actor=actor, at=at, floor=floor, document=document, base_version=base_version)
        saved.drafts.filter(user=_person(actor)).delete()
        return saved.versions.get(number=saved.version)


def presence_ask(*, actor: Actor, at: datetime, floor: Floor, base_version: int) -> tuple[Other, ...]:
    """Tell that a person has the editor open, and who else is there. Who may only look is not told of."""
    require(actor, "floor", "read")
    user = _person(actor)
    _refuse_unknown(floor, base_version)
    if may(actor.audience, "floor", "change"):
        presence_tell(floor, user, base_version, at)
    return other_list(floor, user, at)


def _person(actor: Actor) -> User:
    if actor.user is None:
        raise NotThere()
    return actor.user


def _refuse_unknown(floor: Floor, base_version: int) -> None:
    if not 1 <= base_version <= floor.version:
        message = f"{floor.name} has no version {base_version}; its newest is {floor.version}."
        raise Refused(message, field="base_version")


def _text(document: Any) -> str:
    """The document as JSON that any column takes: broken signs and NUL are escaped."""
    if not isinstance(document, Mapping):
        raise Refused("A floor document is a JSON object.", field="document")
    if _depth_over(document, DEEPEST):
        raise Refused(f"The document is nested more than {DEEPEST} deep.", field="document")
    plain = json.dumps(document, ensure_ascii=False, separators=(",", ":"))
    size = len(plain.encode("utf-8", "surrogatepass"))
    if size > MAX_BYTES:
        raise TooBig(
            f"The document has {size:,} bytes; at most {MAX_BYTES:,} are kept. Split the floor.",
            field="document",
        )
    return json.dumps(document, separators=(",", ":"))


def _depth_over(value: Any, most: int) -> bool:
    """Whether a value is nested deeper than `most`; walks without recursion."""
    level = [value]
    for _ in range(most):
        level = [
            inner
            for outer in level
            if isinstance(outer, (Mapping, list))
            for inner in (outer.values() if isinstance(outer, Mapping) else outer)
        ]
        if not level:
            return False
    return any(isinstance(inner, (Mapping, list)) for inner in level)
