"""Orders and their recorded moves. An order points at one accepted revision."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import Addressed, StageMove, TimeStamped, User
from orders.states import OrderStage
from quotes.models import QuoteRevision


class Order(Addressed, TimeStamped):
    """A booked quote on its way through shop and truck."""

    number = models.CharField(max_length=20, unique=True)
    revision = models.OneToOneField(QuoteRevision, on_delete=models.PROTECT, related_name="order")
    owner = models.ForeignKey(User, on_delete=models.PROTECT, related_name="orders")
    stage = models.CharField(max_length=12, choices=OrderStage.choices, default=OrderStage.BOOKED)
    held_from = models.CharField(max_length=12, blank=True)
    drawings_approved_at = models.DateTimeField(null=True)
    drawings_approved_by = models.CharField(max_length=160, blank=True)
    deliver_on = models.DateField(null=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(stage__in=OrderStage.values), name="order_stage_listed"),
            models.CheckConstraint(
                condition=(Q(stage="held") & ~Q(held_from="")) | (~Q(stage="held") & Q(held_from="")),
                name="order_held_from_known",
            ),
            models.CheckConstraint(
                condition=Q(stage__in=("booked", "held", "cancelled"))
                | Q(drawings_approved_at__isnull=False),
                name="released_needs_drawings",
            ),
        ]

    def __str__(self) -> str:
        return self.number


class OrderMove(StageMove):
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="moves")

    class Meta(StageMove.Meta):
        triggers: ClassVar = [
            pgtrigger.Protect(name="order_move_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.order} to {self.to_stage}"
