"""Alternates for tests, made through the service: the floor's joists at another spacing or of another profile."""

from __future__ import annotations

from framing.common.actors import person
from quotes import services
from quotes.models import Alternate, QuoteRevision
from quotes.services import Choice
from tests.factories import quotes

DEEP = "1000S162-54"


def choice(revision: QuoteRevision, profile: str = DEEP, spacing: str = "24") -> Choice:
    """The first floor's first bay at another profile and spacing."""
    return Choice(revision.floors[0]["floor"], "A", profile, spacing)


def alternate(
    revision: QuoteRevision, label: str = "Deeper joist at 24 in", *, profile: str = DEEP, spacing: str = "24"
) -> Alternate:
    return services.alternate_add(
        actor=person(revision.quote.owner),
        revision=revision,
        label=label,
        choices=[choice(revision, profile, spacing)],
        at=quotes.AT,
    )


def issued_with_one() -> QuoteRevision:
    """An issued revision with alternate A."""
    draft = quotes.draft()
    alternate(draft)
    return services.revision_issue(
        actor=person(draft.quote.owner), revision=draft, key=quotes.key(), at=quotes.AT
    )
