"""What went onto a truck in the yard, thing by thing."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import User
from orders.out_models import Trip
from orders.shop_models import Bundle, Carton


class LoadTick(models.Model):
    """Somebody in the yard said that a bundle or carton is on its truck, or took that back.

    `action_id` comes from the phone, so that what is sent twice counts once. The last one of a thing and a trip
    counts, while the thing still rides on that trip. `tapped_at` is the phone's clock, for people only.
    """

    action_id = models.UUIDField(unique=True)
    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="ticks")
    bundle = models.ForeignKey(Bundle, null=True, on_delete=models.CASCADE, related_name="ticks")
    carton = models.ForeignKey(Carton, null=True, on_delete=models.CASCADE, related_name="ticks")
    on = models.BooleanField(help_text="False takes a tick back.")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tapped_at = models.DateTimeField(null=True)
    changed = models.BooleanField(help_text="False where it stood that way already.")

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(bundle__isnull=False, carton=None) | Q(bundle=None, carton__isnull=False),
                name="load_tick_of_one_thing",
            ),
        ]
        triggers: ClassVar = [pgtrigger.Protect(name="load_tick_fixed", operation=pgtrigger.Update)]

    def __str__(self) -> str:
        return f"{'on' if self.on else 'off'} {self.trip}"
