"""Between booking and shop: drawings for approval, deposits, change orders (R44, R45)."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import AccessLink, Addressed, TimeStamped, User
from orders.order_models import Order
from quotes.models import MONEY, QuoteRevision


class DrawingSet(Addressed, TimeStamped):
    """Drawings of an order's floors sent for approval, and the answer: yes, or no with what is marked up.

    The answer comes by the builder's link, or staff record it and say how they heard it.
    """

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="drawing_sets")
    number = models.PositiveSmallIntegerField()
    revision = models.ForeignKey(QuoteRevision, on_delete=models.PROTECT, related_name="+")
    sent_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    answered_at = models.DateTimeField(null=True)
    approved = models.BooleanField(null=True)
    words = models.TextField(blank=True)
    name = models.CharField(max_length=160, blank=True)
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    recorded_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    heard = models.CharField(max_length=400, blank=True, help_text="How staff heard the answer.")
    markup_sha256 = models.CharField(max_length=64, blank=True)
    markup_name = models.CharField(max_length=160, blank=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "number"], name="drawing_set_once"),
            models.UniqueConstraint(
                fields=["order"], condition=Q(answered_at=None), name="drawing_set_one_open"
            ),
            models.CheckConstraint(
                condition=Q(answered_at=None, approved=None, name="")
                | (
                    Q(answered_at__isnull=False, approved__isnull=False)
                    & ~Q(name="")
                    & (Q(link__isnull=False) | (Q(recorded_by__isnull=False) & ~Q(heard="")))
                ),
                name="drawing_answer_whole",
            ),
            models.CheckConstraint(condition=~Q(approved=False) | ~Q(words=""), name="drawing_no_says_what"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(
                name="drawing_answer_fixed",
                operation=pgtrigger.Update | pgtrigger.Delete,
                condition=pgtrigger.Q(old__answered_at__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.order.number} drawings {self.number}"


class Deposit(TimeStamped):
    """Money received on an order before release, as somebody wrote it down; taken back with a reason, never altered."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="deposits")
    amount = models.DecimalField(**MONEY)
    received_on = models.DateField()
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    taken_back_at = models.DateTimeField(null=True)
    taken_back_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="deposit_is_something"),
            models.CheckConstraint(
                condition=Q(taken_back_at=None, taken_back_by=None)
                | (Q(taken_back_at__isnull=False, taken_back_by__isnull=False) & ~Q(why="")),
                name="deposit_taken_back_with_reason",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="deposit_kept", operation=pgtrigger.Delete),
            pgtrigger.ReadOnly(name="deposit_fixed", exclude=["taken_back_at", "taken_back_by", "why"]),
        ]

    def __str__(self) -> str:
        return f"{self.amount} on {self.order}"


class ChangeOrder(Addressed, TimeStamped):
    """A change after booking (R45): a new revision, its difference priced; in work once the builder accepts it.

    `difference` is what it adds, removes and changes with the pieces that were rolled by then, as versioned JSON
    (`orders.changes`); it and `price_change` are fixed when it is applied.
    """

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="changes")
    number = models.PositiveSmallIntegerField()
    was = models.ForeignKey(QuoteRevision, on_delete=models.PROTECT, related_name="+")
    revision = models.OneToOneField(QuoteRevision, on_delete=models.PROTECT, related_name="change_order")
    why = models.CharField(max_length=400)
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    applied_at = models.DateTimeField(null=True)
    withdrawn_at = models.DateTimeField(null=True)
    price_change = models.DecimalField(**MONEY, null=True)
    difference = models.JSONField(default=dict)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "number"], name="change_order_once"),
            models.UniqueConstraint(
                fields=["order"],
                condition=Q(applied_at=None, withdrawn_at=None),
                name="change_order_one_open",
            ),
            models.CheckConstraint(condition=~Q(why=""), name="change_order_has_reason"),
            models.CheckConstraint(
                condition=Q(applied_at=None) | Q(withdrawn_at=None, price_change__isnull=False),
                name="change_order_one_end",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(
                name="change_order_fixed",
                operation=pgtrigger.Update | pgtrigger.Delete,
                condition=pgtrigger.Q(old__applied_at__isnull=False)
                | pgtrigger.Q(old__withdrawn_at__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.order.number} change {self.number}"
