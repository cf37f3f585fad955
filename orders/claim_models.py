"""Claims on an order, and what there is to invoice (R49)."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import Q

from framing.common.models import AccessLink, Addressed, TimeStamped, User
from orders.order_models import Order
from orders.out_models import Delivery
from orders.receipt_models import ReceiptAction
from orders.release_models import ChangeOrder
from orders.shop_models import Bundle, Carton, Piece
from orders.states import ClaimKind, ClaimState, InvoiceKind
from quotes.models import MONEY

_DECIDED = ("replacing", "replaced", "credited", "rejected")


class Claim(Addressed, TimeStamped):
    """Something short, damaged or wrong. Open until it is replaced, credited or rejected; an order waits for it.

    `bundle` or `carton` is what it is about, `pieces` which of its pieces (none: the carton, or the whole bundle).
    `replacement` is the bundle that the shop makes for it, `replacement_carton` the carton that it packs; it is
    replaced when that one is received. `split_from` is the claim of which this one is what was not made again.
    """

    number = models.CharField(max_length=20, unique=True)
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="claims")
    delivery = models.ForeignKey(Delivery, null=True, on_delete=models.PROTECT, related_name="claims")
    kind = models.CharField(max_length=10, choices=ClaimKind.choices)
    state = models.CharField(max_length=10, choices=ClaimState.choices, default=ClaimState.OPEN)
    words = models.CharField(max_length=400)
    bundle = models.ForeignKey(Bundle, null=True, on_delete=models.PROTECT, related_name="claims")
    carton = models.ForeignKey(Carton, null=True, on_delete=models.PROTECT, related_name="claims")
    pieces = models.ManyToManyField(Piece, related_name="claims")
    split_from = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="split_off")
    reported = models.OneToOneField(ReceiptAction, null=True, on_delete=models.PROTECT, related_name="claim")
    link = models.ForeignKey(AccessLink, null=True, on_delete=models.PROTECT, related_name="+")
    opened_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    decided_at = models.DateTimeField(null=True)
    decided_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    why = models.CharField(max_length=400, blank=True)
    credit = models.DecimalField(**MONEY, null=True)
    replacement = models.OneToOneField(
        Bundle, null=True, on_delete=models.PROTECT, related_name="replaces_claim"
    )
    replacement_carton = models.OneToOneField(
        Carton, null=True, on_delete=models.PROTECT, related_name="replaces_claim"
    )
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(kind__in=ClaimKind.values), name="claim_kind_listed"),
            models.CheckConstraint(condition=Q(bundle=None) | Q(carton=None), name="claim_on_one_thing"),
            models.UniqueConstraint(
                fields=["bundle", "kind"], condition=Q(state="open"), name="claim_one_open_a_bundle_and_kind"
            ),
            models.UniqueConstraint(
                fields=["carton", "kind"], condition=Q(state="open"), name="claim_one_open_a_carton_and_kind"
            ),
            models.CheckConstraint(
                condition=Q(state__in=("replacing", "replaced"))
                & (Q(replacement__isnull=False) | Q(replacement_carton__isnull=False))
                | ~Q(state__in=("replacing", "replaced")) & Q(replacement=None, replacement_carton=None),
                name="claim_replaced_by_something",
            ),
            models.CheckConstraint(condition=Q(state__in=ClaimState.values), name="claim_state_listed"),
            models.CheckConstraint(condition=~Q(words=""), name="claim_says_what"),
            models.CheckConstraint(
                condition=Q(link__isnull=False, opened_by=None) | Q(link=None, opened_by__isnull=False),
                name="claim_opened_by_one",
            ),
            models.CheckConstraint(
                condition=Q(state="open", decided_at=None, decided_by=None)
                | Q(state__in=_DECIDED, decided_at__isnull=False, decided_by__isnull=False),
                name="claim_decided_by_someone",
            ),
            models.CheckConstraint(
                condition=(Q(state="credited") & Q(credit__gt=0)) | (~Q(state="credited") & Q(credit=None)),
                name="claim_credit_is_something",
            ),
            models.CheckConstraint(
                condition=~Q(state="rejected") | ~Q(why=""), name="claim_refusal_says_why"
            ),
            models.CheckConstraint(
                condition=Q(state__in=("open", "replacing"), ended_at=None)
                | Q(state__in=("replaced", "credited", "rejected"), ended_at__isnull=False),
                name="claim_ends_with_its_state",
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="claim_kept", operation=pgtrigger.Delete),
            pgtrigger.Protect(
                name="claim_end_fixed",
                operation=pgtrigger.Update,
                condition=pgtrigger.Q(old__ended_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.number


class InvoiceItem(models.Model):
    """Something to invoice or to credit, once, with a running number; the company's books are kept elsewhere.

    `amount` is with tax, `tax` the part of it that is tax; a credit is below zero. A deposit is of the order as a
    whole, as is what a cancelled order takes back; else it is for what its kind names.
    """

    number = models.PositiveIntegerField(unique=True)
    kind = models.CharField(max_length=10, choices=InvoiceKind.choices)
    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="invoice_items")
    delivery = models.OneToOneField(
        Delivery, null=True, on_delete=models.PROTECT, related_name="invoice_item"
    )
    change = models.OneToOneField(
        ChangeOrder, null=True, on_delete=models.PROTECT, related_name="invoice_item"
    )
    claim = models.OneToOneField(Claim, null=True, on_delete=models.PROTECT, related_name="invoice_item")
    amount = models.DecimalField(**MONEY)
    tax = models.DecimalField(**MONEY, default=0)
    words = models.CharField(max_length=200)
    at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(kind__in=InvoiceKind.values), name="invoice_kind_listed"),
            models.CheckConstraint(
                condition=Q(kind="credit", amount__lt=0)
                | Q(kind__in=("deposit", "delivery"), amount__gt=0)
                | (Q(kind__in=("change", "cancelled")) & ~Q(amount=0)),
                name="invoice_item_is_something",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=("deposit", "cancelled"), delivery=None, change=None, claim=None)
                | Q(kind="delivery", delivery__isnull=False, change=None, claim=None)
                | Q(kind="change", delivery=None, change__isnull=False, claim=None)
                | Q(kind="credit", delivery=None, change=None, claim__isnull=False),
                name="invoice_item_for_one_thing",
            ),
            models.UniqueConstraint(
                fields=["order"], condition=Q(kind="deposit"), name="invoice_one_deposit_an_order"
            ),
            models.UniqueConstraint(
                fields=["order"], condition=Q(kind="cancelled"), name="invoice_taken_back_once"
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="invoice_item_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.words}"


class InvoiceFile(Addressed, TimeStamped):
    """One export: the items from one running number to another.

    `content` holds all that stands in it as versioned JSON; CSV and JSON are made of that alone, so that the same
    file can be had again whatever was renamed since.
    """

    number = models.PositiveIntegerField(unique=True)
    first = models.PositiveIntegerField()
    last = models.PositiveIntegerField()
    content = models.JSONField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(last__gte=models.F("first")), name="invoice_file_forward"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="invoice_file_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"export {self.number}"
