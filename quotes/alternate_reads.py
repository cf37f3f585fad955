"""Reads of alternates (R42): those of a revision, the one that the builder picked, and what of them was left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal

from django.db.models import Q, QuerySet

from framing.common.errors import NotThere
from framing.common.models import AuditEntry
from framing.engine.result import PackageResult
from quotes.models import Acceptance, Alternate, QuoteRevision
from quotes.snapshots import package_from_json

ALTERNATE_BIG = ("floors", "result", "choices")


def alternate_list(revision: QuoteRevision) -> QuerySet[Alternate]:
    """Alternates of a revision by letter, with all that they hold but the lines."""
    return revision.alternates.order_by("letter")


def alternate_get(revision: QuoteRevision, letter: str) -> Alternate:
    """Raises NotThere."""
    alternate = revision.alternates.filter(letter=letter).first()
    if alternate is None:
        raise NotThere()
    return alternate


def alternates_seen(revision: QuoteRevision) -> str:
    """Total and margin of a revision's alternates in words, as an approval keeps them: “A 8120.40 at 18.12 %”.

    For those who may see margins only (R39). The margin counts too: other costs may leave a price as it was.
    """
    return alternates_words(revision.alternates.order_by("letter").defer(*ALTERNATE_BIG, "figures"))


def alternates_words(alternates: Iterable[Alternate]) -> str:
    """The same of alternates that are at hand, by letter; at most 118 signs."""
    return ", ".join(f"{one.letter} {one.total:.2f} at {_percent(one.margin)}" for one in alternates)


def _percent(margin: Decimal | None) -> str:
    return "no margin" if margin is None else f"{max(margin * 100, Decimal(-999)):.2f} %"


def alternates_fit(revision: QuoteRevision) -> bool:
    """Whether every member of every alternate passes its checks."""
    return not revision.alternates.filter(fits=False).exists()


def alternate_picked(revision: QuoteRevision) -> Alternate | None:
    """The alternate that the builder accepted; None for the base offer, or where nothing is accepted."""
    acceptance = Acceptance.objects.filter(revision=revision).select_related("alternate").first()
    return acceptance.alternate if acceptance else None


def package_accepted(revision: QuoteRevision) -> PackageResult:
    """What was bought: the engine's result of the accepted alternate, else of the revision's base offer."""
    return package_from_json((alternate_picked(revision) or revision).result)


def alternates_left_out(revision: QuoteRevision) -> Sequence[str]:
    """Why alternates fell out of a draft when its floors were last designed anew; empty once others were added."""
    own = Q(object_type=revision._meta.label_lower, object_id=revision.pk)
    opened = Q(
        object_type=revision.quote._meta.label_lower,
        object_id=revision.quote_id,
        verb="revision_revise",
        change__revision__1=revision.number,
    )
    verbs = ("draft_reprice", "revision_revise", "alternate_add")
    entry = AuditEntry.objects.filter(own | opened, verb__in=verbs).order_by("-id").first()
    found: list[str] = entry.change.get("alternates_left_out", []) if entry else []
    return found
