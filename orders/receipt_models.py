"""What comes back from the site: ticks, shortages, damages, photos, signatures (R48)."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import AccessLink, Addressed, TimeStamped, User
from orders.out_models import Delivery, TruckLoad
from orders.shop_models import Bundle, Carton
from orders.states import ReceiptState, ReceiptVerb

_ONE_THING = Q(bundle__isnull=False, carton=None) | Q(bundle=None, carton__isnull=False)


class ReceiptAction(models.Model):
    """One act of somebody on site. `action_id` comes from the phone, so that what is sent twice counts once.

    `tapped_at` is the phone's clock, for people only; order is by the database's own. Exactly one of `link` (builder
    or driver) and `by` (staff) did it.
    """

    action_id = models.UUIDField(unique=True)
    verb = models.CharField(max_length=10, choices=ReceiptVerb.choices)
    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="receipt_actions")
    load = models.ForeignKey(TruckLoad, null=True, on_delete=models.PROTECT, related_name="receipt_actions")
    bundle = models.ForeignKey(Bundle, null=True, on_delete=models.PROTECT, related_name="receipt_actions")
    carton = models.ForeignKey(Carton, null=True, on_delete=models.PROTECT, related_name="receipt_actions")
    marks = models.JSONField(
        default=dict, help_text="Pieces by mark that are short or damaged: {mark: count}."
    )
    words = models.CharField(max_length=400, blank=True)
    name = models.CharField(max_length=160, blank=True)
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tapped_at = models.DateTimeField(null=True)
    changed = models.BooleanField(help_text="False where things stood that way already.")

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(verb__in=ReceiptVerb.values), name="receipt_verb_listed"),
            models.CheckConstraint(
                condition=Q(link__isnull=False, by=None) | Q(link=None, by__isnull=False),
                name="receipt_by_one",
            ),
            models.CheckConstraint(
                condition=Q(verb="sign", bundle=None, carton=None) | (~Q(verb="sign") & _ONE_THING),
                name="receipt_of_one_thing",
            ),
            models.CheckConstraint(condition=~Q(verb="sign") | ~Q(name=""), name="receipt_signed_by_name"),
            models.UniqueConstraint(
                fields=["delivery"], condition=Q(verb="sign"), name="receipt_signed_once_a_delivery"
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="receipt_action_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.get_verb_display()} {self.bundle or self.carton or self.delivery}"


class ReceiptLine(models.Model):
    """Where one bundle or carton of a delivery stands on site: what the actions come to."""

    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="receipt_lines")
    bundle = models.OneToOneField(Bundle, null=True, on_delete=models.PROTECT, related_name="receipt")
    carton = models.OneToOneField(Carton, null=True, on_delete=models.PROTECT, related_name="receipt")
    state = models.CharField(max_length=10, choices=ReceiptState.choices)
    last = models.ForeignKey(ReceiptAction, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(state__in=ReceiptState.values), name="receipt_state_listed"),
            models.CheckConstraint(condition=_ONE_THING, name="receipt_line_of_one_thing"),
        ]

    def __str__(self) -> str:
        return f"{self.bundle or self.carton}: {self.get_state_display()}"


class SitePhoto(Addressed, TimeStamped):
    """A photo from the site: made anew by us from what was sent, so that it holds nothing but the picture.

    `action_id` is the act that it belongs to, which may arrive before or after it; `photo_id` is the phone's own.
    """

    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="photos")
    photo_id = models.UUIDField(unique=True)
    action_id = models.UUIDField(null=True)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    name = models.CharField(
        max_length=160, blank=True, help_text="What the file was called, for people only."
    )
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["id"]
        indexes: ClassVar = [models.Index(fields=["action_id"], name="site_photo_action")]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(link__isnull=False, by=None) | Q(link=None, by__isnull=False),
                name="site_photo_by_one",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="site_photo_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"photo of {self.delivery}"
