"""What is known of the quotes on one page of the pipeline, in a fixed number of queries."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final

from django.db.models import Count, Max, Q, QuerySet, Sum

from framing.common.models import AccessLink, MailMessage, MailState
from quotes.alternate_reads import alternates_words
from quotes.approval_reads import HALF_CENT, MANUAL, approval_seen, offered_now
from quotes.figures_periods import day_of
from quotes.lost_models import LostOffer, LostReason
from quotes.models import (
    Alternate,
    AlternateLine,
    Approval,
    LineDiscount,
    Quote,
    QuoteLine,
    QuoteRevision,
    Side,
    ThreadMessage,
)
from quotes.pipeline_steps import Facts, Step, Word, next_step
from quotes.pricing import FREIGHT, SURCHARGE
from quotes.pricing_table import margin_of
from quotes.states import QuoteStage

LOST_MOST: Final = 80


@dataclass(frozen=True, slots=True)
class PipelineRow:
    """One quote of the pipeline: its newest revision, value before tax, days in the stage, what comes next."""

    revision: Any
    value: Decimal
    age_days: int
    last_day: date | None
    step: Step

    @property
    def quote(self) -> Quote:
        quote: Quote = self.revision.quote
        return quote


def pipeline_rows(revisions: Iterable[QuoteRevision], at: datetime) -> list[PipelineRow]:
    """The rows of one page of `pipeline_list`, in its order."""
    found = list(revisions)
    known = _Known(found)
    return [_row(revision, known, day_of(at)) for revision in found]


def _row(revision: Any, known: _Known, today: date) -> PipelineRow:
    quote, last_day = revision.quote, revision.valid_day
    entered = day_of(revision.entered_at)
    accepted = getattr(revision, "acceptance", None)
    linked, opened = known.links.get(revision.pk, (None, None))
    facts = Facts(
        stage=quote.stage,
        today=today,
        entered_on=entered,
        revision=revision.number,
        word=known.words.get(revision.pk, Word.NONE_NEEDED),
        fits=revision.pk not in known.unfit,
        unread=known.unread[quote.pk],
        not_arrived=known.not_arrived[quote.pk],
        last_day=last_day,
        linked_on=linked and day_of(linked),
        opened_on=opened and day_of(opened),
        by=accepted.name if accepted else "",
        lost=known.lost.get(revision.pk, ""),
    )
    shown = last_day if quote.stage == QuoteStage.ISSUED else None
    return PipelineRow(revision, revision.value, (today - entered).days, shown, next_step(facts))


class _Known:
    """What several quotes need to know, each asked once for all of them."""

    def __init__(self, revisions: Sequence[QuoteRevision]) -> None:
        pks = [revision.pk for revision in revisions]
        quotes = [revision.quote_id for revision in revisions]
        drafts = [revision for revision in revisions if revision.issued_at is None]
        alternates = _alternates(drafts)
        self.links = _links(pks)
        self.unread = _unread(quotes)
        self.not_arrived = _not_arrived(quotes)
        self.words = _words(drafts, alternates)
        self.unfit = {d.pk for d in drafts if not (d.fits and all(a.fits for a in alternates[d.pk]))}
        rows = LostOffer.objects.filter(revision__in=pks)
        self.lost = {row.revision_id: _lost(row) for row in rows}


def _lost(row: LostOffer) -> str:
    """Why an offer was lost: the reason, or where it is another one, what was said."""
    said = row.words if row.reason == LostReason.OTHER else row.get_reason_display()
    return said if len(said) <= LOST_MOST else f"{said[: LOST_MOST - 1].rstrip()}…"


def _links(pks: Sequence[int]) -> dict[int, tuple[datetime | None, datetime | None]]:
    """When the newest link of each revision was made and any of them was opened last."""
    rows = AccessLink.objects.filter(subject_type=QuoteRevision._meta.label_lower, subject_id__in=pks)
    times = rows.values("subject_id").annotate(made=Max("created_at"), opened=Max("opened_at"))
    return {row["subject_id"]: (row["made"], row["opened"]) for row in times.order_by()}


def _unread(quotes: Sequence[int]) -> Counter[int]:
    """Builders' messages that nobody marked as read; what a machine wrote is no question."""
    rows = ThreadMessage.objects.filter(quote__in=quotes, side=Side.BUILDER, seen_at=None, automatic=False)
    counts = rows.order_by().values_list("quote").annotate(number=Count("pk"))
    return Counter(dict(counts))


def _not_arrived(quotes: Sequence[int]) -> Counter[int]:
    """Mails that came back or were not sent and that no later one to the same address made good."""
    rows = MailMessage.objects.filter(subject_type=Quote._meta.label_lower, subject_id__in=quotes)
    newest: dict[tuple[int, str], str] = {}
    for quote, address, state in rows.order_by("id").values_list("subject_id", "to_address", "state"):
        newest[quote, address.lower()] = state
    lost = (MailState.BOUNCED, MailState.FAILED)
    return Counter(quote for (quote, _), state in newest.items() if state in lost)


# --- a manager's word on drafts (R39) ---


def _alternates(drafts: Sequence[QuoteRevision]) -> dict[int, list[Alternate]]:
    found: dict[int, list[Alternate]] = defaultdict(list)
    rows = Alternate.objects.filter(revision__in=drafts).defer("floors", "result", "choices", "figures")
    for row in rows.order_by("letter"):
        found[row.revision_id].append(row)
    return found


def _words(drafts: Sequence[QuoteRevision], alternates: dict[int, list[Alternate]]) -> dict[int, Word]:
    asked: dict[int, list[Approval]] = defaultdict(list)
    for approval in Approval.objects.filter(revision__in=drafts).order_by("id"):
        asked[approval.revision_id].append(approval)
    outside = _outside(drafts, alternates)
    return {d.pk: _word(d, alternates[d.pk], asked[d.pk], needed=d.pk in outside) for d in drafts}


def _word(
    draft: QuoteRevision, alternates: Sequence[Alternate], asked: Sequence[Approval], *, needed: bool
) -> Word:
    if asked and asked[-1].decided_at is None:
        return Word.ASKED_BACK if asked[-1].asked_back else Word.WAITS
    if not needed:
        return Word.NONE_NEEDED
    now = offered_now(draft, alternates_words(alternates))
    same = [a for a in asked if approval_seen(a) == now]
    if any(approval.granted for approval in same):
        return Word.GRANTED
    return Word.REFUSED if same else Word.NEEDED


def _outside(drafts: Sequence[QuoteRevision], alternates: dict[int, list[Alternate]]) -> set[int]:
    """Drafts that need a manager's word, as `approval_reads.approval_reasons` says for one of them."""
    shares: dict[int, list[Decimal]] = defaultdict(list)
    for row in LineDiscount.objects.filter(revision__in=drafts):
        shares[row.revision_id].append(row.share)
    given = {draft.pk for draft in drafts if shares[draft.pk]}
    of_base = _lines(QuoteLine.objects.filter(revision__in=given), "revision")
    of_alternates = _lines(AlternateLine.objects.filter(alternate__revision__in=given), "alternate")
    found = set()
    for draft in drafts:
        book = draft.price_book
        offers: list[QuoteRevision | Alternate] = [draft, *alternates[draft.pk]]
        margins = [margin_of(offer.goods + offer.freight, offer.cost) for offer in offers]
        sums = [of_base.get(draft.pk), *(of_alternates.get(offer.pk) for offer in alternates[draft.pk])]
        if (
            any(margin is None or margin < book.margin_floor for margin in margins)
            or draft.discount_share > book.discount_limit
            or any(share > book.line_discount_limit for share in shares[draft.pk])
            or any(_over(each, book.discount_limit) for each in sums if each is not None)
        ):
            found.add(draft.pk)
    return found


def _lines(rows: QuerySet[Any], of: str) -> dict[int, tuple[Decimal, int, Decimal]]:
    """Given away by hand, in how many lines, off what: for each offer."""
    manual = Q(code__startswith=MANUAL[0]) | Q(code__startswith=MANUAL[1])
    plain = ~manual & ~Q(code__startswith=SURCHARGE) & ~Q(item_class=FREIGHT)
    sums = (
        rows.order_by()
        .values(of)
        .annotate(
            less=Sum("extension", filter=manual),
            number=Count("pk", filter=manual),
            base=Sum("extension", filter=plain),
        )
    )
    zero = Decimal(0)
    return {row[of]: (-(row["less"] or zero), row["number"], row["base"] or zero) for row in sums}


def _over(sums: tuple[Decimal, int, Decimal], limit: Decimal) -> bool:
    """Whether all discounts together pass the limit of the total; each line is rounded, half a cent at most."""
    given, number, base = sums
    return given > limit * base + HALF_CENT * number
