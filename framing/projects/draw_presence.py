"""Who has a floor's editor open: told again every few seconds, forgotten after a minute, kept in the cache alone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.core.cache import cache
from django.db import connection, transaction

from framing.common.models import User
from framing.projects.models import Floor

PRESENT_S: Final = 60
LOCK_CLASS: Final = 7405  # ours alone among the database's advisory locks
_Seen = tuple[str, float, int]
"""Name, moment and base version: plain, so that an old entry still reads."""


@dataclass(frozen=True, slots=True)
class Presence:
    """One person at a floor; `base_version` is the version that is open."""

    user: int
    name: str
    at: float
    base_version: int


def presence_tell(floor: Floor, user: User, base_version: int, at: datetime) -> None:
    """Remember that somebody is at the floor. The lock keeps two at the same moment from forgetting each other."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_xact_lock(%s, %s)", [LOCK_CLASS, floor.pk % 2**31])
        seen = {entry.user: (entry.name, entry.at, entry.base_version) for entry in presence_list(floor, at)}
        seen[user.pk] = (user.name, at.timestamp(), base_version)
        cache.set(_key(floor), seen, PRESENT_S)


def presence_list(floor: Floor, at: datetime) -> tuple[Presence, ...]:
    """Who was at the floor within the last minute, the latest first."""
    seen: dict[int, _Seen] = cache.get(_key(floor)) or {}
    since = at.timestamp() - PRESENT_S
    found = (Presence(user, *entry) for user, entry in seen.items() if entry[1] > since)
    return tuple(sorted(found, key=lambda entry: (-entry.at, entry.user)))


def _key(floor: Floor) -> str:
    return f"draw-presence:{floor.pk}"
