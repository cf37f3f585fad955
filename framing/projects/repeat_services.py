"""Floors made from a floor, and the order and number of floors in their project."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any, Final

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Refused
from framing.common.idempotency import claim_key
from framing.engine.document import read_document
from framing.engine.errors import DocumentRefused
from framing.projects.design import checked_document
from framing.projects.mirrored import WAYS, Way, mirrored
from framing.projects.models import Floor, Project
from framing.projects.repeat_selectors import floor_state
from framing.projects.selectors import practice_in_force
from framing.projects.services import FLOORS_MOST, floor_create, floor_locked, floor_save

COPIES_MOST: Final = 20
_OF_DOCUMENT: Final = ("name", "level", "repeat")


@dataclass(frozen=True, slots=True)
class Copy:
    """A floor to make from another: its name, level (R11), how often it is built alike, and the way it is mirrored."""

    name: str
    level: str
    mirrored: Way | None = None
    repeat: int = 1


def floor_repeat(
    *, actor: Actor, at: datetime, floor: Floor, copies: Sequence[Copy], key: str
) -> tuple[Floor, ...]:
    """Make floors from a floor's newest version, right after it in the project, all or none.

    The same key again gives the same floors. Raises KeyMissing; Refused where a copy can't be made, `detail` lists
    every place (`copies.1.name`), the first is `field`.
    """
    require(actor, "floor", "make")
    body = {"floor": floor.public_id, "copies": [asdict(copy) for copy in copies]}
    with transaction.atomic():
        project = Project.objects.select_for_update().get(pk=floor.project_id)
        source = floor_locked(floor)
        claim = claim_key(actor=actor, verb="floor_repeat", key=key, body=body)
        if claim.done:
            return tuple(project.floors.filter(public_id__in=claim.result["floors"]))
        documents = _documents(source, project, copies)
        made = tuple(floor_create(actor=actor, at=at, project=project, document=one) for one in documents)
        others = list(project.floors.exclude(pk__in=[new.pk for new in made]))
        place = others.index(source) + 1
        _number([*others[:place], *made, *others[place:]])
        names = ", ".join(new.name for new in made)
        change = {"floor": source.public_id, "version": source.version, **body}
        audit_record(actor, "floor_repeat", project, at=at, change=change, why=f"{source.name} as {names}")
        claim.finish({"floors": [new.public_id for new in made]})
    return made


def floor_times(*, actor: Actor, at: datetime, floor: Floor, repeat: int, base_version: int) -> Floor:
    """Say how often a floor is built alike, as its next version. Raises StaleSave and Refused as `floor_save`."""
    document = dict(floor_state(floor).document) | {"repeat": repeat}
    return floor_save(actor=actor, at=at, floor=floor, document=document, base_version=base_version)


def floor_place(*, actor: Actor, at: datetime, floor: Floor, place: int) -> Floor:
    """Move a floor to a place in its project, counted from 1. Raises Refused where there is no such place."""
    require(actor, "floor", "change")
    with transaction.atomic():
        project = Project.objects.select_for_update().get(pk=floor.project_id)
        source = floor_locked(floor)
        rows = list(project.floors.all())
        if not 1 <= place <= len(rows):
            raise Refused(
                f"{source.name} can't stand at place {place}; the project has places 1 to {len(rows)}.",
                field="place",
            )
        before = rows.index(source) + 1
        if before != place:
            rows.insert(place - 1, rows.pop(before - 1))
            _number(rows)
            words = f"{source.name} from place {before} to {place}"
            change = {"floor": source.public_id, "place": [before, place]}
            audit_record(actor, "floor_place", project, at=at, change=change, why=words)
    return source


def _number(rows: Sequence[Floor]) -> None:
    for position, row in enumerate(rows, start=1):
        row.position = position
    Floor.objects.bulk_update(rows, ["position"])


def _documents(source: Floor, project: Project, copies: Sequence[Copy]) -> list[dict[str, Any]]:
    """The copies' documents, all checked before the first is made."""
    if not 1 <= len(copies) <= COPIES_MOST:
        raise Refused(
            f"{len(copies)} floors were asked for; make 1 to {COPIES_MOST} at a time.", field="copies"
        )
    refuse_full(project, len(copies))
    saved = floor_state(source).document
    taken = dict.fromkeys(project.floors.values_list("name", flat=True), "The project")
    documents, problems = [], []
    for index, copy in enumerate(copies):
        place = f"copies.{index}"
        if copy.name in taken:
            words = f"{taken[copy.name]} has a floor named “{copy.name}” already; give this one another name."
            problems.append({"place": f"{place}.name", "message": words})
        taken.setdefault(copy.name, "This list")
        try:
            documents.append(_document(saved, copy))
        except _Wrong as error:
            problems += [{"place": place + error.place, "message": error.message} for error in error.problems]
    if problems:
        raise Refused(problems[0]["message"], field=problems[0]["place"], detail=problems)
    return documents


@dataclass(frozen=True, slots=True)
class _Problem:
    place: str
    message: str


class _Wrong(Exception):
    """A copy that can't be made; each place is empty or begins with a point."""

    def __init__(self, problems: Iterator[_Problem]) -> None:
        super().__init__("a copy can't be made")
        self.problems = tuple(problems)


def _document(saved: dict[str, Any], copy: Copy) -> dict[str, Any]:
    """One copy's document, checked as a save would."""
    if copy.mirrored is not None and copy.mirrored not in WAYS:
        words = f"“{copy.mirrored}” is no way to mirror; write {' or '.join(WAYS)}, or leave it out."
        raise _Wrong(iter((_Problem(".mirrored", words),)))
    try:
        known = read_document(saved | {"name": copy.name, "level": copy.level, "repeat": copy.repeat})
        return checked_document(
            mirrored(known, copy.mirrored) if copy.mirrored else known, practice_in_force()
        )
    except DocumentRefused as error:
        raise _Wrong(_Problem(_at_copy(one.place), one.message) for one in error.problems) from error
    except Refused as error:
        # Its places are the drawing's, which the list of copies does not show.
        raise _Wrong(iter((_Problem("", f"{copy.name} can't be built: {error.message}"),))) from error


def _at_copy(place: str) -> str:
    return f".{place}" if place in _OF_DOCUMENT else ""


def refuse_full(project: Project, more: int) -> None:
    count = project.floors.count()
    if count + more > FLOORS_MOST:
        words = f"The project has {count} floors and takes {FLOORS_MOST}, so {more} more can't be added."
        raise Refused(f"{words} Build equal floors several times, or begin another project.", field="copies")
