"""Alternates (R42): other ways to frame the floors of one revision, each with its own total; frozen with it."""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import F, Q

from quotes.line_models import LineFields
from quotes.price_models import MONEY
from quotes.pricing_table import margin_of

LETTERS = ("A", "B", "C", "D")


def _frozen(name: str, what: str, issued: str) -> pgtrigger.Trigger:
    """Nothing comes, goes or changes once the revision is issued; `issued` selects when that was."""
    return pgtrigger.Trigger(
        name=name,
        when=pgtrigger.Before,
        operation=pgtrigger.Update | pgtrigger.Delete | pgtrigger.Insert,
        declare=[("issued", "timestamptz")],
        func=(
            f"{issued}; IF issued IS NOT NULL"
            f" THEN RAISE EXCEPTION '{what} of an issued revision are fixed'; END IF;"
            " RETURN COALESCE(NEW, OLD);"
        ),
    )


class Alternate(models.Model):
    """One alternate of a revision, priced by the revision's book and discounts.

    `floors` is as in the revision, with `own` true where the document is not the revision's with choices put in;
    `choices` are {floor, bay, profile, spacing} as chosen, so that a new revision can be framed the same way;
    `result` is the package result as versioned JSON (`quotes.snapshots`), `figures` what of it stands side by side
    with the other offers (`quotes.alternate_figures`).
    """

    revision = models.ForeignKey("quotes.QuoteRevision", on_delete=models.CASCADE, related_name="alternates")
    letter = models.CharField(max_length=1)
    label = models.CharField(max_length=80)
    choices = models.JSONField(default=list)
    floors = models.JSONField()
    result = models.JSONField()
    figures = models.JSONField(default=dict)
    goods = models.DecimalField(**MONEY)
    freight = models.DecimalField(**MONEY)
    tax = models.DecimalField(**MONEY)
    total = models.DecimalField(**MONEY)
    cost = models.DecimalField(**MONEY)
    fits = models.BooleanField(help_text="Every member passes its checks.")

    class Meta:
        ordering: ClassVar = ["letter"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["revision", "letter"], name="alternate_letter_once"),
            models.CheckConstraint(condition=Q(letter__in=LETTERS), name="alternate_four_at_most"),
            models.CheckConstraint(condition=~Q(label=""), name="alternate_has_label"),
            models.CheckConstraint(
                condition=Q(total=F("goods") + F("freight") + F("tax")), name="alternate_adds_up"
            ),
        ]
        triggers: ClassVar = [
            _frozen(
                "issued_alternate_fixed",
                "alternates",
                "SELECT max(issued_at) INTO issued FROM quotes_quoterevision"
                " WHERE id IN (OLD.revision_id, NEW.revision_id)",
            )
        ]

    def __str__(self) -> str:
        return f"Alternate {self.letter}"

    @property
    def margin(self) -> Decimal | None:
        """(price - cost) / price before tax; staff only (R39)."""
        return margin_of(self.goods + self.freight, self.cost)


class AlternateLine(LineFields):
    """One priced line of an alternate."""

    alternate = models.ForeignKey(Alternate, on_delete=models.CASCADE, related_name="lines")

    class Meta:
        ordering: ClassVar = ["position"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["alternate", "position"], name="alternate_line_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="alternate_line_counts"),
        ]
        triggers: ClassVar = [
            _frozen(
                "issued_alternate_line_fixed",
                "lines",
                "SELECT max(r.issued_at) INTO issued FROM quotes_quoterevision r JOIN quotes_alternate a"
                " ON a.revision_id = r.id WHERE a.id IN (OLD.alternate_id, NEW.alternate_id)",
            )
        ]
