"""Whose quotes figures and lists are about: everybody's, a team's, a seller's; and whose costs the reader may see."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from framing.common.access import may
from framing.common.actors import Actor
from framing.common.errors import Refused
from framing.common.models import User


@dataclass(frozen=True, slots=True)
class Whose:
    """Whose quotes: everybody's, one seller's (`seller:7`) or a team's (`team:North`)."""

    key: str = ""
    label: str = "All sellers"

    @property
    def q(self) -> Q:
        kind, _, value = self.key.partition(":")
        if kind == "seller":
            return Q(quote__owner_id=int(value))
        return Q(quote__owner__team=value) if kind == "team" else Q()


ALL = Whose()


def whose_offered() -> list[Whose]:
    """All sellers, each team, and everybody who owns a quote, by name."""
    people = list(User.objects.filter(quotes__isnull=False).distinct().order_by("name", "pk"))
    teams = sorted({user.team for user in people if user.team})
    return [
        ALL,
        *(Whose(f"team:{team}", f"Team {team}") for team in teams),
        *(Whose(f"seller:{user.pk}", user.name) for user in people),
    ]


def whose_read(key: str, offered: Iterable[Whose]) -> Whose:
    """The one that an address names. Raises Refused at `who`."""
    found = next((whose for whose in offered if whose.key == key), None)
    if found is None:
        raise Refused(
            f"Nobody who owns quotes is called “{key[:40]}” here. Choose from the list.", field="who"
        )
    return found


def cost_scope(actor: Actor) -> tuple[str, Q]:
    """Whose costs the reader may see: “all”, “own” (his and his team's) or “none”, and the filter for it."""
    if actor.user is None or not may(actor.audience, "cost", "read"):
        return "none", Q(pk=None)
    if may(actor.audience, "cost", "read", own=False):
        return "all", Q()
    team = actor.user.team
    return "own", Q(quote__owner=actor.user) | (Q(quote__owner__team=team) if team else Q())
