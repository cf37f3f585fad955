"""Reads for repeating, ordering and taking off floors: names and levels to propose, what still holds a floor."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from framing.common.models import AuditEntry
from framing.projects.models import Floor, FloorDraft, Project
from framing.projects.selectors import FloorState

TAKE_OFF: Final = "floor_take_off"
NAME_MOST: Final = 80
LEVEL_MOST: Final = 9999
ORDINALS: Final = (
    "Ground", "First", "Second", "Third", "Fourth", "Fifth", "Sixth", "Seventh", "Eighth", "Ninth", "Tenth",
)  # fmt: skip
_LAST_NUMBER: Final = re.compile(r"(.*?)([0-9]{1,4})(\D*)$", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Storey:
    """A name and level (R11) for a floor that is not there yet."""

    name: str
    level: str


@dataclass(frozen=True, slots=True)
class TakenOff:
    """A floor that was taken off a project and can be put back."""

    public_id: str
    name: str
    by: str
    at: datetime


def floor_state(floor: Floor) -> FloorState:
    """A floor with its newest document."""
    newest = floor.versions.order_by("-number")[0]
    return FloorState(floor, newest.number, newest.document)


def next_storey(name: str, level: str, taken: frozenset[str]) -> Storey:
    """What the storey above is called: the next ordinal (Second floor) or number (Floor 2) that nobody has.

    A name with neither takes the ordinal of its level; a level that is no number stays as it is.
    """
    number = int(level) if level.isascii() and level.isdigit() else None
    while True:
        number = None if number is None else number + 1
        name = _next_name(name, number)
        if name not in taken:
            return Storey(name, level if number is None or number > LEVEL_MOST else str(number))


def mirrored_name(name: str, taken: frozenset[str]) -> str:
    """What a floor's mirror is called: “Unit A, mirrored”, with a number where that is taken."""
    for number in range(1, len(taken) + 2):
        tail = ", mirrored" if number == 1 else f", mirrored {number}"
        found = name[: NAME_MOST - len(tail)] + tail
        if found not in taken:
            return found
    raise AssertionError("one name more than there are names is free")


def drawers_of(floor: Floor, *, but: int | None) -> tuple[str, ...]:
    """Who has drawn on a floor and not saved it, but for one person; those who have left don't count."""
    drafts = FloorDraft.objects.filter(floor=floor, user__is_active=True)
    if but is not None:
        drafts = drafts.exclude(user_id=but)
    return tuple(drafts.order_by("user__name", "id").values_list("user__name", flat=True))


def take_off_entry(project: Project, public_id: str) -> AuditEntry | None:
    """The latest entry that tells of a floor taken off this project, with all that it had."""
    rows = AuditEntry.objects.filter(
        object_type=project._meta.label_lower, object_id=project.pk, verb=TAKE_OFF
    )
    return rows.filter(change__floor=public_id).order_by("-id").first()


def taken_off(project: Project, public_id: str) -> TakenOff | None:
    """A floor that was taken off the project and is not back yet."""
    entry = take_off_entry(project, public_id)
    if entry is None or Floor.objects.filter(public_id=public_id).exists():
        return None
    return TakenOff(public_id, entry.change["name"], entry.actor_name, entry.at)


def names_of(project: Project) -> frozenset[str]:
    return frozenset(project.floors.values_list("name", flat=True))


def _next_name(name: str, number: int | None) -> str:
    for index, word in enumerate(ORDINALS[1:-1], start=1):
        if re.match(rf"{word}\b", name, re.IGNORECASE):
            return ORDINALS[index + 1] + name[len(word) :]
    if found := _LAST_NUMBER.match(name):
        return _fitting(found[1], str(int(found[2]) + 1), found[3])
    if number is not None and 0 < number < len(ORDINALS) and name.lower().endswith("floor"):
        return f"{ORDINALS[number]} floor"
    return _fitting(name, " 2", "")


def _fitting(head: str, number: str, tail: str) -> str:
    return head[: NAME_MOST - len(number) - len(tail)] + number + tail
