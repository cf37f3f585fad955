"""Reads of practice sets for pages and API: values in words, two versions compared, what saved floors make of it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from time import monotonic
from typing import Any, Final, NoReturn

from django.core.cache import cache
from django.db.models import F, QuerySet

from framing.common.errors import NotThere
from framing.engine.catalogue import load_catalogue
from framing.engine.errors import EngineError
from framing.engine.pipeline import ENGINE_VERSION
from framing.engine.practice import Practice
from framing.projects.design import design_plan, plan_of
from framing.projects.models import Floor, FloorVersion, PracticeSet
from framing.projects.practice_fields import FIELDS, GROUPS, PracticeField, show
from framing.projects.practice_limits import own_values, stored
from framing.projects.selectors import practice_of

FLOORS_MOST: Final = 200
SECONDS_MOST: Final = 2.0
KEPT_S: Final = 24 * 3600
_Outcome = tuple[bool, tuple[str, ...], str]
"""Whether the floor can be built, the profile of each bay, and what is wrong: plain, so that a kept one reads."""


@dataclass(frozen=True, slots=True)
class ValueRow:
    """One value beside another one: the rule's default, or the same value of another version."""

    field: PracticeField
    value: Any
    other: Any

    @property
    def shown(self) -> str:
        return show(self.field, self.value)

    @property
    def other_shown(self) -> str:
        return show(self.field, self.other)

    @property
    def default_shown(self) -> str:
        return show(self.field, self.field.default)

    @property
    def differs(self) -> bool:
        return bool(self.value != self.other)

    @property
    def json(self) -> Any:
        return stored(self.value)

    @property
    def other_json(self) -> Any:
        return stored(self.other)


@dataclass(frozen=True, slots=True)
class ValueGroup:
    title: str
    rows: tuple[ValueRow, ...]


def value_groups(practice: Practice, other: Practice | None = None) -> tuple[ValueGroup, ...]:
    """Every value in the order of the page, beside that of `other`, else beside the rules' defaults."""
    beside = other or Practice()
    return tuple(
        ValueGroup(
            group.title,
            tuple(ValueRow(f, getattr(practice, f.name), getattr(beside, f.name)) for f in group.fields),
        )
        for group in GROUPS
    )


def differing_rows(practice: Practice, other: Practice | None = None) -> tuple[ValueRow, ...]:
    """The values of `value_groups` that differ."""
    return tuple(row for group in value_groups(practice, other) for row in group.rows if row.differs)


def practice_set_list() -> QuerySet[PracticeSet]:
    """All versions: the one in force, drafts from the newest, then earlier ones by when they came into force."""
    return PracticeSet.objects.order_by("-in_force", F("in_force_at").desc(nulls_first=True), "-id")


def practice_set_get(public_id: str) -> PracticeSet:
    """One version by its id. Raises NotThere."""
    row = PracticeSet.objects.filter(public_id=public_id).first() if public_id.isalnum() else None
    return row or _missing()


@dataclass(frozen=True, slots=True)
class FloorEffect:
    """What happens to one saved floor: `words` are a few, such as `fails`."""

    floor: Floor
    words: str


@dataclass(frozen=True, slots=True)
class Effects:
    """What saved floors would make of a practice set. `looked` of `total` were designed in the time there was."""

    looked: int
    total: int
    failing: tuple[FloorEffect, ...]
    changing: tuple[FloorEffect, ...]


def practice_effects(
    then: Practice, now: Practice, *, clock: Callable[[], float] = monotonic, seconds: float = SECONDS_MOST
) -> Effects:
    """Design the newest saved floors under both sets, latest saved first; none is begun once the time is over.

    A floor that fails now as well is not counted as failing, nor one that can't be built either way.
    """
    total = Floor.objects.count()
    if same_values(then, now):
        return Effects(total, total, (), ())
    end = clock() + seconds
    failing: list[FloorEffect] = []
    changing: list[FloorEffect] = []
    looked = 0
    for version in _newest_versions():
        if clock() > end:
            break
        looked += 1
        worse, profile = _effect(version.document, then, now)
        if worse:
            failing.append(FloorEffect(version.floor, worse))
        elif profile:
            changing.append(FloorEffect(version.floor, profile))
    return Effects(looked, total, tuple(failing), tuple(changing))


def same_values(one: Practice, other: Practice) -> bool:
    """Whether two sets say the same whatever they are called."""
    return all(getattr(one, name) == getattr(other, name) for name in FIELDS)


def _newest_versions() -> Iterator[FloorVersion]:
    rows = FloorVersion.objects.filter(number=F("floor__version")).select_related("floor__project__builder")
    yield from rows.order_by("-saved_at", "-id")[:FLOORS_MOST]


def _effect(document: dict[str, Any], then: Practice, now: Practice) -> tuple[str, str]:
    """How the floor gets worse, and how its profiles change; both empty where neither happens."""
    before, after = _outcome(document, now), _outcome(document, then)
    if before == after or not before[0]:
        return "", ""
    if not after[0]:
        return after[2], ""
    if after[2] and not before[2]:
        return after[2], ""
    moved = [f"{a} to {b}" for a, b in zip(before[1], after[1], strict=True) if a != b]
    return "", ", ".join(dict.fromkeys(moved))


def _outcome(document: dict[str, Any], practice: Practice) -> _Outcome:
    """The outcome of a floor, kept a day by content: equal floors and a second look cost nothing."""
    content = [document, own_values(practice), load_catalogue().version, ENGINE_VERSION]
    text = json.dumps(content, sort_keys=True)
    key = f"practice-effect:{hashlib.sha256(text.encode()).hexdigest()}"
    known: _Outcome | None = cache.get(key)
    if known is None:
        known = _designed(document, practice)
        cache.set(key, known, KEPT_S)
    return known


def _designed(document: dict[str, Any], practice: Practice) -> _Outcome:
    try:
        result = design_plan(plan_of(document, practice), practice)
    except EngineError:
        return False, (), "can't be built"
    return True, tuple(bay.profile for bay in result.bays), "" if result.passes else "fails a check"


def effects_of(row: PracticeSet, in_force: PracticeSet | None) -> Effects:
    """Effects of putting a version in force now."""
    now = Practice() if in_force is None else practice_of(in_force)
    return practice_effects(practice_of(row), now)


def _missing() -> NoReturn:
    raise NotThere()
