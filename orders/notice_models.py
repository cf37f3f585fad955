"""Which moves of an order send a mail to whom, where the company chose otherwise than we begin with."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import Q

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
