"""Papers of the shop as they were asked for: what stands on them is kept with them."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import Addressed, TimeStamped, User
from orders.line_models import Line
from orders.order_models import Order
from orders.states import ShopPaperKind


class ShopPaper(Addressed, TimeStamped):
    """One paper of an order, or of a line's day; equal contents are one paper.

    `content` holds all that stands on it as versioned JSON, `digest` is its SHA-256; the PDF is made by the worker
    and stored once, tables are made of the same content. `facts` follow from the content, part by part, to be held
    against what would stand on it now (`orders.papers.standing`).
    """

    kind = models.CharField(max_length=14, choices=ShopPaperKind.choices)
    order = models.ForeignKey(Order, null=True, on_delete=models.PROTECT, related_name="shop_papers")
    line = models.ForeignKey(Line, null=True, on_delete=models.PROTECT, related_name="shop_papers")
    day = models.DateField(null=True)
    content = models.JSONField()
    digest = models.CharField(max_length=64)
    facts = models.JSONField()
    asked_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(kind__in=ShopPaperKind.values), name="shop_paper_kind_listed"),
            models.UniqueConstraint(fields=["kind", "digest"], name="shop_paper_once"),
            models.CheckConstraint(
                condition=Q(order__isnull=False, line=None, day=None)
                | Q(order=None, line__isnull=False, day__isnull=False, kind="cut_list"),
                name="shop_paper_of_order_or_line",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="shop_paper_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        of = self.order.number if self.order else f"{self.line}, {self.day}"
        return f"{self.get_kind_display()} of {of}"
