"""A manager's word on a draft outside the limits (R39)."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from framing.common.actors import Actor
from framing.common.audit import audit_record
from framing.common.errors import Clash, NotAllowed, Refused
from quotes.alternate_reads import alternates_seen as alternates_of
from quotes.approval_reads import (
    approval_holds,
    approval_open,
    approval_reasons,
    discount_given,
    margin_kept,
)
from quotes.models import Approval, ApprovalWord, QuoteRevision
from quotes.pricing import margin_of
from quotes.services.rows import lock_draft

REASON_MOST = 400


def approval_ask(*, actor: Actor, revision: QuoteRevision, reason: str, at: datetime) -> Approval:
    """Ask for approval of a draft as it is now.

    Raises Refused without a reason or where none is needed; Clash where one is waiting or granted already.
    """
    said = read_reason(reason, "reason", "Say why this price is right.")
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "draft", "change")
        if actor.user is None:
            raise NotAllowed("Only a member of staff asks for approval.")
        if not approval_reasons(draft):
            raise Refused(f"{draft} is within the limits and needs no approval.")
        if approval_open(draft) is not None:
            raise Clash(f"{draft} is waiting for approval already.")
        if approval_holds(draft):
            raise Clash(f"{draft} is approved already.")
        approval = Approval.objects.create(
            revision=draft,
            reason=said,
            asked_by=actor.user,
            total_seen=draft.total,
            alternates_seen=alternates_of(draft),
            created_at=at,
            **_figures(draft),
        )
        audit_record(actor, "approval_ask", draft, at=at, change={"total": str(draft.total)}, why=said)
    return approval


def approval_decide(
    *,
    actor: Actor,
    revision: QuoteRevision,
    granted: bool,
    answer: str,
    total_seen: Decimal,
    at: datetime,
    alternates_seen: str | None = None,
    margin_seen: Decimal | None = None,
) -> Approval:
    """Grant or refuse the open approval of a draft, for what the manager has seen and for nothing else.

    Args:
        alternates_seen: the alternates' totals that he saw (`alternate_reads.alternates_seen`); None stands for those
            that were there when approval was asked for.
        margin_seen: the base offer's margin that he saw, to four decimals; None stands for the one that approval was
            asked for with, as long as the total is that one too.

    Raises Clash where nothing waits, or the total, the margin or an alternate moved; Refused where a refusal gives no
    reason.
    """
    said = (
        answer.strip()[:REASON_MOST] if granted else read_reason(answer, "answer", "Say why it is refused.")
    )
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "quote", "approve")
        approval = approval_open(draft)
        if approval is None or actor.user is None:
            raise Clash(f"{draft} is not waiting for approval.")
        if total_seen != draft.total:
            raise Clash(
                f"The total of {draft} moved from {total_seen} to {draft.total} meanwhile. Look again."
            )
        _refuse_other_margin(approval, draft, margin_seen)
        now = alternates_of(draft)
        seen = approval.alternates_seen if alternates_seen is None else alternates_seen
        if granted and seen != now:
            raise Clash(
                f"The alternates of {draft} moved from {seen or 'none'} to {now or 'none'} meanwhile. Look again."
            )
        approval.granted, approval.answer = granted, said
        approval.alternates_seen = now
        approval.decided_by, approval.decided_at = actor.user, at
        approval.total_seen = draft.total
        approval.asked_back = False
        for name, value in _figures(draft).items():
            setattr(approval, name, value)
        approval.save()
        verb = "approval_grant" if granted else "approval_refuse"
        audit_record(actor, verb, draft, at=at, change={"total": str(draft.total)}, why=said)
    return approval


def _refuse_other_margin(approval: Approval, draft: QuoteRevision, seen: Decimal | None) -> None:
    """A new price book may move the cost alone, and the margin with it."""
    if seen is None and approval.total_seen == draft.total:
        seen = approval.margin_after
    now = margin_kept(draft.margin)
    if seen is not None and now != seen:
        shown = "none" if now is None else f"{now * 100:.2f} %"
        raise Clash(f"The margin of {draft} moved from {seen * 100:.2f} % to {shown} meanwhile. Look again.")


def approval_question(*, actor: Actor, revision: QuoteRevision, text: str, at: datetime) -> ApprovalWord:
    """Ask the seller back before deciding; the approval leaves the queue until he has answered.

    Raises Refused without a question, Clash where nothing waits or a question is open already.
    """
    said = read_reason(text, "text", "Type the question.")
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "quote", "approve")
        approval = _waiting(draft)
        if approval.asked_back:
            raise Clash(f"{draft} has a question already that waits for its answer.")
        return _word(approval, draft, actor, said, at, is_question=True)


def approval_answer(*, actor: Actor, revision: QuoteRevision, text: str, at: datetime) -> ApprovalWord:
    """Answer a manager's question; the approval goes back into the queue. Raises as `approval_question`."""
    said = read_reason(text, "text", "Type the answer.")
    with transaction.atomic():
        _, draft = lock_draft(revision, actor, "draft", "change")
        approval = _waiting(draft)
        if not approval.asked_back:
            raise Clash(f"No question on {draft} waits for an answer.")
        return _word(approval, draft, actor, said, at, is_question=False)


def _waiting(draft: QuoteRevision) -> Approval:
    approval = approval_open(draft)
    if approval is None:
        raise Clash(f"{draft} is not waiting for approval.")
    return approval


def _word(
    approval: Approval, draft: QuoteRevision, actor: Actor, text: str, at: datetime, *, is_question: bool
) -> ApprovalWord:
    if actor.user is None:
        raise NotAllowed("Only a member of staff says a word on an approval.")
    approval.asked_back = is_question
    approval.save(update_fields=["asked_back"])
    word = ApprovalWord.objects.create(
        approval=approval, is_question=is_question, text=text, by=actor.user, at=at
    )
    audit_record(actor, "approval_question" if is_question else "approval_answer", draft, at=at, why=text)
    return word


def _figures(draft: QuoteRevision) -> dict[str, Decimal | None]:
    """What a manager looks at: the manual discount, and the margin without it and with it."""
    given = discount_given(draft)
    before = margin_of(draft.goods + draft.freight + given, draft.cost)
    return {"given": given, "margin_before": margin_kept(before), "margin_after": margin_kept(draft.margin)}


def read_reason(text: str, field: str, ask: str) -> str:
    """A reason of 1 to 400 signs. Raises Refused."""
    said = text.strip()
    if not said:
        raise Refused(ask, field=field)
    if len(said) > REASON_MOST:
        raise Refused(f"A reason has at most {REASON_MOST} signs; this has {len(said)}.", field=field)
    return said
