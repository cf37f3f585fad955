"""Changes after booking (R45): a draft from the floors as saved now, on a quote that stays booked; taken back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash
from framing.common.zones import company_day
from framing.engine.catalogue import load_catalogue
from framing.engine.errors import EngineError
from framing.engine.pipeline import design_package
from framing.projects.design import plan_of, refusal
from framing.projects.selectors import practice_of
from quotes.change_reads import agreements
from quotes.models import Alternate, Quote, QuoteRevision
from quotes.selectors import line_discounts, price_book_in_force
from quotes.services.alternate_frames import Choice, framed_floors
from quotes.services.approvals import read_reason
from quotes.services.designing import Designed, design_project, price_draft, set_design, set_prices
from quotes.services.rows import lock_quote, lock_revision
from quotes.states import QuoteStage

Holder = Callable[[QuoteRevision], str]
_told: list[Holder] = []


def tell_change_holder(holder: Holder) -> None:
    """Name what says why a change can't be accepted now, "" where it can; an app above this one knows orders."""
    _told[:] = [holder]


def check_change_open(revision: QuoteRevision) -> None:
    """Raises Clash where the order that a revision would change has gone too far."""
    words = _told[0](revision) if _told else ""
    if words:
        raise Clash(words)


def change_draft(*, actor: Actor, quote: Quote, at: datetime, why: str) -> QuoteRevision:
    """Draft a change of what was booked from the floors as saved now, priced by the book in force.

    The alternate that the builder picked stays picked: its choices are put into the floors. Discounts, terms and
    lead time are those agreed; the quote stays booked. What keeps the order in step is the caller's.

    Raises:
        Refused: no reason, no floor, one that can't be built, or missing prices.
        Clash: not booked, or a draft is there already.
    """
    reason = read_reason(why, "why", "Say why the order changes, in a few words.")
    with transaction.atomic():
        locked = lock_quote(quote.pk)
        require(actor, "quote", "revise", owner=locked.owner, owned=True)
        agreed = agreements(locked).first()
        if locked.stage != QuoteStage.BOOKED or agreed is None:
            raise Clash(f"{locked.number} is not booked; revise it instead.")
        last = locked.revisions.order_by("-number")[0]
        if last.issued_at is None and last.withdrawn_at is None:
            raise Clash(f"{locked.number} has a draft already; change that one.")
        was = agreed.revision
        designed = design_agreed(locked, at)
        draft = QuoteRevision(
            quote=locked,
            number=last.number + 1,
            created_at=at,
            after_booking=True,
            discount_share=was.discount_share,
            terms=was.terms,
            lead_time_days=was.lead_time_days,
        )
        book = price_book_in_force(company_day(at))
        set_design(draft, designed)
        discounts = line_discounts(was)
        set_prices(draft, book, price_draft(draft, designed.result, book, discounts), discounts)
        old = (agreed.alternate or was).total
        change = {"revision": [was.number, draft.number], "total": [str(old), str(draft.total)]}
        audit_record(actor, "change_draft", locked, at=at, change=change, why=reason)
    return draft


def change_end(
    *, actor: Actor, revision: QuoteRevision, at: datetime, why: str, accepted_too: bool = False
) -> QuoteRevision:
    """Take a change back: nobody can issue or accept it any more.

    Raises Clash where it was taken back before, or accepted; with `accepted_too` its yes counts no more.
    """
    reason = read_reason(why, "why", "Say why the change is taken back, in a few words.")
    with transaction.atomic():
        quote, row = lock_revision(revision)
        require(actor, "quote", "revise", owner=quote.owner, owned=True)
        if not row.after_booking or row.withdrawn_at is not None:
            raise Clash(f"{row} is no change that is open.")
        if not accepted_too and row.quote.acceptances.filter(revision=row).exists():
            raise Clash(f"The builder accepted {row}; put it into the order.")
        row.withdrawn_at = at
        row.save(update_fields=["withdrawn_at"])
        audit_record(actor, "change_end", quote, at=at, change={"revision": row.number}, why=reason)
    return row


def design_agreed(quote: Quote, at: datetime) -> Designed:
    """Design a booked quote's floors as saved now, framed as the builder picked.

    Raises Refused: no floor, or one that can't be built with what was picked.
    """
    agreed = agreements(quote).first()
    now = design_project(quote.project, at=at)
    picked = agreed.alternate if agreed else None
    return _as_picked(now, picked) if picked is not None else now


def _as_picked(now: Designed, picked: Alternate) -> Designed:
    """The same floors with an alternate's choices; a document of its own stands while its floor was not saved since."""
    then = {entry["floor"]: entry for entry in picked.floors}
    current = {entry["floor"]: entry["version"] for entry in now.floors}
    own = {
        key: entry["document"]
        for key, entry in then.items()
        if entry.get("own") and current.get(key) == entry["version"]
    }
    choices = [Choice(**choice) for choice in picked.choices if choice["floor"] in current]
    floors = [
        {key: value for key, value in entry.items() if key != "own"}
        for entry in framed_floors(now.floors, choices, own)
    ]
    practice = practice_of(now.practice_set)
    try:
        result = design_package(
            tuple(plan_of(entry["document"], practice) for entry in floors), load_catalogue(), practice
        )
    except EngineError as error:
        raise refusal(error) from error
    return replace(now, floors=floors, result=result)
