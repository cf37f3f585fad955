"""Minutes that the shop timed from one profile to another (R46): one pair, or many at once."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Final

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Refused
from orders.line_facts import profile_codes
from orders.line_typed import Pair, pair_field
from orders.models import ChangeOverTime
from orders.services.line_plans import plans_locked
from orders.services.line_setup import MINUTES_MOST

PAIRS_MOST: Final = 1000


def change_over_set(*, actor: Actor, at: datetime, before: str, after: str, minutes: int | None) -> None:
    """Set the minutes that the shop timed from one profile to another; None goes back to the rule.

    Raises Refused at the field for a profile that is none, the same twice, or minutes out of their limits.
    """
    with transaction.atomic():
        require(actor, "line", "change")
        fields = {"before": "before", "after": "after", "minutes": "minutes"}
        _put(actor, at, {(before, after): minutes}, fields)


def change_overs_set(*, actor: Actor, at: datetime, minutes: Mapping[Pair, int | None]) -> int:
    """Set many pairs, all or none; None gives a pair back to the rule. Pairs that are not named stay.

    Returns how many changed. Raises Refused at the pair's field (`orders.line_typed.pair_field`).
    """
    with transaction.atomic():
        require(actor, "line", "change")
        if len(minutes) > PAIRS_MOST:
            raise Refused(f"{len(minutes):,} pairs are too many at once; send {PAIRS_MOST:,} at most.")
        return _put(actor, at, minutes, None)


def _put(
    actor: Actor, at: datetime, minutes: Mapping[Pair, int | None], fields: Mapping[str, str] | None
) -> int:
    """Keep pairs under the lock of all plans; one entry of the trail tells what became of each that changed."""
    row = plans_locked()
    codes = frozenset(profile_codes())
    for pair, asked in minutes.items():
        _check(pair, asked, codes, fields or dict.fromkeys(("before", "after", "minutes"), pair_field(pair)))
    timed = {(one.before, one.after): one for one in ChangeOverTime.objects.all()}
    was = {pair: timed[pair].minutes if pair in timed else None for pair in minutes}
    changed = {pair: asked for pair, asked in minutes.items() if asked != was[pair]}
    ChangeOverTime.objects.filter(pk__in=[timed[pair].pk for pair in changed if pair in timed]).delete()
    ChangeOverTime.objects.bulk_create(
        ChangeOverTime(before=before, after=after, minutes=asked)
        for (before, after), asked in changed.items()
        if asked is not None
    )
    if changed:
        change = {f"{pair[0]} to {pair[1]}": [was[pair], asked] for pair, asked in changed.items()}
        audit_record(actor, "change_over_set", row, at=at, change=change)
    return len(changed)


def _check(pair: Pair, minutes: int | None, codes: frozenset[str], fields: Mapping[str, str]) -> None:
    before, after = pair
    for name, code in (("before", before), ("after", after)):
        if code not in codes:
            raise Refused(f"“{code[:40]}” is no profile of the catalogue; choose one.", field=fields[name])
    if before == after:
        raise Refused(f"{before} to itself is no change-over; choose another profile.", field=fields["after"])
    if minutes is not None and not 0 <= minutes <= MINUTES_MOST:
        raise Refused(f"{minutes} minutes can't be; give 0 to {MINUTES_MOST}.", field=fields["minutes"])
