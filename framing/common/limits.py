"""How often an address may fail. Kept in the cache table of the database, which no broker's restart empties."""

from __future__ import annotations

import hashlib
import ipaddress
from dataclasses import dataclass
from datetime import datetime
from math import ceil

from django.conf import settings
from django.core.cache import cache
from django.db import connection, transaction
from django.http import HttpRequest
from django.utils.translation import gettext as _

from framing.common.errors import TooMany

LOCK_CLASS = 7402  # ours alone among the database's advisory locks
IPV6_PREFIX = 64  # one customer of a provider usually holds a whole /64


@dataclass(frozen=True, slots=True)
class Limit:
    """At most `most` failed tries of one address within `window_s` seconds."""

    name: str
    most: int
    window_s: int

    def check(self, address: str, at: datetime) -> None:
        """Raise TooMany, with the seconds to wait, where the address has used up its tries."""
        failed = self._failed(address, at)
        if len(failed) >= self.most:
            wait_s = max(1, ceil(failed[-self.most] + self.window_s - at.timestamp()))
            raise TooMany(_("Too many tries from your address. Wait a little and try again."), wait_s)

    def count(self, address: str, at: datetime) -> None:
        """Remember a failed try. The lock keeps tries at the same moment from being counted as one."""
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s, hashtext(%s))", [LOCK_CLASS, self._key(address)])
            failed = [*self._failed(address, at), at.timestamp()][-self.most :]
            cache.set(self._key(address), failed, self.window_s)

    def _failed(self, address: str, at: datetime) -> list[float]:
        since = at.timestamp() - self.window_s
        return [moment for moment in cache.get(self._key(address), []) if moment > since]

    def _key(self, address: str) -> str:
        return f"limit:{self.name}:{hashlib.sha256(address.encode()).hexdigest()[:32]}"


LINK_TRIES = Limit("link", most=30, window_s=60)


def address_of(request: HttpRequest) -> str:
    """Where a request comes from: by the connection, or where a proxy of ours stands before us, by what it added.

    Only the last address of the header is our proxy's word; those before it are anyone's claim.
    """
    text: str = request.META.get("REMOTE_ADDR", "")
    if settings.ALLAUTH_TRUSTED_PROXY_COUNT:
        text = request.headers.get("X-Forwarded-For", text).rsplit(",", 1)[-1].strip()
    try:
        address = ipaddress.ip_address(text)
    except ValueError:
        return text
    if address.version == 6:
        return f"{ipaddress.ip_network(f'{address}/{IPV6_PREFIX}', strict=False).network_address}"
    return text
