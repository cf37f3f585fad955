"""Shapes that go in and out of the quotes' API. Cost stands only in the shape for those who may see it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from framing.common.clock import database_now
from framing.common.zones import company_day
from quotes.models import (
    Acceptance,
    Approval,
    ApprovalWord,
    LineDiscount,
    PriceBook,
    Quote,
    QuoteLine,
    QuoteRevision,
)
from quotes.selectors import approval_reasons

MONEY: dict[str, Any] = {"max_digits": 12, "decimal_places": 2}
REASON_MOST = 400


class QuoteOutput(serializers.ModelSerializer[Quote]):
    """A quote in a list, with its newest revision's figures."""

    id = serializers.CharField(source="public_id")
    project = serializers.CharField(source="project.public_id")
    project_name = serializers.CharField(source="project.name")
    builder = serializers.CharField(source="project.builder.name")
    owner = serializers.CharField(source="owner.name")
    revision = serializers.IntegerField(source="latest_number")
    total = serializers.DecimalField(**MONEY, source="latest_total")
    currency = serializers.CharField(source="latest_currency")
    valid_until = serializers.DateTimeField(source="latest_valid_until", allow_null=True)
    valid_day = serializers.DateField(
        source="latest_valid_day", allow_null=True, help_text="The offer's last day at its site."
    )

    class Meta:
        model = Quote
        fields = (
            "id", "number", "stage", "project", "project_name", "builder", "owner",
            "revision", "total", "currency", "valid_until", "valid_day",
        )  # fmt: skip


class QuotePageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    quotes = QuoteOutput(many=True)


class LineOutput(serializers.ModelSerializer[QuoteLine]):
    class Meta:
        model = QuoteLine
        fields = (
            "position", "group", "code", "description", "item_class", "exact", "exact_unit", "quantity", "sold_by",
            "unit_price", "tier_share", "extension", "tax", "shares", "explain",
        )  # fmt: skip


class LineDiscountOutput(serializers.ModelSerializer[LineDiscount]):
    class Meta:
        model = LineDiscount
        fields = ("code", "share")


class RevisionOutput(serializers.ModelSerializer[QuoteRevision]):
    """One revision with its lines, without cost."""

    id = serializers.CharField(source="public_id")
    quote = serializers.CharField(source="quote.public_id")
    quote_number = serializers.CharField(source="quote.number")
    stage = serializers.CharField(source="quote.stage")
    price_book = serializers.CharField(source="price_book.__str__")
    practice_set = serializers.CharField(source="practice_set.__str__")
    line_discounts = LineDiscountOutput(many=True)
    lines = LineOutput(many=True)

    class Meta:
        model = QuoteRevision
        fields: tuple[str, ...] = (
            "id", "quote", "quote_number", "number", "stage", "currency", "goods", "freight", "tax", "total",
            "discount_share", "line_discounts", "terms", "lead_time_days", "fits", "release_reason",
            "issued_at", "issued_by", "valid_until", "valid_day", "valid_zone", "price_book", "practice_set",
            "engine_version", "catalogue_version", "lines",
        )  # fmt: skip


class RevisionWithCostOutput(RevisionOutput):
    """The same for managers and the seller's own team: cost, margin, and what needs approval."""

    margin = serializers.SerializerMethodField()
    approval_reasons = serializers.SerializerMethodField()

    class Meta(RevisionOutput.Meta):
        fields = (*RevisionOutput.Meta.fields, "cost", "margin", "approval_reasons")

    def get_margin(self, revision: QuoteRevision) -> str | None:
        return None if revision.margin is None else f"{revision.margin:.4f}"

    def get_approval_reasons(self, revision: QuoteRevision) -> list[str]:
        return list(approval_reasons(revision))


class ApprovalOutput(serializers.ModelSerializer[Approval]):
    asked_by = serializers.CharField(source="asked_by.name")
    decided_by = serializers.CharField(source="decided_by.name", default=None)

    class Meta:
        model = Approval
        fields: tuple[str, ...] = (
            "reason", "asked_by", "decided_by", "decided_at", "granted", "answer", "total_seen",
            "alternates_seen", "asked_back",
        )  # fmt: skip


class ApprovalWordOutput(serializers.ModelSerializer[ApprovalWord]):
    by = serializers.CharField(source="by.name")

    class Meta:
        model = ApprovalWord
        fields = ("is_question", "text", "by", "at")


class ApprovalQueueOutput(ApprovalOutput):
    """What a manager decides by: who asks and why, what is given away, the margin without and with it."""

    revision = serializers.CharField(source="revision.public_id")
    name = serializers.CharField(source="revision.__str__")
    total = serializers.DecimalField(**MONEY, source="revision.total")
    reasons = serializers.SerializerMethodField()
    words = ApprovalWordOutput(many=True)

    class Meta(ApprovalOutput.Meta):
        fields = (
            *ApprovalOutput.Meta.fields, "revision", "name", "total", "given", "margin_before", "margin_after",
            "reasons", "words",
        )  # fmt: skip

    def get_reasons(self, approval: Approval) -> list[str]:
        return list(approval_reasons(approval.revision))


class AcceptanceOutput(serializers.ModelSerializer[Acceptance]):
    quote = serializers.CharField(source="quote.public_id")
    revision = serializers.CharField(source="revision.public_id")
    alternate = serializers.CharField(source="alternate.letter", default="")

    class Meta:
        model = Acceptance
        fields = ("quote", "revision", "alternate", "name", "title", "at", "why")


class QuoteLinkOutput(serializers.Serializer[Any]):
    """A new link; `address` is shown this once."""

    id = serializers.CharField()
    for_name = serializers.CharField()
    expires_at = serializers.DateTimeField()
    address = serializers.CharField()


class StageOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    stage = serializers.CharField()


class QuoteCreateInput(serializers.Serializer[Any]):
    project = serializers.CharField(max_length=20)
    discount_share = serializers.DecimalField(
        max_digits=5, decimal_places=4, min_value=Decimal(0), max_value=Decimal("0.9999"), default=Decimal(0)
    )


class RevisionChangeInput(serializers.Serializer[Any]):
    """Fields left out stay as they are."""

    discount_share = serializers.DecimalField(
        max_digits=5, decimal_places=4, min_value=Decimal(0), max_value=Decimal("0.9999"), required=False
    )
    line_discounts = serializers.DictField(
        child=serializers.DecimalField(
            max_digits=5, decimal_places=4, min_value=Decimal(0), max_value=Decimal("0.9999")
        ),
        required=False,
        help_text="Share by line code; replaces all that stood before.",
    )
    terms = serializers.CharField(max_length=4000, allow_blank=True, required=False)
    lead_time_days = serializers.IntegerField(min_value=1, max_value=730, required=False)


class IssueInput(serializers.Serializer[Any]):
    release_reason = serializers.CharField(max_length=REASON_MOST, allow_blank=True, default="")


class AskInput(serializers.Serializer[Any]):
    reason = serializers.CharField(max_length=REASON_MOST)


class WordInput(serializers.Serializer[Any]):
    text = serializers.CharField(max_length=REASON_MOST)


class DecideInput(serializers.Serializer[Any]):
    granted = serializers.BooleanField()
    answer = serializers.CharField(max_length=REASON_MOST, allow_blank=True, default="")
    total_seen = serializers.DecimalField(**MONEY)
    alternates_seen = serializers.CharField(
        max_length=120,
        allow_blank=True,
        allow_null=True,
        default=None,
        help_text="Totals of the alternates looked at, as in the approval; null for those it was asked for with.",
    )
    margin_seen = serializers.DecimalField(
        max_digits=9,
        decimal_places=4,
        allow_null=True,
        default=None,
        help_text="The margin looked at, to four decimals; null for the one it was asked for with.",
    )


class AcceptInput(serializers.Serializer[Any]):
    """Recorded by staff: who accepted, and how the builder told it."""

    name = serializers.CharField(max_length=120)
    title = serializers.CharField(max_length=120, allow_blank=True, default="")
    why = serializers.CharField(max_length=REASON_MOST)
    alternate = serializers.CharField(
        max_length=1,
        allow_blank=True,
        default="",
        help_text="Letter of the alternate; blank is the base offer.",
    )


class ReviseInput(serializers.Serializer[Any]):
    why = serializers.CharField(max_length=REASON_MOST, allow_blank=True, default="")


class QuoteLinkInput(serializers.Serializer[Any]):
    for_name = serializers.CharField(max_length=160)


class PriceBookInput(serializers.Serializer[Any]):
    """The price book document as it is published; its fields are checked by its own schema."""

    document = serializers.JSONField()


class PriceBookOutput(serializers.Serializer[Any]):
    name = serializers.CharField()
    version = serializers.IntegerField()
    currency = serializers.CharField()
    valid_from = serializers.DateField()
    in_force = serializers.SerializerMethodField()

    def get_in_force(self, book: PriceBook) -> bool:
        return book.holds_on(company_day(database_now()))
