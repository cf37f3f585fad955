"""What leaves the yard: deliveries and their trucks."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from framing.common.models import Addressed, TimeStamped
from orders.order_models import Order


class Delivery(Addressed, TimeStamped):
    """What goes to the site at one time; its manifest is stored once."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="deliveries")
    number = models.CharField(max_length=20, unique=True)
    planned_for = models.DateField()
    contact = models.CharField(max_length=160)
    notes = models.CharField(max_length=400, blank=True)
    loaded_at = models.DateTimeField(null=True)
    delivered_at = models.DateTimeField(null=True)
    received_by = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        verbose_name_plural = "deliveries"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(delivered_at=None) | (Q(loaded_at__isnull=False) & ~Q(received_by="")),
                name="delivered_was_loaded_and_received",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def state(self) -> str:
        """planned, loaded or delivered."""
        if self.delivered_at:
            return "delivered"
        return "loaded" if self.loaded_at else "planned"


class TruckLoad(models.Model):
    """One truck of a delivery (by weight only in this pass)."""

    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="loads")
    number = models.PositiveSmallIntegerField()
    weight_lb = models.DecimalField(max_digits=9, decimal_places=1)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["delivery", "number"], name="truck_load_once"),
        ]

    def __str__(self) -> str:
        return f"{self.delivery} truck {self.number}"
