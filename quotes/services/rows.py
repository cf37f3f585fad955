"""What every verb shares: the locked quote, a recorded move, and the checks on a draft."""

from __future__ import annotations

from datetime import datetime

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.errors import Clash, NotThere
from quotes.models import Quote, QuoteMove, QuoteRevision


def lock_quote(pk: int) -> Quote:
    """The quote's row, locked until the transaction ends; every verb of the quote waits for it."""
    rows = Quote.objects.select_for_update(of=("self",))
    quote = (
        rows.select_related("project__builder", "project__site", "project__owner", "owner")
        .filter(pk=pk)
        .first()
    )
    if quote is None:
        raise NotThere()
    return quote


def lock_revision(revision: QuoteRevision) -> tuple[Quote, QuoteRevision]:
    """The locked quote and the revision read afresh, without its big columns."""
    quote = lock_quote(revision.quote_id)
    fresh = QuoteRevision.objects.defer("floors", "result").get(pk=revision.pk)
    fresh.quote = quote
    return quote, fresh


def lock_draft(revision: QuoteRevision, actor: Actor, object_: str, verb: str) -> tuple[Quote, QuoteRevision]:
    """The locked quote and the revision read afresh, for an act of the access table.

    Raises:
        NotAllowed: the actor may not do it; said before anything about the stage.
        Clash: the revision is no draft any more.
    """
    quote = lock_quote(revision.quote_id)
    require(actor, object_, verb, owner=quote.owner, owned=True)
    fresh = QuoteRevision.objects.select_related("price_book", "practice_set").get(pk=revision.pk)
    fresh.quote = quote
    if fresh.withdrawn_at is not None:
        raise Clash(f"{fresh} was taken back and never changes. Ask for another change of the order.")
    if fresh.issued_at is not None:
        raise Clash(f"{fresh} was issued and never changes. Revise the quote to make a new revision.")
    return quote, fresh


def move_quote(quote: Quote, to_stage: str, *, actor: Actor, at: datetime, why: str = "") -> None:
    """Set the stage and record the move (R44)."""
    QuoteMove.objects.create(
        quote=quote, at=at, from_stage=quote.stage, to_stage=to_stage, by=actor.name[:160], why=why[:400]
    )
    quote.stage = to_stage
    quote.save(update_fields=["stage"])
