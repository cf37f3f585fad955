"""Idempotency keys for verbs that move money: equal posts have one effect and one answer."""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from framing.common.actors import Actor
from framing.common.errors import KeyMissing, Refused
from framing.common.models import IdempotencyKey

KEY_MOST = 80


def new_key() -> str:
    """A key for one showing of a form."""
    return secrets.token_urlsafe(24)


@dataclass(frozen=True, slots=True)
class Claim:
    """A key held by this transaction. `result` is the earlier answer where the act was done before."""

    row: IdempotencyKey
    result: Any

    @property
    def done(self) -> bool:
        return self.result is not None

    def finish(self, result: Mapping[str, Any]) -> None:
        self.row.result = dict(result)
        self.row.save(update_fields=["result"])


def claim_key(*, actor: Actor, verb: str, key: str, body: Mapping[str, Any]) -> Claim:
    """Claim a key inside the caller's transaction; an equal post in flight is waited for.

    Raises:
        KeyMissing: no key, one longer than 80 signs, or one with signs that cannot be printed.
        Refused: the key was used for another act or another body.
    """
    if not key or len(key) > KEY_MOST or not key.isprintable():
        raise KeyMissing(f"“{verb}” needs an Idempotency-Key of 1 to {KEY_MOST} signs, new for each new act.")
    digest = hashlib.sha256(json.dumps(body, sort_keys=True, default=str).encode()).hexdigest()
    IdempotencyKey.objects.bulk_create(
        [IdempotencyKey(owner=actor.reference, key=key, verb=verb, body_sha256=digest)], ignore_conflicts=True
    )
    row = IdempotencyKey.objects.select_for_update().get(owner=actor.reference, key=key)
    if row.verb != verb or row.body_sha256 != digest:
        raise Refused("This idempotency key was used for another act. Load the page again and repeat.")
    return Claim(row, row.result)
