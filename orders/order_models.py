"""Orders and their recorded moves. An order is its quote's one order and points at the revision agreed now."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import Addressed, StageMove, TimeStamped, User
from orders.states import OrderStage
from quotes.models import Quote, QuoteRevision


class Order(Addressed, TimeStamped):
    """A booked quote on its way through shop and truck.

    `revision` is the accepted one that the order is made by; a change order moves it on (R45).
    """

    number = models.CharField(max_length=20, unique=True)
    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="order")
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
        triggers: ClassVar = [
            pgtrigger.Trigger(
                name="order_by_what_is_agreed",
                when=pgtrigger.Before,
                operation=pgtrigger.Insert | pgtrigger.Update,
                func=(
                    "IF NOT EXISTS (SELECT 1 FROM quotes_acceptance"
                    " WHERE revision_id = NEW.revision_id AND quote_id = NEW.quote_id)"
                    " THEN RAISE EXCEPTION 'an order goes by an accepted revision of its quote'; END IF;"
                    " RETURN NEW;"
                ),
            )
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
