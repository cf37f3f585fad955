"""What the calendars that people subscribe to have told of each delivery, so that they can take it back."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from framing.projects.models import Builder
from orders.out_models import Delivery, Truck


class CalendarEntry(models.Model):
    """A delivery as the calendar of one truck, or of one builder, told it last (RFC 5545).

    `sequence` grows whenever what is told changes, and never falls. `day` and window are those that were told: what
    no longer comes is taken back where it stood. `gone_at` is since when it is told as cancelled.
    """

    truck = models.ForeignKey(Truck, null=True, on_delete=models.CASCADE, related_name="+")
    builder = models.ForeignKey(Builder, null=True, on_delete=models.CASCADE, related_name="+")
    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="+")
    sequence = models.PositiveIntegerField()
    facts = models.CharField(max_length=64, help_text="Hash of what was told, sequence and times left out.")
    day = models.DateField()
    window_from = models.TimeField(null=True)
    window_to = models.TimeField(null=True)
    changed_at = models.DateTimeField()
    gone_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["day", "delivery_id"]
        verbose_name_plural = "calendar entries"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(truck=None, builder__isnull=False) | Q(truck__isnull=False, builder=None),
                name="calendar_entry_of_truck_or_builder",
            ),
            models.UniqueConstraint(
                fields=["truck", "builder", "delivery"], nulls_distinct=False, name="calendar_entry_once"
            ),
            models.CheckConstraint(
                condition=Q(window_from=None, window_to=None)
                | Q(window_from__isnull=False, window_to__isnull=False),
                name="calendar_entry_window_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.delivery} in the calendar of {self.truck or self.builder}"
