"""Price books, quotes and their revisions. An issued revision never changes; the database sees to it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

import pgtrigger
from django.db import models
from django.db.models import F, Q

from framing.common.models import AccessLink, Addressed, StageMove, TimeStamped, User
from framing.projects.models import PracticeSet, Project
from quotes.states import QuoteStage

MONEY: dict[str, Any] = {"max_digits": 12, "decimal_places": 2}
RATE: dict[str, Any] = {"max_digits": 12, "decimal_places": 4}


class ItemClass(models.TextChoices):
    """Tax and discount class of a price line."""

    MATERIAL = "material", "Material"
    LABOUR = "labour", "Shop work"
    FREIGHT = "freight", "Freight"


class PriceBook(TimeStamped):
    """One dated, versioned set of prices in one currency (R38). Shares are fractions: 0.18 is 18 %."""

    name = models.CharField(max_length=80)
    version = models.PositiveIntegerField()
    currency = models.CharField(max_length=3)
    valid_from = models.DateField()
    in_force = models.BooleanField(default=False)
    surcharge_per_lb = models.DecimalField(**RATE, default=Decimal(0))
    margin_floor = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal("0.18"))
    discount_limit = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal("0.05"))
    valid_days = models.PositiveSmallIntegerField(default=30)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["name", "version"], name="price_book_version_once"),
            models.UniqueConstraint(
                fields=["in_force"], condition=Q(in_force=True), name="price_book_one_in_force"
            ),
            models.CheckConstraint(condition=Q(surcharge_per_lb__gte=0), name="surcharge_not_negative"),
            models.CheckConstraint(
                condition=Q(margin_floor__gte=0, margin_floor__lt=1), name="margin_floor_is_share"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.version}"


class PriceItem(models.Model):
    """Price and cost of one thing, by the code of the bill of materials (or `cutting`, `punching`)."""

    book = models.ForeignKey(PriceBook, on_delete=models.CASCADE, related_name="items")
    code = models.CharField(max_length=60)
    description = models.CharField(max_length=160)
    sold_by = models.CharField(max_length=12)
    item_class = models.CharField(max_length=12, choices=ItemClass.choices, default=ItemClass.MATERIAL)
    price = models.DecimalField(**RATE)
    cost = models.DecimalField(**RATE)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["book", "code"], name="price_item_once"),
            models.CheckConstraint(condition=Q(price__gt=0, cost__gte=0), name="price_positive"),
        ]

    def __str__(self) -> str:
        return self.code


class TierDiscount(models.Model):
    book = models.ForeignKey(PriceBook, on_delete=models.CASCADE, related_name="tiers")
    tier = models.CharField(max_length=20)
    share = models.DecimalField(max_digits=5, decimal_places=4)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["book", "tier"], name="tier_once"),
            models.CheckConstraint(condition=Q(share__gte=0, share__lt=1), name="tier_is_share"),
        ]

    def __str__(self) -> str:
        return self.tier


class FreightRate(models.Model):
    """What one truck to a zone costs and is charged."""

    book = models.ForeignKey(PriceBook, on_delete=models.CASCADE, related_name="freight")
    zone = models.CharField(max_length=20)
    price_per_truck = models.DecimalField(**MONEY)
    cost_per_truck = models.DecimalField(**MONEY)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["book", "zone"], name="freight_zone_once"),
            models.CheckConstraint(
                condition=Q(price_per_truck__gte=0, cost_per_truck__gte=0), name="freight_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.zone


class TaxRate(models.Model):
    """Tax of a ship-to place on an item class; a missing pair stops a quote, it is never zero by silence."""

    book = models.ForeignKey(PriceBook, on_delete=models.CASCADE, related_name="taxes")
    place = models.CharField(max_length=40)
    item_class = models.CharField(max_length=12, choices=ItemClass.choices)
    share = models.DecimalField(max_digits=6, decimal_places=5)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["book", "place", "item_class"], name="tax_once"),
            models.CheckConstraint(condition=Q(share__gte=0, share__lt=1), name="tax_is_share"),
        ]

    def __str__(self) -> str:
        return f"{self.place} {self.item_class}"


class Quote(Addressed, TimeStamped):
    """A priced offer for a project; its revisions hold the content."""

    number = models.CharField(max_length=20, unique=True)
    project = models.ForeignKey(Project, on_delete=models.PROTECT, related_name="quotes")
    owner = models.ForeignKey(User, on_delete=models.PROTECT, related_name="quotes")
    stage = models.CharField(max_length=12, choices=QuoteStage.choices, default=QuoteStage.BID)

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
    (`quotes.snapshots`).
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

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["quote", "number"], name="revision_number_once"),
            models.UniqueConstraint(fields=["quote"], condition=Q(issued_at=None), name="revision_one_draft"),
            models.CheckConstraint(
                condition=Q(total=F("goods") + F("freight") + F("tax")), name="revision_adds_up"
            ),
            models.CheckConstraint(
                condition=Q(discount_share__gte=0, discount_share__lt=1), name="discount_is_share"
            ),
            models.CheckConstraint(
                condition=Q(issued_at=None) | Q(valid_until__isnull=False), name="issued_has_validity"
            ),
            models.CheckConstraint(
                condition=Q(issued_at=None) | Q(fits=True) | ~Q(release_reason=""),
                name="issued_fits_or_released",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(
                name="issued_fixed",
                operation=pgtrigger.Update | pgtrigger.Delete,
                condition=pgtrigger.Q(old__issued_at__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.quote.number}-R{self.number}"

    @property
    def margin(self) -> Decimal | None:
        """(price - cost) / price before tax; staff only (R39)."""
        price = self.goods + self.freight
        return (price - self.cost) / price if price else None


class QuoteLine(models.Model):
    """One priced line. `extension` is rounded half up to the cent; `explain` derives the quantity."""

    revision = models.ForeignKey(QuoteRevision, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    group = models.CharField(max_length=20)
    code = models.CharField(max_length=60)
    description = models.CharField(max_length=200)
    item_class = models.CharField(max_length=12, choices=ItemClass.choices)
    quantity = models.DecimalField(**RATE)
    sold_by = models.CharField(max_length=12)
    unit_price = models.DecimalField(**RATE)
    unit_cost = models.DecimalField(**RATE)
    extension = models.DecimalField(**MONEY)
    tax = models.DecimalField(**MONEY)
    explain = models.JSONField(default=list)

    class Meta:
        ordering: ClassVar = ["position"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["revision", "position"], name="quote_line_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="quote_line_counts"),
        ]
        triggers: ClassVar = [
            pgtrigger.Trigger(
                name="issued_line_fixed",
                when=pgtrigger.Before,
                operation=pgtrigger.Update | pgtrigger.Delete | pgtrigger.Insert,
                declare=[("issued", "timestamptz")],
                func=(
                    "SELECT issued_at INTO issued FROM quotes_quoterevision"
                    " WHERE id = COALESCE(NEW.revision_id, OLD.revision_id);"
                    " IF issued IS NOT NULL"
                    " THEN RAISE EXCEPTION 'lines of an issued revision are fixed'; END IF;"
                    " RETURN COALESCE(NEW, OLD);"
                ),
            )
        ]

    def __str__(self) -> str:
        return self.description


class Approval(TimeStamped):
    """A manager's word on a revision whose margin or discount is outside the limits (R39)."""

    revision = models.ForeignKey(QuoteRevision, on_delete=models.CASCADE, related_name="approvals")
    reason = models.CharField(max_length=400)
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    decided_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField(null=True)
    granted = models.BooleanField(null=True)
    answer = models.CharField(max_length=400, blank=True)
    total_seen = models.DecimalField(**MONEY)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["revision"], condition=Q(decided_at=None), name="approval_one_open"
            ),
            models.CheckConstraint(
                condition=Q(decided_at=None, granted=None, decided_by=None)
                | Q(decided_at__isnull=False, granted__isnull=False, decided_by__isnull=False),
                name="approval_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"approval of {self.revision}"


class Acceptance(models.Model):
    """The builder's yes; once for a quote, whichever way and however often it comes (R41)."""

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="acceptance")
    revision = models.OneToOneField(QuoteRevision, on_delete=models.PROTECT, related_name="acceptance")
    name = models.CharField(max_length=120)
    title = models.CharField(max_length=120, blank=True)
    at = models.DateTimeField()
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=400, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(link__isnull=False) | (Q(recorded_by__isnull=False) & ~Q(why="")),
                name="acceptance_by_link_or_reason",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="acceptance_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.name} accepted {self.revision}"
