"""Reads of discounts and approvals (R39): why a manager must say a word, and what waits for one."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch, Q, QuerySet

from framing.common.models import User
from quotes.alternate_reads import alternates_seen
from quotes.models import Alternate, Approval, ApprovalWord, QuoteRevision
from quotes.pricing import FREIGHT, LINE_DISCOUNT, SURCHARGE, TOTAL_DISCOUNT

BIG = ("floors", "result")
MANUAL = (TOTAL_DISCOUNT, LINE_DISCOUNT)
HALF_CENT = Decimal("0.005")


def line_discounts(revision: QuoteRevision) -> dict[str, Decimal]:
    """Manual discounts of single lines, by code."""
    return {row.code: row.share for row in revision.line_discounts.all()}


def discountable_lines(revision: QuoteRevision) -> list[tuple[str, str, Decimal]]:
    """Code, description and present discount of each line of a revision that may be discounted by itself."""
    shares = line_discounts(revision)
    return [
        (line.code, line.description, shares.get(line.code, Decimal(0)))
        for line in revision.lines.all()
        if line.group not in ("discount", "freight") and line.code != SURCHARGE
    ]


def discount_given(revision: QuoteRevision) -> Decimal:
    """Manual discounts of a revision, of lines and of the total, as a positive amount before tax."""
    lines = revision.lines.values_list("code", "extension")
    return -sum((amount for code, amount in lines if code.startswith(MANUAL)), Decimal(0))


def approval_reasons(revision: QuoteRevision) -> tuple[str, ...]:
    """Why a revision needs a manager's word, in words; empty where it needs none."""
    book = revision.price_book
    alternates = list(revision.alternates.defer(*BIG))
    found = []
    for name, margin in (("Margin", revision.margin), *((f"{a}: margin", a.margin) for a in alternates)):
        if margin is None or margin < book.margin_floor:
            shown = "none" if margin is None else f"{margin * 100:.1f} %"
            found.append(f"{name} {shown} is under the floor of {book.margin_floor * 100:.1f} %.")
    if revision.discount_share > book.discount_limit:
        found.append(
            f"Discount {revision.discount_share * 100:.2f} % is over the seller's limit"
            f" of {book.discount_limit * 100:.2f} %."
        )
    lines = line_discounts(revision)
    found += [
        f"Discount {share * 100:.2f} % on {code} is over the seller's limit"
        f" of {book.line_discount_limit * 100:.2f} % for a line."
        for code, share in lines.items()
        if share > book.line_discount_limit
    ]
    if lines and revision.discount_share <= book.discount_limit:
        found += _together(revision, book.discount_limit)
        for alternate in alternates:
            found += [f"{alternate}: {words}" for words in _together(alternate, book.discount_limit)]
    return tuple(found)


def _together(offer: QuoteRevision | Alternate, limit: Decimal) -> list[str]:
    """Small discounts on many lines are one discount: together they stay within the limit of the total."""
    amounts = list(offer.lines.values_list("code", "extension", "item_class"))
    less = [amount for code, amount, _ in amounts if code.startswith(MANUAL)]
    plain = [a for code, a, kind in amounts if not code.startswith((*MANUAL, SURCHARGE)) and kind != FREIGHT]
    given, base = -sum(less, Decimal(0)), sum(plain, Decimal(0))
    if given <= limit * base + HALF_CENT * len(less):  # each line is rounded, half a cent at most
        return []
    share = given / base * 100
    words = f"The discounts of lines and total come to {share:.2f} % together"
    return [f"{words}, over the seller's limit of {limit * 100:.2f} %."]


def approval_holds(revision: QuoteRevision) -> bool:
    """Whether a manager granted exactly this total and exactly these alternates."""
    seen = alternates_seen(revision)
    return revision.approvals.filter(granted=True, total_seen=revision.total, alternates_seen=seen).exists()


def approval_open(revision: QuoteRevision) -> Approval | None:
    return revision.approvals.filter(decided_at=None).select_related("asked_by").first()


def approval_list(revision: QuoteRevision) -> QuerySet[Approval]:
    """All approvals of a revision with their questions and answers, newest first."""
    rows = revision.approvals.select_related("asked_by", "decided_by").prefetch_related(_words())
    return rows.order_by("-id")


def approvals_waiting() -> QuerySet[Approval]:
    """Approvals that wait for a manager's word, oldest first."""
    return _approvals().filter(decided_at=None, asked_back=False).order_by("id")


def approvals_asked_back(user: User | None = None) -> QuerySet[Approval]:
    """Approvals whose question waits for a seller, oldest first; of his own or his team's quotes where one is named."""
    rows = _approvals().filter(decided_at=None, asked_back=True)
    if user is not None:
        own = Q(revision__quote__owner=user)
        own |= Q(revision__quote__owner__team=user.team) if user.team else Q()
        rows = rows.filter(own)
    return rows.order_by("id")


def approvals_decided() -> QuerySet[Approval]:
    """Approvals granted and refused, the latest first."""
    return _approvals().filter(decided_at__isnull=False).order_by("-decided_at", "-id")


def _approvals() -> QuerySet[Approval]:
    rows = Approval.objects.select_related(
        "asked_by",
        "decided_by",
        "revision__quote__project__builder",
        "revision__quote__owner",
        "revision__price_book",
    )
    return rows.prefetch_related(_words(), "revision__line_discounts").defer(
        *(f"revision__{name}" for name in BIG)
    )


def _words() -> Prefetch[Any, Any, Any]:
    return Prefetch("words", ApprovalWord.objects.select_related("by"))


@dataclass(frozen=True, slots=True)
class Asked:
    """An approval asked for, with why it is needed as the draft stands now."""

    approval: Approval
    reasons: tuple[str, ...]
    alternates: str = ""
    offers: tuple[Alternate, ...] = ()

    @property
    def worst_margin(self) -> Decimal | None:
        """The least margin of the base offer and its alternates; None where one has no price."""
        margins = [self.approval.revision.margin, *(offer.margin for offer in self.offers)]
        return None if None in margins else min(margin for margin in margins if margin is not None)

    @property
    def moved(self) -> bool:
        """Whether the total or an alternate moved since it was asked for."""
        seen = (self.approval.total_seen, self.approval.alternates_seen)
        return seen != (self.approval.revision.total, self.alternates)


def asked_list(approvals: QuerySet[Approval]) -> list[Asked]:
    """Approvals with the reasons for them."""
    return [
        Asked(
            approval,
            approval_reasons(approval.revision),
            alternates_seen(approval.revision),
            tuple(approval.revision.alternates.defer(*BIG)),
        )
        for approval in approvals
    ]
