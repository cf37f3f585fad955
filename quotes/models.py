"""Quotes and their revisions. An issued revision never changes; the database sees to it."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import F, Q

from framing.common.models import AccessLink, Addressed, StageMove, TimeStamped, User
from framing.common.zones import NAME_MOST, zone_constraint
from framing.projects.models import PracticeSet, Project
from quotes.alternate_models import Alternate, AlternateLine
from quotes.line_models import LineFields
from quotes.lost_models import LostOffer, LostReason
from quotes.price_models import (
    MONEY,
    RATE,
    BookState,
    FreightRate,
    ItemClass,
    PriceBook,
    PriceItem,
    TaxRate,
    TierDiscount,
)
from quotes.reminder_models import Reminder
from quotes.states import QuoteStage
from quotes.thread_models import Side, ThreadMessage, Way

__all__ = [
    "MONEY",
    "RATE",
    "Acceptance",
    "Alternate",
    "AlternateLine",
    "Approval",
    "ApprovalWord",
    "BookState",
    "FreightRate",
    "ItemClass",
    "LineDiscount",
    "LostOffer",
    "LostReason",
    "PriceBook",
    "PriceItem",
    "Quote",
    "QuoteLine",
    "QuoteMove",
    "QuoteRevision",
    "Reminder",
    "Side",
    "TaxRate",
    "ThreadMessage",
    "TierDiscount",
    "Way",
]


class Quote(Addressed, TimeStamped):
    """A priced offer for a project; its revisions hold the content."""

    number = models.CharField(max_length=20, unique=True)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="quotes")
    owner = models.ForeignKey(User, on_delete=models.PROTECT, related_name="quotes")
    stage = models.CharField(max_length=12, choices=QuoteStage.choices, default=QuoteStage.BID)
    reminders = models.BooleanField(default=True, help_text="Reminders go out by themselves.")

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(stage__in=QuoteStage.values), name="quote_stage_listed"),
        ]

    def __str__(self) -> str:
        return self.number


class QuoteMove(StageMove):
    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="moves")

    class Meta(StageMove.Meta):
        triggers: ClassVar = [
            pgtrigger.Protect(name="quote_move_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.quote} to {self.to_stage}"


class QuoteRevision(Addressed, TimeStamped):
    """What was offered: floor documents in, engine result, prices; frozen once `issued_at` is set.

    `floors` is a list of {floor, name, version, document}; `result` is the package result as versioned JSON
    (`quotes.snapshots`). `valid_day` is the last day of the offer in `valid_zone`, the site's zone as it was when the
    offer was issued; `valid_until` is the end of that day, the first instant at which the offer holds no more (R41).
    """

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField()
    price_book = models.ForeignKey(PriceBook, on_delete=models.PROTECT, related_name="+")
    practice_set = models.ForeignKey(PracticeSet, on_delete=models.PROTECT, related_name="+")
    engine_version = models.CharField(max_length=20)
    catalogue_version = models.CharField(max_length=40)
    currency = models.CharField(max_length=3)
    floors = models.JSONField()
    result = models.JSONField()
    discount_share = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    terms = models.TextField(blank=True)
    lead_time_days = models.PositiveSmallIntegerField(default=21)
    goods = models.DecimalField(**MONEY)
    freight = models.DecimalField(**MONEY)
    tax = models.DecimalField(**MONEY)
    total = models.DecimalField(**MONEY)
    cost = models.DecimalField(**MONEY)
    fits = models.BooleanField(help_text="Every member passes its checks.")
    release_reason = models.CharField(max_length=400, blank=True)
    issued_at = models.DateTimeField(null=True)
    issued_by = models.CharField(max_length=160, blank=True)
    valid_until = models.DateTimeField(null=True)
    valid_zone = models.CharField(max_length=NAME_MOST, blank=True)
    valid_day = models.DateField(null=True)
    after_booking = models.BooleanField(
        default=False, help_text="A change of what was booked (R45); the quote stays booked."
    )
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["quote", "number"], name="revision_number_once"),
            models.UniqueConstraint(
                fields=["quote"], condition=Q(issued_at=None, withdrawn_at=None), name="revision_one_draft"
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at=None) | Q(after_booking=True), name="only_a_change_is_withdrawn"
            ),
            models.CheckConstraint(
                condition=Q(total=F("goods") + F("freight") + F("tax")), name="revision_adds_up"
            ),
            models.CheckConstraint(
                condition=Q(discount_share__gte=0, discount_share__lt=1), name="discount_is_share"
            ),
            models.CheckConstraint(
                condition=Q(issued_at=None)
                | (Q(valid_until__gt=F("issued_at"), valid_day__isnull=False) & ~Q(valid_zone="")),
                name="issued_has_validity",
            ),
            zone_constraint("valid_zone", "valid_zone_known", optional=True),
            models.CheckConstraint(
                condition=Q(issued_at=None) | Q(fits=True) | ~Q(release_reason=""),
                name="issued_fits_or_released",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Trigger(
                name="issued_fixed",  # but that a change may be withdrawn
                when=pgtrigger.Before,
                operation=pgtrigger.Update,
                condition=pgtrigger.Q(old__issued_at__isnull=False),
                func=(
                    "IF NOT OLD.after_booking OR NEW.withdrawn_at IS NOT DISTINCT FROM OLD.withdrawn_at"
                    " OR to_jsonb(NEW) - 'withdrawn_at' IS DISTINCT FROM to_jsonb(OLD) - 'withdrawn_at'"
                    " THEN RAISE EXCEPTION 'Cannot update or delete an issued revision'; END IF; RETURN NEW;"
                ),
            ),
            pgtrigger.Protect(
                name="issued_kept",
                operation=pgtrigger.Delete,
                condition=pgtrigger.Q(old__issued_at__isnull=False),
            ),
            pgtrigger.Protect(
                name="withdrawn_fixed",
                operation=pgtrigger.Update | pgtrigger.Delete,
                condition=pgtrigger.Q(old__withdrawn_at__isnull=False),
            ),
            pgtrigger.Trigger(
                name="issued_alternates_fit",
                when=pgtrigger.Before,
                operation=pgtrigger.Update,
                condition=pgtrigger.Q(new__issued_at__isnull=False, new__release_reason=""),
                func=(
                    "IF EXISTS (SELECT 1 FROM quotes_alternate WHERE revision_id = NEW.id AND NOT fits)"
                    " THEN RAISE EXCEPTION 'an alternate fails its checks and is not released'; END IF;"
                    " RETURN NEW;"
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quote.number}-R{self.number}"

    @property
    def margin(self) -> Decimal | None:
        """(price - cost) / price before tax; staff only (R39)."""
        price = self.goods + self.freight
        return (price - self.cost) / price if price else None


def _issued_trigger(name: str, what: str) -> pgtrigger.Trigger:
    """What belongs to a revision never changes once it is issued, nor moves into one or out of one."""
    return pgtrigger.Trigger(
        name=name,
        when=pgtrigger.Before,
        operation=pgtrigger.Update | pgtrigger.Delete | pgtrigger.Insert,
        declare=[("issued", "timestamptz")],
        func=(
            "SELECT max(issued_at) INTO issued FROM quotes_quoterevision"  # noqa: S608  # `what` is a word of ours
            " WHERE id IN (OLD.revision_id, NEW.revision_id);"
            " IF issued IS NOT NULL"
            f" THEN RAISE EXCEPTION '{what} of an issued revision are fixed'; END IF;"
            " RETURN COALESCE(NEW, OLD);"
        ),
    )


class LineDiscount(models.Model):
    """A manual discount on one line of a draft, by the line's code; over the limit it needs approval (R39)."""

    revision = models.ForeignKey(QuoteRevision, on_delete=models.CASCADE, related_name="line_discounts")
    code = models.CharField(max_length=60)
    share = models.DecimalField(max_digits=5, decimal_places=4)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["revision", "code"], name="line_discount_once"),
            models.CheckConstraint(condition=Q(share__gt=0, share__lt=1), name="line_discount_is_share"),
        ]
        triggers: ClassVar = [_issued_trigger("issued_line_discount_fixed", "discounts")]

    def __str__(self) -> str:
        return f"{self.code} {self.share}"


class QuoteLine(LineFields):
    """One priced line of a revision."""

    revision = models.ForeignKey(QuoteRevision, on_delete=models.CASCADE, related_name="lines")

    class Meta:
        ordering: ClassVar = ["position"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["revision", "position"], name="quote_line_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="quote_line_counts"),
        ]
        triggers: ClassVar = [_issued_trigger("issued_line_fixed", "lines")]


class Approval(TimeStamped):
    """A manager's word on a revision whose margin or discount is outside the limits (R39).

    The figures are those of the draft when it was asked for: `given` is the manual discount before tax, the margins
    are without it and with it. `asked_back` is true while a manager's question waits for the seller.
    `alternates_seen` names the totals of the alternates that the word holds for (`approval_reads.alternates_seen`).
    """

    revision = models.ForeignKey(QuoteRevision, on_delete=models.CASCADE, related_name="approvals")
    reason = models.CharField(max_length=400)
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    decided_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField(null=True)
    granted = models.BooleanField(null=True)
    answer = models.CharField(max_length=400, blank=True)
    total_seen = models.DecimalField(**MONEY)
    given = models.DecimalField(**MONEY, default=Decimal(0))
    margin_before = models.DecimalField(max_digits=9, decimal_places=4, null=True)
    margin_after = models.DecimalField(max_digits=9, decimal_places=4, null=True)
    asked_back = models.BooleanField(default=False)
    alternates_seen = models.CharField(max_length=120, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["revision"], condition=Q(decided_at=None), name="approval_one_open"
            ),
            models.CheckConstraint(
                condition=Q(decided_at=None, granted=None, decided_by=None)
                | Q(
                    decided_at__isnull=False,
                    granted__isnull=False,
                    decided_by__isnull=False,
                    asked_back=False,
                ),
                name="approval_whole",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="approval_has_reason"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(
                name="approval_decided_fixed",
                operation=pgtrigger.Update | pgtrigger.Delete,
                condition=pgtrigger.Q(old__decided_at__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"approval of {self.revision}"


class ApprovalWord(models.Model):
    """A manager's question on an approval, or the seller's answer; never altered."""

    approval = models.ForeignKey(Approval, on_delete=models.CASCADE, related_name="words")
    is_question = models.BooleanField()
    text = models.CharField(max_length=400)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [models.CheckConstraint(condition=~Q(text=""), name="approval_word_said")]
        triggers: ClassVar = [
            pgtrigger.Protect(name="approval_word_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return self.text


class Acceptance(models.Model):
    """The builder's yes; once for a quote, whichever way and however often it comes (R41).

    `alternate` is his pick (R42); None is the base offer. A change after booking has a yes of its own (R45), with
    `after_booking` as its revision says; the newest yes is what is agreed.
    """

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="acceptances")
    after_booking = models.BooleanField(default=False)
    revision = models.OneToOneField(QuoteRevision, on_delete=models.PROTECT, related_name="acceptance")
    alternate = models.ForeignKey(Alternate, null=True, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    title = models.CharField(max_length=120, blank=True)
    at = models.DateTimeField()
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=400, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["quote"], condition=Q(after_booking=False), name="acceptance_books_once"
            ),
            models.CheckConstraint(
                condition=Q(link__isnull=False) | (Q(recorded_by__isnull=False) & ~Q(why="")),
                name="acceptance_by_link_or_reason",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="acceptance_fixed", operation=pgtrigger.Update | pgtrigger.Delete),
            pgtrigger.Trigger(
                name="acceptance_picks_its_own",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert,
                condition=pgtrigger.Q(new__alternate__isnull=False),
                func=(
                    "IF NOT EXISTS (SELECT 1 FROM quotes_alternate"
                    " WHERE id = NEW.alternate_id AND revision_id = NEW.revision_id)"
                    " THEN RAISE EXCEPTION 'the alternate belongs to another revision'; END IF;"
                    " RETURN NEW;"
                ),
            ),
            pgtrigger.Trigger(
                name="acceptance_of_what_is_offered",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert,
                func=(
                    "IF NOT EXISTS (SELECT 1 FROM quotes_quoterevision WHERE id = NEW.revision_id AND quote_id ="
                    " NEW.quote_id AND after_booking = NEW.after_booking AND withdrawn_at IS NULL)"
                    " THEN RAISE EXCEPTION 'the revision is withdrawn, of another quote or of another kind';"
                    " END IF; RETURN NEW;"
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} accepted {self.revision}"
