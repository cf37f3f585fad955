"""Sheets and rolls that the company prints its labels and tags on."""

from __future__ import annotations

from typing import ClassVar

from django.db import models
from django.db.models import F, Q

from framing.common.models import Addressed, User
from orders.states import LabelUse


class LabelStock(Addressed):
    """A sheet of labels, or a roll (one label a page); sizes in tenths of a millimetre, so that all is whole."""

    name = models.CharField(max_length=60, unique=True)
    use = models.CharField(max_length=10, choices=LabelUse.choices)
    page_width = models.PositiveIntegerField()
    page_height = models.PositiveIntegerField()
    columns = models.PositiveSmallIntegerField(default=1)
    rows = models.PositiveSmallIntegerField(default=1)
    label_width = models.PositiveIntegerField()
    label_height = models.PositiveIntegerField()
    left = models.PositiveIntegerField(default=0)
    top = models.PositiveIntegerField(default=0)
    across = models.PositiveIntegerField(help_text="From one label's left edge to the next.")
    down = models.PositiveIntegerField(help_text="From one label's top edge to the next.")
    chosen = models.BooleanField(
        default=False, help_text="What this use is printed on unless told otherwise."
    )
    made_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["use", "name"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(use__in=LabelUse.values), name="label_use_listed"),
            models.UniqueConstraint(fields=["use"], condition=Q(chosen=True), name="label_one_chosen"),
            models.CheckConstraint(
                condition=Q(columns__gte=1, rows__gte=1, label_width__gt=0, label_height__gt=0),
                name="label_has_size",
            ),
            models.CheckConstraint(
                condition=(Q(columns=1) | Q(across__gte=F("label_width")))
                & (Q(rows=1) | Q(down__gte=F("label_height"))),
                name="labels_side_by_side",
            ),
            models.CheckConstraint(
                condition=Q(
                    page_width__gte=F("left") + F("across") * (F("columns") - 1) + F("label_width"),
                    page_height__gte=F("top") + F("down") * (F("rows") - 1) + F("label_height"),
                ),
                name="labels_on_the_page",
            ),
        ]

    def __str__(self) -> str:
        return self.name
