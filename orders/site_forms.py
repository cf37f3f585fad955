"""What comes from the site: one act of a page's form, a batch of acts from a telephone that was without a line."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final
from uuid import UUID

from django.http import HttpRequest
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext as _

from framing.common.errors import Refused, TooBig, Unreadable

ACTS_MOST: Final = 50
BATCH_MOST: Final = 200_000
CODE_MOST: Final = 200
MARK: Final = "mark."


@dataclass(frozen=True, slots=True)
class SentAct:
    """One act as it was sent; the thing is still a code."""

    action_id: UUID
    verb: str
    code: str
    marks: Mapping[str, int]
    words: str
    name: str
    tapped_at: datetime | None


def read_batch(request: HttpRequest) -> list[Mapping[str, Any]]:
    """The acts of a batch, each still to be read. Raises TooBig, and Unreadable for what is no batch."""
    if len(request.body) > BATCH_MOST:
        raise TooBig(f"At most {BATCH_MOST:,} bytes at once; send fewer acts.")
    try:
        acts = json.loads(request.body)["acts"]
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise Unreadable("This is no list of acts.") from error
    if not isinstance(acts, list) or not all(isinstance(act, dict) for act in acts):
        raise Unreadable("This is no list of acts.")
    if len(acts) > ACTS_MOST:
        raise TooBig(f"At most {ACTS_MOST} acts at once; these are {len(acts)}.")
    return acts


def read_act(act: Mapping[str, Any]) -> SentAct:
    """One act of a batch. Raises Refused."""
    return SentAct(
        action_id=read_number(act.get("id")),
        verb=_text(act, "verb"),
        code=_text(act, "code")[:CODE_MOST],
        marks=_marks(act.get("marks") or {}),
        words=_text(act, "words"),
        name=_text(act, "name"),
        tapped_at=_time(act.get("tapped_at")),
    )


def read_form(posted: Mapping[str, Any]) -> SentAct:
    """An act of a page without script: fields, or one button that says `verb code number`. Raises Refused."""
    fields: dict[str, Any] = {name: posted.get(name, "") for name in ("id", "verb", "code", "words", "name")}
    pressed = str(posted.get("do", "")).split()
    if len(pressed) == 3:
        fields |= dict(zip(("verb", "code", "id"), pressed, strict=True))
    fields["marks"] = {
        name.removeprefix(MARK): value for name, value in posted.items() if name.startswith(MARK) and value
    }
    return read_act(fields)


def read_number(value: Any) -> UUID:
    """A number that a telephone or a page made. Raises Refused."""
    try:
        return UUID(str(value))
    except ValueError as error:
        raise Refused(_("This came without its number. Load the page again and tap once more.")) from error


def _text(act: Mapping[str, Any], name: str) -> str:
    value = act.get(name) or ""
    if not isinstance(value, str) or "\x00" in value:
        raise Refused(_("This holds signs that no text has. Write it again."), field=name)
    return value


def _marks(value: Any) -> dict[str, int]:
    words = _("Say of each mark how many pieces, as a whole number.")
    if not isinstance(value, dict):
        raise Refused(words, field="marks")
    try:
        found = {str(mark): int(count) for mark, count in value.items()}
    except (TypeError, ValueError, OverflowError) as error:
        raise Refused(words, field="marks") from error
    if any("\x00" in mark for mark in found):
        raise Refused(words, field="marks")
    return {mark: count for mark, count in found.items() if count}


def _time(value: Any) -> datetime | None:
    """The telephone's clock, or nothing where it says none: it decides nothing."""
    try:
        found = parse_datetime(value) if isinstance(value, str) else None
    except ValueError:
        return None
    return found if found is not None and found.tzinfo is not None else None
