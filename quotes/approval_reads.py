"""Reads of discounts and approvals (R39): why a manager must say a word, and what waits for one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import Any

from django.db.models import Prefetch, Q, QuerySet

from framing.common.models import User
from quotes.alternate_reads import ALTERNATE_BIG, alternates_seen, alternates_words
from quotes.line_models import LineFields
from quotes.models import Alternate, AlternateLine, Approval, ApprovalWord, QuoteLine, QuoteRevision
from quotes.pricing import FREIGHT, LINE_DISCOUNT, RATE, SURCHARGE, TOTAL_DISCOUNT, PricedLine

BIG = ("floors", "result")
MANUAL = (TOTAL_DISCOUNT, LINE_DISCOUNT)
MARGIN_LEAST = Decimal(-9999)  # below that a column of a share ends
HALF_CENT = Decimal("0.005")


def line_discounts(revision: QuoteRevision) -> dict[str, Decimal]:
    """Manual discounts of single lines, by code."""
    return {row.code: row.share for row in revision.line_discounts.all()}


def discountable_lines(revision: QuoteRevision) -> list[tuple[str, str, Decimal]]:
    """Code, description and present discount of each line that may be discounted by itself.

    Lines of the base offer first, then those that only alternates have, with their letters: a discount belongs to a
    code and holds for that code in every offer of the revision.
    """
    shares = line_discounts(revision)
    base = {line.code: line.description for line in revision.lines.all() if _is_discountable(line)}
    words: dict[str, str] = {}
    letters: dict[str, list[str]] = {}
    lines = AlternateLine.objects.filter(alternate__revision=revision).select_related("alternate")
    for line in lines.defer(*(f"alternate__{name}" for name in ALTERNATE_BIG)).order_by(
        "alternate__letter", "position"
    ):
        if line.code not in base and _is_discountable(line):
            words.setdefault(line.code, line.description)
            letters.setdefault(line.code, []).append(line.alternate.letter)
    only = {code: f"{said} (alternate {', '.join(letters[code])})" for code, said in words.items()}
    return [(code, said, shares.get(code, Decimal(0))) for code, said in (base | only).items()]


def _is_discountable(line: LineFields) -> bool:
    """A line of goods or work with a price; what is passed on at cost, carried or given is not."""
    return line.group not in ("discount", "freight") and line.code != SURCHARGE and bool(line.unit_price)


def discount_given(revision: QuoteRevision) -> Decimal:
    """Manual discounts of a revision, of lines and of the total, as a positive amount before tax."""
    lines = revision.lines.values_list("code", "extension")
    return -sum((amount for code, amount in lines if code.startswith(MANUAL)), Decimal(0))


def _alternates(revision: QuoteRevision) -> list[Alternate]:
    """Alternates by letter; those that were fetched with the revision, where they were."""
    if "alternates" in getattr(revision, "_prefetched_objects_cache", {}):
        return list(revision.alternates.all())
    return list(revision.alternates.defer(*ALTERNATE_BIG).order_by("letter"))


def approval_reasons(revision: QuoteRevision) -> tuple[str, ...]:
    """Why a revision needs a manager's word, in words; empty where it needs none."""
    book = revision.price_book
    alternates = _alternates(revision)
    found = []
    for name, margin in (("Margin", revision.margin), *((f"{a}: margin", a.margin) for a in alternates)):
        if margin is None or margin < book.margin_floor:
            shown = "none" if margin is None else f"{_down(margin)} %"
            found.append(f"{name} {shown} is under the floor of {book.margin_floor * 100:.2f} %.")
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
        found += given_together(revision.lines.all(), book.discount_limit)
        for alternate in alternates:
            words = given_together(alternate.lines.all(), book.discount_limit)
            found += [f"{alternate}: {said}" for said in words]
    return tuple(found)


def _over(percent: Decimal, limit: Decimal) -> str:
    """A figure over a limit with as many decimals as show that it is."""
    places = next((n for n in (2, 3, 4) if round(percent, n) > limit), 6)
    return f"{percent:.{places}f}"


def _down(share: Decimal) -> Decimal:
    """A share in per cent, rounded down: 17.999 % never reads as the floor of 18 % that it is under."""
    return (share * 100).quantize(Decimal("0.01"), ROUND_FLOOR)


def given_together(offered: Iterable[LineFields | PricedLine], limit: Decimal) -> list[str]:
    """Small discounts on many lines are one discount: together they stay within the limit of the total.

    Each of them is rounded to the cent, so half a cent for each is not counted against them.
    """
    lines = list(offered)
    less = [line.extension for line in lines if line.code.startswith(MANUAL)]
    plain = [
        line.extension
        for line in lines
        if not line.code.startswith((*MANUAL, SURCHARGE)) and line.item_class != FREIGHT
    ]
    given, base = -sum(less, Decimal(0)), sum(plain, Decimal(0))
    if given <= limit * base + HALF_CENT * len(less):
        return []
    share = given / base * 100
    words = f"The discounts of lines and total come to {_over(share, limit * 100)} % together"
    return [f"{words}, over the seller's limit of {limit * 100:.2f} %."]


def approval_holds(revision: QuoteRevision) -> bool:
    """Whether a manager granted exactly this: total and margin of the base offer, and of every alternate."""
    now = offered_now(revision, alternates_seen(revision))
    return any(approval_seen(entry) == now for entry in revision.approvals.filter(granted=True))


Seen = tuple[Decimal, Decimal | None, str]
"""Total and margin of the base offer, and the alternates in words: what a manager's word is about.

Margins count beside totals: a price book with other costs may leave every price as it was.
"""


def approval_seen(approval: Approval) -> Seen:
    """What an approval was asked for with, or once decided holds for."""
    return approval.total_seen, approval.margin_after, approval.alternates_seen


def offered_now(revision: QuoteRevision, alternates: str) -> Seen:
    """The same of the revision as it is; `alternates` as `alternates_seen` says them."""
    return revision.total, margin_kept(revision.margin), alternates


def decide_seen(revision: QuoteRevision, alternates: str) -> dict[str, Any]:
    """What a manager's page shows him, as its form sends it back with his word."""
    names = ("total_seen", "margin_seen", "alternates_seen")
    return dict(zip(names, offered_now(revision, alternates), strict=True))


def margin_kept(margin: Decimal | None) -> Decimal | None:
    """A margin as an approval keeps it: four decimals, and no further down than its column reaches."""
    return None if margin is None else max(margin, MARGIN_LEAST).quantize(RATE, ROUND_HALF_UP)


def approval_open(revision: QuoteRevision) -> Approval | None:
    return revision.approvals.filter(decided_at=None).select_related("asked_by").first()


def approval_list(revision: QuoteRevision) -> QuerySet[Approval]:
    """All approvals of a revision with their questions and answers, newest first."""
    rows = revision.approvals.select_related("asked_by", "decided_by").prefetch_related(_words())
    return rows.order_by("-id")


def approvals_waiting() -> QuerySet[Approval]:
    """Approvals that wait for a manager's word, oldest first; of drafts only, for an offer once issued is issued."""
    return _open().filter(asked_back=False).order_by("id")


def approvals_asked_back(user: User | None = None) -> QuerySet[Approval]:
    """Approvals whose question waits for a seller, oldest first; of his own or his team's quotes where one is named."""
    rows = _open().filter(asked_back=True)
    if user is not None:
        own = Q(revision__quote__owner=user)
        own |= Q(revision__quote__owner__team=user.team) if user.team else Q()
        rows = rows.filter(own)
    return rows.order_by("id")


def approvals_decided() -> QuerySet[Approval]:
    """Approvals granted and refused, the latest first."""
    return _approvals().filter(decided_at__isnull=False).order_by("-decided_at", "-id")


def _open() -> QuerySet[Approval]:
    return _approvals().filter(decided_at=None, revision__issued_at=None)


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
        """Whether the total, a margin or an alternate moved since it was asked for."""
        return approval_seen(self.approval) != offered_now(self.approval.revision, self.alternates)

    @property
    def margin_moved(self) -> bool:
        return self.approval.margin_after != margin_kept(self.margin)

    @property
    def margin(self) -> Decimal | None:
        """The base offer's margin as it is now; `approval` keeps the one that it was asked for with."""
        return self.approval.revision.margin


def with_offers(approvals: QuerySet[Approval]) -> QuerySet[Approval]:
    """The same with all that `approval_reasons` reads, in as many queries for two hundred as for ten."""
    figures = ("code", "extension", "item_class", "position")
    lines = Prefetch("revision__lines", QuoteLine.objects.only("revision_id", *figures))
    offers = Alternate.objects.defer(*ALTERNATE_BIG, "figures").order_by("letter")
    others = AlternateLine.objects.only("alternate_id", *figures)
    return approvals.prefetch_related(
        lines, Prefetch("revision__alternates", offers), Prefetch("revision__alternates__lines", others)
    )


def asked_list(approvals: QuerySet[Approval]) -> list[Asked]:
    """Approvals with the reasons for them."""
    return [
        Asked(
            approval,
            approval_reasons(approval.revision),
            alternates_words(approval.revision.alternates.all()),
            tuple(approval.revision.alternates.all()),
        )
        for approval in with_offers(approvals)
    ]
