"""The thread of a quote: what builder and staff wrote to each other, as plain text, never altered."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import AccessLink, User


class Side(models.TextChoices):
    BUILDER = "builder", "Builder"
    STAFF = "staff", "Us"


class Way(models.TextChoices):
    PAGE = "page", "on the page"
    MAIL = "mail", "by mail"


class ThreadMessage(models.Model):
    """One message. `seen_at` is when staff marked a builder's message as read; our own count as read."""

    quote = models.ForeignKey("quotes.Quote", on_delete=models.PROTECT, related_name="thread")
    at = models.DateTimeField()
    side = models.CharField(max_length=8, choices=Side.choices)
    way = models.CharField(max_length=5, choices=Way.choices, default=Way.PAGE)
    name = models.CharField(max_length=160)
    user = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    text = models.TextField()
    automatic = models.BooleanField(default=False, help_text="A machine answered, such as an absence notice.")
    attachments = models.JSONField(default=list, help_text="Names of what came along; it is not kept.")
    from_address = models.CharField(max_length=254, blank=True)
    mail_id = models.CharField(max_length=300, blank=True, help_text="Message-ID of a mail taken in.")
    seen_at = models.DateTimeField(null=True)
    seen_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["quote", "mail_id"], condition=~Q(mail_id=""), name="thread_mail_once"
            ),
            models.CheckConstraint(condition=Q(side__in=Side.values), name="thread_side_listed"),
            models.CheckConstraint(condition=Q(way__in=Way.values), name="thread_way_listed"),
            models.CheckConstraint(
                condition=Q(side="builder", link__isnull=False, user=None)
                | Q(side="staff", user__isnull=False, link=None),
                name="thread_has_writer",
            ),
        ]
        indexes: ClassVar = [
            models.Index(fields=["quote"], condition=Q(side="builder", seen_at=None), name="thread_unread")
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="thread_kept", operation=pgtrigger.Delete),
            pgtrigger.ReadOnly(name="thread_fixed", exclude=["seen_at", "seen_by"]),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.at:%b %d, %Y}"
