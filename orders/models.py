"""Orders, their bundles and pieces, truck loads and deliveries. An order points at one accepted revision."""

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


class Bundle(Addressed):
    """8 to 15 pieces of one profile, lifted as one (R32-R36)."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="bundles")
    load = models.ForeignKey(TruckLoad, null=True, on_delete=models.SET_NULL, related_name="bundles")
    number = models.PositiveSmallIntegerField()
    profile = models.CharField(max_length=40)
    zone = models.CharField(max_length=120)
    length_16 = models.PositiveIntegerField()
    weight_lb = models.DecimalField(max_digits=9, decimal_places=1)
    short = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)
    finished_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "number"], name="bundle_number_once"),
        ]

    def __str__(self) -> str:
        return f"{self.order.number} bundle {self.number}"


class Piece(models.Model):
    """One C-section to roll. `position` is its place in the bundle, longest at the bottom first."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="pieces")
    bundle = models.ForeignKey(Bundle, null=True, on_delete=models.PROTECT, related_name="pieces")
    floor = models.CharField(max_length=80)
    copy = models.PositiveSmallIntegerField(default=1)
    piece_id = models.CharField(max_length=60)
    mark = models.CharField(max_length=20)
    profile = models.CharField(max_length=40)
    length_16 = models.PositiveIntegerField()
    sequence = models.PositiveIntegerField()
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering: ClassVar = ["bundle_id", "position"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "floor", "copy", "piece_id"], name="piece_once"),
            models.CheckConstraint(condition=Q(length_16__gt=0), name="piece_has_length"),
        ]

    def __str__(self) -> str:
        return f"{self.mark} {self.piece_id}"


class Carton(models.Model):
    """A numbered pack of accessories or short pieces; `contents` lists [description, quantity, sold_by]."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="cartons")
    load = models.ForeignKey(TruckLoad, null=True, on_delete=models.SET_NULL, related_name="cartons")
    number = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=120)
    contents = models.JSONField()
    weight_lb = models.DecimalField(max_digits=9, decimal_places=1)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "number"], name="carton_number_once"),
        ]

    def __str__(self) -> str:
        return f"{self.order.number} carton {self.number}"
