"""Price books and their rows (R38); what is in force never changes, the database sees to it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any, ClassVar

import pgtrigger
from django.contrib.postgres.constraints import ExclusionConstraint
from django.db import models
from django.db.models import F, Func, Q, Value

from framing.common.models import Addressed, TimeStamped
from framing.common.zones import company_zone

MONEY: dict[str, Any] = {"max_digits": 12, "decimal_places": 2}
RATE: dict[str, Any] = {"max_digits": 12, "decimal_places": 4}
_TODAY = "(now() AT TIME ZONE %(expressions)s)::date"
NO_CHARGE_HELP = "Why it is given at no charge; empty where it has a price."


class ItemClass(models.TextChoices):
    """Tax and discount class of a price line."""

    MATERIAL = "material", "Material"
    LABOUR = "labour", "Shop work"
    FREIGHT = "freight", "Freight"


class BookState(models.TextChoices):
    """Where a price book stands. What is in force holds from its first day on, until the next one's."""

    DRAFT = "draft", "Draft"
    REVIEW = "review", "In review"
    IN_FORCE = "in_force", "In force"


class PriceBookQuerySet(models.QuerySet["PriceBook"]):
    def in_force(self, on: date | None = None) -> PriceBookQuerySet:
        """The book that holds on a day, by default on the company's today by the database's clock."""
        day: Any = on or Func(Value(company_zone()), template=_TODAY, output_field=models.DateField())
        open_end = Q(valid_until=None) | Q(valid_until__gt=day)
        return self.filter(open_end, state=BookState.IN_FORCE, valid_from__lte=day)


class PriceBook(Addressed, TimeStamped):
    """One dated, versioned set of prices in one currency (R38). Shares are fractions: 0.18 is 18 %.

    It holds from `valid_from` up to, not with, `valid_until`; None is open. A draft changes by compare-and-set
    (`edit`); what is in force never changes, but for the day on which the next one ends it.
    """

    name = models.CharField(max_length=80)
    version = models.PositiveIntegerField()
    currency = models.CharField(max_length=3)
    state = models.CharField(max_length=10, choices=BookState.choices, default=BookState.DRAFT)
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True)
    surcharge_per_lb = models.DecimalField(**RATE, default=Decimal(0))
    margin_floor = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal("0.18"))
    discount_limit = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal("0.05"))
    line_discount_limit = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal("0.10"))
    valid_days = models.PositiveSmallIntegerField(default=30)
    edit = models.PositiveIntegerField(default=1)
    made_by = models.CharField(max_length=160, blank=True)
    note = models.CharField(max_length=400, blank=True, help_text="What whoever sent it to review said.")
    sent_by = models.CharField(max_length=160, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    in_force_by = models.CharField(max_length=160, blank=True)
    in_force_at = models.DateTimeField(null=True, blank=True)

    objects = PriceBookQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["name", "version"], name="price_book_version_once"),
            models.CheckConstraint(condition=Q(state__in=BookState.values), name="price_book_state_listed"),
            models.CheckConstraint(
                condition=Q(valid_until=None) | Q(valid_until__gte=F("valid_from")),
                name="price_book_ends_after",
            ),
            models.CheckConstraint(
                condition=~Q(state=BookState.IN_FORCE) | Q(in_force_at__isnull=False),
                name="price_book_in_force_since",
            ),
            models.CheckConstraint(
                condition=~Q(state=BookState.REVIEW) | (Q(sent_at__isnull=False) & ~Q(note="")),
                name="price_book_review_has_note",
            ),
            ExclusionConstraint(
                name="price_book_no_overlap",
                expressions=[(Func("valid_from", "valid_until", function="DATERANGE"), "&&")],
                condition=Q(state=BookState.IN_FORCE),
            ),
            models.CheckConstraint(condition=Q(surcharge_per_lb__gte=0), name="surcharge_not_negative"),
            models.CheckConstraint(
                condition=Q(margin_floor__gte=0, margin_floor__lt=1), name="margin_floor_is_share"
            ),
            models.CheckConstraint(
                condition=Q(
                    discount_limit__gte=0,
                    discount_limit__lt=1,
                    line_discount_limit__gte=0,
                    line_discount_limit__lt=1,
                ),
                name="discount_limits_are_shares",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Trigger(
                name="book_in_force_fixed",
                when=pgtrigger.Before,
                operation=pgtrigger.Update | pgtrigger.Delete,
                condition=pgtrigger.Q(old__state="in_force"),
                func=(
                    "IF TG_OP = 'DELETE' OR to_jsonb(NEW) - 'valid_until' <> to_jsonb(OLD) - 'valid_until'"
                    " THEN RAISE EXCEPTION 'a price book in force is fixed'; END IF;"
                    " RETURN NEW;"
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.version}"

    def holds_on(self, day: date) -> bool:
        """Whether it is the book in force on a day."""
        began = self.state == BookState.IN_FORCE and self.valid_from <= day
        return began and (self.valid_until is None or day < self.valid_until)


def _row_trigger() -> pgtrigger.Trigger:
    """Rows of a book change while it is a draft, and never after; none moves into or out of another."""
    return pgtrigger.Trigger(
        name="row_of_draft_only",
        when=pgtrigger.Before,
        operation=pgtrigger.Update | pgtrigger.Delete | pgtrigger.Insert,
        func=(
            "IF EXISTS (SELECT 1 FROM quotes_pricebook"
            " WHERE id IN (OLD.book_id, NEW.book_id) AND state <> 'draft')"
            " THEN RAISE EXCEPTION 'rows of a price book change in a draft only'; END IF;"
            " RETURN COALESCE(NEW, OLD);"
        ),
    )


def _price_or_gift(price: str) -> Q:
    """A price over 0, or 0 with a reason: nothing is ever free by silence (R38)."""
    return Q(**{f"{price}__gt": 0, "no_charge": ""}) | (Q(**{price: 0}) & ~Q(no_charge=""))


class PriceItem(models.Model):
    """Price and cost of one thing, by the code of the bill of materials (or `cutting`, `punching`)."""

    book = models.ForeignKey(PriceBook, on_delete=models.CASCADE, related_name="items")
    code = models.CharField(max_length=60)
    description = models.CharField(max_length=160)
    sold_by = models.CharField(max_length=12)
    item_class = models.CharField(max_length=12, choices=ItemClass.choices, default=ItemClass.MATERIAL)
    price = models.DecimalField(**RATE)
    cost = models.DecimalField(**RATE)
    no_charge = models.CharField(max_length=200, blank=True, help_text=NO_CHARGE_HELP)

    class Meta:
        ordering: ClassVar = ["code"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["book", "code"], name="price_item_once"),
            models.CheckConstraint(condition=_price_or_gift("price") & Q(cost__gte=0), name="price_positive"),
        ]
        triggers: ClassVar = [_row_trigger()]

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
        triggers: ClassVar = [_row_trigger()]

    def __str__(self) -> str:
        return self.tier


class FreightRate(models.Model):
    """What a truck to a zone is charged and costs: the full truck (`truck` empty), or one up to `most_lb`.

    The full truck's row says where the zone is: regions and beginnings of postal codes as lists, or a band of
    miles from the yard (from, not with, to).
    """

    book = models.ForeignKey(PriceBook, on_delete=models.CASCADE, related_name="freight")
    zone = models.CharField(max_length=20)
    truck = models.CharField(max_length=20, blank=True)
    most_lb = models.PositiveIntegerField(null=True, blank=True)
    price_per_truck = models.DecimalField(**MONEY)
    cost_per_truck = models.DecimalField(**MONEY)
    no_charge = models.CharField(max_length=200, blank=True, help_text=NO_CHARGE_HELP)
    regions = models.JSONField(default=list, blank=True)
    postal = models.JSONField(default=list, blank=True)
    from_mi = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    to_mi = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["book", "zone", "truck"], name="freight_zone_truck_once"),
            models.CheckConstraint(
                condition=_price_or_gift("price_per_truck") & Q(cost_per_truck__gte=0),
                name="freight_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(truck="", most_lb=None) | (~Q(truck="") & Q(most_lb__gt=0)),
                name="freight_truck_has_limit",
            ),
            models.CheckConstraint(
                condition=Q(from_mi=None, to_mi=None) | Q(from_mi__gte=0, to_mi__gt=F("from_mi")),
                name="freight_band_runs_out",
            ),
        ]
        triggers: ClassVar = [_row_trigger()]

    def __str__(self) -> str:
        return f"{self.zone} {self.truck}".strip()


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
        triggers: ClassVar = [_row_trigger()]

    def __str__(self) -> str:
        return f"{self.place} {self.item_class}"
