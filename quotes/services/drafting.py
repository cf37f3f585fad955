"""Drafts: a new quote, a new revision, prices anew, discount and terms."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from framing.common.access import require
from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, Refused
from framing.common.numbering import next_number
from framing.common.transitions import check_transition
from framing.common.zones import company_day
from framing.projects.models import Project
from quotes.models import Quote, QuoteRevision
from quotes.selectors import discountable_lines, package_of, price_book_in_force
from quotes.selectors import line_discounts as discounts_of
from quotes.services.alternate_frames import reframe_alternates, reprice_alternates
from quotes.services.changing import design_agreed
from quotes.services.designing import (
    Designed,
    design_project,
    price_draft,
    prune_discounts,
    read_share,
    set_design,
    set_prices,
)
from quotes.services.rows import lock_draft, lock_quote, move_quote
from quotes.states import QUOTE_MOVES, QuoteStage

LEAD_TIME_MOST = 730
TERMS_MOST = 4000
DEFAULT_TERMS = (
    "Half with the order, the rest before the truck leaves. Prices hold for the floors as drawn here."
)


def quote_create(
    *,
    actor: Actor,
    project: Project,
    at: datetime,
    discount_share: Decimal = Decimal(0),
    terms: str = DEFAULT_TERMS,
    lead_time_days: int = 21,
) -> QuoteRevision:
    """Draw up revision 1 of a new quote from the project's floors as they are saved now.

    It belongs to the project's owner. Raises Refused: no floor, one that cannot be built, missing prices.
    """
    require(actor, "draft", "make", owner=project.owner, owned=True)
    designed = design_project(project, at=at)
    with transaction.atomic():
        quote = Quote(
            number=next_number("Q", at),
            project=project,
            owner=project.owner,
            stage=QuoteStage.BID,
            created_at=at,
        )
        quote.save()
        _first_move(quote, actor, at)
        revision = QuoteRevision(quote=quote, number=1, created_at=at)
        revision.discount_share = read_share(discount_share)
        _set_terms(revision, terms, lead_time_days)
        _fill(revision, designed, {}, at)
        audit_record(actor, "quote_create", quote, at=at, change={"total": [None, str(revision.total)]})
    return revision


def draft_reprice(*, actor: Actor, revision: QuoteRevision, at: datetime) -> QuoteRevision:
    """Design the floors as saved now and price them from the book in force; discounts and terms stay.

    The discount of a line that no offer of the draft has any more goes with it.
    """
    owner = revision.quote.owner
    require(actor, "draft", "change", owner=owner, owned=True)
    designed = _designed(revision, at)
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "draft", "change")
        before, discounts = draft.total, discounts_of(draft)
        _fill(draft, designed, discounts, at)
        left_out = reframe_alternates(draft, list(draft.alternates.all()), draft.price_book, discounts)
        prune_discounts(draft)
        change: dict[str, Any] = {"total": [str(before), str(draft.total)]}
        change |= {"alternates_left_out": left_out} if left_out else {}
        change |= _discounts_moved(discounts, discounts_of(draft))
        audit_record(actor, "draft_reprice", draft, at=at, change=change)
    return draft


def revision_change(
    *,
    actor: Actor,
    revision: QuoteRevision,
    at: datetime,
    discount_share: Decimal | None = None,
    terms: str | None = None,
    lead_time_days: int | None = None,
    line_discounts: Mapping[str, Decimal] | None = None,
) -> QuoteRevision:
    """Change a draft's discounts, terms or lead time; priced anew from its own book. None leaves a value.

    Args:
        line_discounts: share by line code; replaces all there were, 0 takes one away.
    """
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "draft", "change")
        before, had = _shown(draft), discounts_of(draft)
        discounts = had if line_discounts is None else _read_lines(draft, line_discounts)
        if discount_share is not None:
            draft.discount_share = read_share(discount_share)
        _set_terms(
            draft,
            draft.terms if terms is None else terms,
            draft.lead_time_days if lead_time_days is None else lead_time_days,
        )
        priced = price_draft(draft, package_of(draft), draft.price_book, discounts)
        set_prices(draft, draft.price_book, priced, discounts)
        reprice_alternates(draft, draft.price_book, discounts)
        prune_discounts(draft)
        after = _shown(draft)
        moved: dict[str, Any] = {
            name: [before[name], after[name]] for name in after if before[name] != after[name]
        }
        moved |= _discounts_moved(had, discounts_of(draft))
        if moved:
            audit_record(actor, "revision_change", draft, at=at, change=moved)
    return draft


def revision_revise(*, actor: Actor, quote: Quote, at: datetime, why: str = "") -> QuoteRevision:
    """Open revision n + 1 from the floors as saved now; discounts, terms, lead time and alternates are kept.

    Alternates are framed again on these floors; what can't be is left out, and the audit entry says why.

    The issued revision stays as it is but cannot be accepted while the quote is being revised.
    """
    require(actor, "quote", "revise", owner=quote.owner, owned=True)
    check_transition(QUOTE_MOVES, quote.stage, "revise", quote.number)
    designed = design_project(quote.project, at=at)
    with transaction.atomic():
        locked = lock_quote(quote.pk)
        require(actor, "quote", "revise", owner=locked.owner, owned=True)
        stage = check_transition(QUOTE_MOVES, locked.stage, "revise", locked.number)
        last = locked.revisions.order_by("-number").first()
        if last is None or last.issued_at is None:
            raise Clash(f"{locked.number} has a draft already; change that one.")
        revision = QuoteRevision(
            quote=locked,
            number=last.number + 1,
            created_at=at,
            discount_share=last.discount_share,
            terms=last.terms,
            lead_time_days=last.lead_time_days,
        )
        discounts = discounts_of(last)
        _fill(revision, designed, discounts, at)
        left_out = reframe_alternates(revision, list(last.alternates.all()), revision.price_book, discounts)
        prune_discounts(revision)
        move_quote(locked, stage, actor=actor, at=at, why=why)
        audit_record(
            actor,
            "revision_revise",
            locked,
            at=at,
            change={
                "revision": [last.number, revision.number],
                "total": [str(last.total), str(revision.total)],
            }
            | ({"alternates_left_out": left_out} if left_out else {}),
            why=why,
        )
    return revision


def _designed(revision: QuoteRevision, at: datetime) -> Designed:
    """The project's floors as saved now; for a change of what was booked, framed as the builder picked."""
    if revision.after_booking:
        return design_agreed(revision.quote, at)
    return design_project(revision.quote.project, at=at)


def _first_move(quote: Quote, actor: Actor, at: datetime) -> None:
    quote.stage = ""
    move_quote(quote, QuoteStage.BID, actor=actor, at=at)


def _fill(
    revision: QuoteRevision, designed: Designed, discounts: Mapping[str, Decimal], at: datetime
) -> None:
    book = price_book_in_force(company_day(at))
    set_design(revision, designed)
    set_prices(revision, book, price_draft(revision, designed.result, book, discounts), discounts)


def _read_lines(draft: QuoteRevision, typed: Mapping[str, Decimal]) -> dict[str, Decimal]:
    """Discounts of lines as shares; a code that no offer of the draft has, or one never discounted, is refused."""
    lines = {code for code, *_ in discountable_lines(draft)}
    found = {}
    for code, share in typed.items():
        if code not in lines:
            raise Refused(
                f"“{code[:60]}” is no line of {draft} that can be discounted.", field="line_discounts"
            )
        try:
            found[code] = read_share(share)
        except Refused as error:
            raise Refused(f"{code}: {error.message}", field="line_discounts") from error
    return {code: share for code, share in found.items() if share}


def _discounts_moved(before: Mapping[str, Decimal], after: Mapping[str, Decimal]) -> dict[str, Any]:
    if before == after:
        return {}
    pair = [{code: f"{share:.4f}" for code, share in shares.items()} for shares in (before, after)]
    return {"line_discounts": pair}


def _set_terms(revision: QuoteRevision, terms: str, lead_time_days: int) -> None:
    if not 1 <= lead_time_days <= LEAD_TIME_MOST:
        raise Refused(f"A lead time is from 1 to {LEAD_TIME_MOST} days.", field="lead_time_days")
    if len(terms) > TERMS_MOST:
        raise Refused(f"Terms have at most {TERMS_MOST} signs; these have {len(terms)}.", field="terms")
    revision.terms = terms.strip()
    revision.lead_time_days = lead_time_days


def _shown(revision: QuoteRevision) -> dict[str, str]:
    return {
        "discount_share": f"{revision.discount_share:.4f}",
        "terms": revision.terms,
        "lead_time_days": str(revision.lead_time_days),
        "total": str(revision.total),
    }
