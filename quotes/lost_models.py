"""Why an offer was lost: one row a revision that was declined, or that lapsed and somebody asked why; never altered."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import AccessLink, User


class LostReason(models.TextChoices):
    """What decided against an offer, in the trade's words."""

    PRICE = "price", "The price"
    DATE = "date", "Lead time or delivery date"
    SUPPLIER = "supplier", "Another supplier"
    MATERIAL = "material", "Another material"
    PLAN = "plan", "The plan changed"
    PUT_OFF = "put_off", "Project put off or cancelled"
    SILENT = "silent", "No answer"
    OTHER = "other", "Another reason"


class LostOffer(models.Model):
    """The reason of one lost revision, named by the builder's link or by staff.

    `ended` is the stage that the quote went to, declined or lapsed. A revision that lapsed and has no row counts as
    SILENT (`quotes.lost_reads`).
    """

    quote = models.ForeignKey("quotes.Quote", on_delete=models.PROTECT, related_name="lost_offers")
    revision = models.OneToOneField(
        "quotes.QuoteRevision", on_delete=models.PROTECT, related_name="lost_offer"
    )
    ended = models.CharField(max_length=12)
    reason = models.CharField(max_length=12, choices=LostReason.choices)
    words = models.CharField(max_length=400, blank=True)
    at = models.DateTimeField()
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(reason__in=LostReason.values), name="lost_reason_listed"),
            models.CheckConstraint(condition=Q(ended__in=["declined", "lapsed"]), name="lost_by_an_end"),
            models.CheckConstraint(condition=~Q(reason="other") | ~Q(words=""), name="lost_other_has_words"),
            models.CheckConstraint(
                condition=Q(link__isnull=False, recorded_by=None) | Q(link=None, recorded_by__isnull=False),
                name="lost_has_teller",
            ),
            models.CheckConstraint(condition=Q(link=None) | ~Q(reason="silent"), name="lost_link_spoke"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="lost_fixed", operation=pgtrigger.Update | pgtrigger.Delete),
            pgtrigger.Trigger(
                name="lost_of_an_offer",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert,
                func=(
                    "IF NOT EXISTS (SELECT 1 FROM quotes_quoterevision WHERE id = NEW.revision_id"
                    " AND quote_id = NEW.quote_id AND issued_at IS NOT NULL)"
                    " THEN RAISE EXCEPTION 'only an issued revision of the quote can be lost'; END IF;"
                    " IF EXISTS (SELECT 1 FROM quotes_acceptance WHERE revision_id = NEW.revision_id)"
                    " THEN RAISE EXCEPTION 'the offer was accepted'; END IF;"
                    " RETURN NEW;"
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.revision}: {self.get_reason_display()}"
