"""Which moves of an order send a mail to whom, where the company chose otherwise than we begin with."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

from framing.common.models import Addressed, MailMessage
from orders.order_models import Order
from orders.states import NoticeTo


class NoticeChoice(models.Model):
    """One choice: a move, who is told, and whether. Without a row the choice of `orders.notices` holds."""

    move = models.CharField(max_length=20)
    to = models.CharField(max_length=12, choices=NoticeTo.choices)
    on = models.BooleanField()

    class Meta:
        ordering: ClassVar = ["move", "to"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["move", "to"], name="notice_choice_once"),
            models.CheckConstraint(condition=Q(to__in=NoticeTo.values), name="notice_to_listed"),
        ]

    def __str__(self) -> str:
        return f"{self.move} to {self.get_to_display()}: {'on' if self.on else 'off'}"


class NoticeMissed(Addressed):
    """A notice that could not be made: nobody is told unless somebody sends it by hand, or calls.

    `key` names the move, the thing and who was to be told, so that one is missed, and sent, once. `asked` is what
    was asked for with the words of that moment. `mail` is what was sent after all.
    """

    key = models.CharField(max_length=200, unique=True)
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="+")
    move = models.CharField(max_length=20)
    to = models.CharField(max_length=12, choices=NoticeTo.choices)
    name = models.CharField(max_length=160)
    asked = models.JSONField()
    why = models.CharField(max_length=300)
    at = models.DateTimeField()
    mail = models.OneToOneField(MailMessage, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(to__in=NoticeTo.values), name="notice_missed_to_listed"),
            models.CheckConstraint(condition=~Q(why=""), name="notice_missed_says_why"),
        ]

    def __str__(self) -> str:
        return self.key
