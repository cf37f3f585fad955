"""What the shop makes of an order: bundles, pieces, cartons, what the planner changed, what the shop did."""

from __future__ import annotations

import secrets
from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import F, Q

from framing.common.models import Addressed, TimeStamped, User
from orders.order_models import Order
from orders.out_models import Delivery, TruckLoad
from orders.states import BundleEdit, RemakeReason, ShopVerb

CODE_SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"  # no I, L, O, U: what is read aloud stays clear
CODE_LENGTH = 12  # 60 bits: nobody guesses one


def new_code() -> str:
    """A code for a tag or label: opaque, short enough for a small QR code."""
    return "".join(secrets.choice(CODE_SIGNS) for _ in range(CODE_LENGTH))


class Bundle(Addressed):
    """8 to 15 pieces of one profile, lifted as one (R32-R36).

    `code` stands on its tag. `fixed` keeps it as it is when the rest is bundled anew. It is started, then finished;
    `weighed_lb` is what the scale said.
    """

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="bundles")
    delivery = models.ForeignKey(Delivery, null=True, on_delete=models.SET_NULL, related_name="bundles")
    load = models.ForeignKey(TruckLoad, null=True, on_delete=models.SET_NULL, related_name="bundles")
    number = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=CODE_LENGTH, unique=True, default=new_code)
    profile = models.CharField(max_length=40)
    zone = models.CharField(max_length=120)
    length_16 = models.PositiveIntegerField()
    weight_lb = models.DecimalField(max_digits=9, decimal_places=1)
    short = models.BooleanField(default=False)
    note = models.CharField(max_length=200, blank=True)
    fixed = models.BooleanField(default=False)
    started_at = models.DateTimeField(null=True)
    started_by = models.CharField(max_length=160, blank=True)
    finished_at = models.DateTimeField(null=True)
    finished_by = models.CharField(max_length=160, blank=True)
    weighed_lb = models.DecimalField(max_digits=9, decimal_places=1, null=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["order", "number"], name="bundle_number_once"),
            models.CheckConstraint(
                condition=Q(finished_at=None) | Q(started_at__isnull=False, finished_at__gte=F("started_at")),
                name="bundle_starts_before_it_ends",
            ),
            models.CheckConstraint(
                condition=Q(weighed_lb=None) | Q(weighed_lb__gt=0), name="bundle_weighs_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order.number} bundle {self.number}"


class Piece(models.Model):
    """One C-section to roll. `position` is its place in the bundle, longest at the bottom first.

    `holes_16` are the centres of its service holes from the printed end. `dropped_by` is the change order that no
    longer needs it: a piece that was rolled by then stays where it is, with that flag (R45). `replaces` is the piece
    that a claim found short, damaged or wrong (R49).
    """

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="pieces")
    bundle = models.ForeignKey(Bundle, null=True, on_delete=models.PROTECT, related_name="pieces")
    code = models.CharField(max_length=CODE_LENGTH, unique=True, default=new_code)
    floor = models.CharField(max_length=80)
    copy = models.PositiveSmallIntegerField(default=1)
    piece_id = models.CharField(max_length=60)
    mark = models.CharField(max_length=20)
    kind = models.CharField(max_length=20, blank=True)
    zone = models.CharField(max_length=80, blank=True)
    profile = models.CharField(max_length=40)
    length_16 = models.PositiveIntegerField()
    weight_lb = models.DecimalField(max_digits=9, decimal_places=2, default=0)
    holes_16 = models.JSONField(default=list)
    sequence = models.PositiveIntegerField()
    position = models.PositiveSmallIntegerField()
    dropped_by = models.ForeignKey(
        "orders.ChangeOrder", null=True, on_delete=models.PROTECT, related_name="dropped_pieces"
    )
    replaces = models.ForeignKey("self", null=True, on_delete=models.PROTECT, related_name="replaced_by")

    class Meta:
        ordering: ClassVar = ["bundle_id", "position"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["order", "floor", "copy", "piece_id"],
                condition=Q(dropped_by=None, replaces=None),
                name="piece_once",
            ),
            models.CheckConstraint(condition=Q(length_16__gt=0), name="piece_has_length"),
        ]

    def __str__(self) -> str:
        return f"{self.mark} {self.piece_id}"


class Carton(models.Model):
    """A numbered pack of accessories or short pieces; `contents` lists [description, quantity, sold_by]."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="cartons")
    delivery = models.ForeignKey(Delivery, null=True, on_delete=models.SET_NULL, related_name="cartons")
    load = models.ForeignKey(TruckLoad, null=True, on_delete=models.SET_NULL, related_name="cartons")
    number = models.PositiveSmallIntegerField()
    code = models.CharField(max_length=CODE_LENGTH, unique=True, default=new_code)
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


class PastCode(models.Model):
    """A code that a bundle's or carton's tag had before what it stands on changed, so that an old tag still leads on.

    `number` is the bundle's, `pieces` what it held then; a code that came back into use is no past one.
    """

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="past_codes")
    code = models.CharField(max_length=CODE_LENGTH, unique=True)
    number = models.PositiveSmallIntegerField()
    is_carton = models.BooleanField(default=False)
    pieces = models.JSONField(default=list)
    why = models.CharField(max_length=200)

    class Meta:
        ordering: ClassVar = ["-id"]

    def __str__(self) -> str:
        return f"{self.code}, before {self.why}"


class BundleChange(models.Model):
    """One step of the planner on the bundles of an order, so that it can be taken back.

    `before` and `after` list the bundles that the step touched: {number, fixed, pieces: [piece ids from the bottom
    up]}. `undone_at` is when it was taken back; the newest that is not undone is the next to go.
    """

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="bundle_changes")
    at = models.DateTimeField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    edit = models.CharField(max_length=10, choices=BundleEdit.choices)
    words = models.CharField(max_length=200)
    before = models.JSONField()
    after = models.JSONField()
    undone_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(edit__in=BundleEdit.values), name="bundle_edit_listed"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="bundle_change_kept", operation=pgtrigger.Delete),
            pgtrigger.ReadOnly(name="bundle_change_fixed", exclude=["undone_at"]),
        ]

    def __str__(self) -> str:
        return self.words


class Remake(Addressed, TimeStamped):
    """A piece to be made again, with why; while one is open its bundle can't be finished."""

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="remakes")
    reason = models.CharField(max_length=12, choices=RemakeReason.choices)
    words = models.CharField(max_length=200, blank=True)
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    made_at = models.DateTimeField(null=True)
    made_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["piece"], condition=Q(made_at=None), name="remake_one_open_a_piece"
            ),
            models.CheckConstraint(condition=Q(reason__in=RemakeReason.values), name="remake_reason_listed"),
            models.CheckConstraint(
                condition=~Q(reason="other") | ~Q(words=""), name="remake_other_says_what"
            ),
            models.CheckConstraint(
                condition=Q(made_at=None, made_by=None) | Q(made_at__isnull=False, made_by__isnull=False),
                name="remake_made_by_someone",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.piece} again"


class ShopAction(models.Model):
    """One tap on the shop's tablet. `action_id` comes from the tablet, so that a tap sent twice counts once.

    `tapped_at` is the tablet's clock, for people only; order is by the database's own. `undoes` is the tap that this
    one takes back; each is taken back once.
    """

    action_id = models.UUIDField(unique=True)
    verb = models.CharField(max_length=10, choices=ShopVerb.choices)
    bundle = models.ForeignKey(Bundle, on_delete=models.PROTECT, related_name="actions")
    piece = models.ForeignKey(Piece, null=True, on_delete=models.PROTECT, related_name="actions")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tapped_at = models.DateTimeField(null=True)
    value = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    words = models.CharField(max_length=200, blank=True)
    changed = models.BooleanField(help_text="False where things stood that way already.")
    undoes = models.OneToOneField("self", null=True, on_delete=models.PROTECT, related_name="taken_back")

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(verb__in=ShopVerb.values), name="shop_verb_listed"),
            models.CheckConstraint(condition=Q(undoes=None) | Q(verb="undo"), name="shop_undo_says_so"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="shop_action_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.get_verb_display()} {self.bundle}"
