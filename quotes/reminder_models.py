"""Reminders that went out by themselves: one row a revision, address and day, so that none goes twice (R41)."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import F, Func, Q
from django.db.models.lookups import Exact

from framing.common.models import MailMessage


class Reminder(models.Model):
    """One reminder, `days` before the last day of the offer; `address` in small letters. Never altered."""

    revision = models.ForeignKey("quotes.QuoteRevision", on_delete=models.PROTECT, related_name="reminders")
    address = models.CharField(max_length=254)
    days = models.PositiveSmallIntegerField()
    mail = models.OneToOneField(MailMessage, on_delete=models.PROTECT, related_name="reminder")
    at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["revision", "address", "days"], name="reminder_once"),
            models.CheckConstraint(
                condition=~Q(address="") & Q(Exact(Func(F("address"), function="LOWER"), F("address"))),
                name="reminder_address_small",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="reminder_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.address}, {self.days} days before the end of {self.revision}"
