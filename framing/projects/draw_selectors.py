"""Reads of the plan editor: drafts, who else is at a floor, its saved versions."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from framing.common.models import User
from framing.engine.document import dump_document, read_document
from framing.engine.errors import DocumentRefused
from framing.projects.differences import find_differences
from framing.projects.draw_presence import presence_list
from framing.projects.models import Floor, FloorDraft, FloorVersion

WORDS_MOST: Final = 5


@dataclass(frozen=True, slots=True)
class Opened:
    """What an editor begins with: the own draft where there is one, else the newest version."""

    document: Any
    base_version: int
    from_draft: bool


def opened(floor: Floor, newest: FloorVersion, user: User | None) -> Opened:
    """The document that a person goes on with; None only looks. A draft that says what is saved is no draft."""
    draft = floor.drafts.filter(user=user).first() if user is not None else None
    if draft is not None:
        document = json.loads(draft.document)
        if not same_document(document, newest.document):
            return Opened(document, draft.base_version, from_draft=True)
    return Opened(newest.document, newest.number, from_draft=False)


def same_document(typed: Any, saved: Mapping[str, Any]) -> bool:
    """Whether a document says what a saved one says; fields left out are their defaults."""
    if typed == saved:
        return True
    try:
        return isinstance(typed, Mapping) and dump_document(read_document(typed)) == saved
    except DocumentRefused:
        return False


@dataclass(frozen=True, slots=True)
class Other:
    """Somebody else at a floor.

    Attributes:
        at: when he drew or asked last.
        base_version: the version that he has open.
        here: he asked within the last minute.
        differing: how many fields of his draft differ from the newest version; 0 where he has no draft.
        words: the first of them, for people.
    """

    name: str
    at: datetime
    base_version: int
    here: bool
    differing: int = 0
    words: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        return {
            "name": self.name,
            "at": self.at.isoformat(),
            "base_version": self.base_version,
            "here": self.here,
            "fields": self.differing,
            "words": list(self.words),
            "said": self.said,
        }

    @property
    def said(self) -> str:
        """All of it as a sentence."""
        doing = "draws on this floor too" if self.here else "has a draft of this floor"
        changed = f" and has changed: {'; '.join(self.words)}" if self.words else ""
        more = "; and more" if self.differing > len(self.words) else ""
        return f"{self.name} {doing}, from version {self.base_version}{changed}{more}."


def other_list(floor: Floor, user: User, at: datetime) -> tuple[Other, ...]:
    """Who else has a draft of the floor or asked about it within the last minute, the latest first."""
    here = {entry.user: entry for entry in presence_list(floor, at) if entry.user != user.pk}
    drafts = {draft.user_id: draft for draft in _drafts_of_others(floor, user)}
    newest = floor.versions.order_by("-number").first() if drafts else None
    found = []
    for pk, draft in drafts.items():
        seen = here.pop(pk, None)
        differing = _differing(draft, newest)
        moment = draft.saved_at if seen is None else max(draft.saved_at, _moment(seen.at))
        words = differing[:WORDS_MOST]
        found.append(
            Other(draft.user.name, moment, draft.base_version, seen is not None, len(differing), words)
        )
    found += [Other(seen.name, _moment(seen.at), seen.base_version, here=True) for seen in here.values()]
    return tuple(sorted(found, key=lambda other: (other.at, other.name), reverse=True))


def version_list(floor: Floor) -> list[dict[str, Any]]:
    """The saved versions, newest first, without their documents."""
    rows = FloorVersion.objects.filter(floor=floor).order_by("-number")
    return [
        {"number": number, "saved_at": at.isoformat(), "saved_by": by}
        for number, at, by in rows.values_list("number", "saved_at", "saved_by")
    ]


def version_facts(version: FloorVersion) -> dict[str, Any]:
    return {
        "version": version.number,
        "saved_at": version.saved_at.isoformat(),
        "saved_by": version.saved_by,
    }


def _drafts_of_others(floor: Floor, user: User) -> list[FloorDraft]:
    return list(floor.drafts.exclude(user=user).select_related("user"))


def _differing(draft: FloorDraft, newest: FloorVersion | None) -> tuple[str, ...]:
    document = json.loads(draft.document)
    if newest is None or not isinstance(document, Mapping):
        return ()
    found = find_differences(base=newest.document, yours=document, theirs=newest.document)
    return tuple(difference.words for difference in found)


def _moment(timestamp: float) -> datetime:
    return datetime.fromtimestamp(timestamp, UTC)
