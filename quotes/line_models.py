"""What every stored price line holds, whether of a revision or of one of its alternates."""

from __future__ import annotations

from decimal import Decimal

from django.db import models

from quotes.price_models import MONEY, RATE, ItemClass


class LineFields(models.Model):
    """One priced line. `extension` is rounded half up to the cent; `explain` derives the quantity.

    `exact` is what was counted before packing; `shares` are [extension, tax] of each floor, as text.
    """

    position = models.PositiveSmallIntegerField()
    group = models.CharField(max_length=20)
    code = models.CharField(max_length=80)
    description = models.CharField(max_length=200)
    item_class = models.CharField(max_length=12, choices=ItemClass.choices)
    exact = models.DecimalField(**RATE, default=Decimal(0))
    exact_unit = models.CharField(max_length=12, blank=True)
    quantity = models.DecimalField(**RATE)
    sold_by = models.CharField(max_length=12)
    unit_price = models.DecimalField(**RATE)
    unit_cost = models.DecimalField(**RATE)
    tier_share = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    extension = models.DecimalField(**MONEY)
    tax = models.DecimalField(**MONEY)
    shares = models.JSONField(default=list)
    explain = models.JSONField(default=list)

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return self.description
