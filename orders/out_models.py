"""What leaves the yard: deliveries, the company's trucks, their trips, and what of a delivery rides on which."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from framing.common.models import AccessLink, Addressed, TimeStamped, User
from orders.order_models import Order
from orders.states import Gear, LoadPlanState


class Delivery(Addressed, TimeStamped):
    """What goes to the site at one time. A bundle or carton is on one delivery at most (`Bundle.delivery`).

    `window_from` and `window_to` are the site's own clock. `gear` unloads it there, up to `gear_limit_lb` at the
    place where bundles are set down; None where nobody knows. It is loaded when its last truck load is. `edition`
    grows with each change up to loading; a dropped one stays as a row, so that calendars can say so.
    """

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="deliveries")
    number = models.CharField(max_length=20, unique=True)
    planned_for = models.DateField()
    window_from = models.TimeField(null=True)
    window_to = models.TimeField(null=True)
    contact = models.CharField(max_length=160)
    phone = models.CharField(max_length=40, blank=True)
    gear = models.CharField(max_length=12, choices=Gear.choices, default=Gear.TELEHANDLER)
    gear_limit_lb = models.PositiveIntegerField(null=True)
    notes = models.CharField(max_length=400, blank=True)
    loaded_at = models.DateTimeField(null=True)
    delivered_at = models.DateTimeField(null=True)
    received_by = models.CharField(max_length=160, blank=True)
    edition = models.PositiveIntegerField(default=1)
    changed_at = models.DateTimeField(default=timezone.now)
    dropped_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        verbose_name_plural = "deliveries"
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(dropped_at=None) | Q(loaded_at=None), name="delivery_dropped_was_not_loaded"
            ),
            models.CheckConstraint(
                condition=Q(delivered_at=None) | (Q(loaded_at__isnull=False) & ~Q(received_by="")),
                name="delivered_was_loaded_and_received",
            ),
            models.CheckConstraint(condition=Q(gear__in=Gear.values), name="delivery_gear_listed"),
            models.CheckConstraint(
                condition=Q(gear_limit_lb=None) | Q(gear_limit_lb__gt=0), name="delivery_gear_lifts_something"
            ),
            models.CheckConstraint(
                condition=Q(window_from=None, window_to=None) | Q(window_to__gt=F("window_from")),
                name="delivery_window_goes_forward",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def state(self) -> str:
        """planned, loaded, delivered or dropped."""
        if self.dropped_at:
            return "dropped"
        if self.delivered_at:
            return "delivered"
        return "loaded" if self.loaded_at else "planned"


class DeliveryMove(models.Model):
    """A delivery put on another day or window, with why; kept as it was said."""

    delivery = models.ForeignKey(Delivery, on_delete=models.PROTECT, related_name="day_moves")
    at = models.DateTimeField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    from_day = models.DateField()
    to_day = models.DateField()
    from_window = models.CharField(max_length=20, blank=True)
    to_window = models.CharField(max_length=20, blank=True)
    why = models.CharField(max_length=400)

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~Q(why=""), name="delivery_move_has_reason"),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="delivery_move_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.delivery} to {self.to_day}"


class Truck(Addressed, TimeStamped):
    """A truck that the company has or hires: what lies on its deck (R47). Axles and overhang are the driver's."""

    name = models.CharField(max_length=80, unique=True)
    plate = models.CharField(max_length=20, blank=True)
    deck_length_16 = models.PositiveIntegerField()
    deck_width_16 = models.PositiveIntegerField()
    stack_height_16 = models.PositiveIntegerField()
    tiers = models.PositiveSmallIntegerField(default=4)
    payload_lb = models.PositiveIntegerField()
    active = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=~Q(name=""), name="truck_has_name"),
            models.CheckConstraint(
                condition=Q(
                    deck_length_16__gt=0,
                    deck_width_16__gt=0,
                    stack_height_16__gt=0,
                    tiers__gt=0,
                    payload_lb__gt=0,
                ),
                name="truck_carries_something",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class LoadPlan(Addressed, TimeStamped):
    """Trucks planned for a day's deliveries by the worker; what is in force stays until this one is taken.

    `asked` is {deliveries: ids in order of their stops, trucks: ids, further: whether more may be hired}; `result` is
    the engine's plan as versioned JSON with its bound and count.
    """

    day = models.DateField()
    state = models.CharField(max_length=10, choices=LoadPlanState.choices, default=LoadPlanState.ASKED)
    asked_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    asked = models.JSONField()
    result = models.JSONField(null=True)
    done_share = models.PositiveSmallIntegerField(default=0)
    stop_asked = models.BooleanField(default=False)
    words = models.CharField(max_length=400, blank=True)
    ended_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["-id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(state__in=LoadPlanState.values), name="load_plan_state_listed"
            ),
            models.CheckConstraint(
                condition=~Q(state__in=("proposed", "taken")) | Q(result__isnull=False),
                name="load_plan_has_result",
            ),
            models.UniqueConstraint(
                fields=["day"], condition=Q(state__in=("asked", "making")), name="load_plan_one_at_work_a_day"
            ),
        ]

    def __str__(self) -> str:
        return f"trucks of {self.day}"


class Trip(Addressed, TimeStamped):
    """One truck on one day with its stops in order. `plan` is where each thing lies, as versioned JSON.

    `truck` is None where none of the company's is named yet: `truck_words` says which kind was planned with.
    `locked` keeps the load as it is when the rest is planned anew. `edition` counts its changes.
    """

    number = models.CharField(max_length=20, unique=True)
    day = models.DateField()
    truck = models.ForeignKey(Truck, null=True, on_delete=models.PROTECT, related_name="trips")
    truck_words = models.CharField(max_length=80, blank=True)
    driver = models.CharField(max_length=120, blank=True)
    driver_phone = models.CharField(max_length=40, blank=True)
    locked = models.BooleanField(default=False)
    blocked_forward = models.BooleanField(default=False, help_text="The load stands against a headboard.")
    plan = models.JSONField(default=dict)
    edition = models.PositiveIntegerField(default=1)
    left_at = models.DateTimeField(null=True)
    back_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["day", "number"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(back_at=None) | Q(left_at__isnull=False, back_at__gte=F("left_at")),
                name="trip_left_before_back",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def truck_name(self) -> str:
        """The company's truck, else the kind that was planned with; "" where neither is known."""
        return self.truck.name if self.truck is not None else self.truck_words


class TripChange(models.Model):
    """One step of the dispatcher on the loads of a day, so that it can be taken back: {trip number: plan}.

    One that was taken back can be done again until another step clears it.
    """

    day = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    words = models.CharField(max_length=200)
    before = models.JSONField()
    after = models.JSONField()
    undone_at = models.DateTimeField(null=True)
    cleared = models.BooleanField(default=False, help_text="Taken back, and another step was done since.")

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(cleared=False) | Q(undone_at__isnull=False), name="trip_change_cleared_was_undone"
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="trip_change_kept", operation=pgtrigger.Delete),
            pgtrigger.ReadOnly(name="trip_change_fixed", exclude=["undone_at", "cleared"]),
        ]

    def __str__(self) -> str:
        return self.words


class TruckLoad(Addressed):
    """What of a delivery rides on one truck: a stop of a trip, with a manifest of its own (R48).

    `number` counts the loads of a delivery, `stop` the stops of its trip. Without a trip it is planned by weight
    alone. `unloaded_at` and what follows is the driver's proof of delivery; `proof_id` comes from his phone, so that
    a proof sent twice counts once.
    """

    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="loads")
    number = models.PositiveSmallIntegerField()
    trip = models.ForeignKey(Trip, null=True, on_delete=models.PROTECT, related_name="loads")
    stop = models.PositiveSmallIntegerField(default=1)
    weight_lb = models.DecimalField(max_digits=9, decimal_places=1)
    loaded_at = models.DateTimeField(null=True)
    arrived_at = models.DateTimeField(null=True)
    unloaded_at = models.DateTimeField(null=True)
    handed_to = models.CharField(max_length=160, blank=True)
    driver_words = models.CharField(max_length=400, blank=True)
    proof_id = models.UUIDField(null=True, unique=True)

    class Meta:
        ordering: ClassVar = ["delivery_id", "number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["delivery", "number"], name="truck_load_once"),
            models.UniqueConstraint(
                fields=["trip", "stop"], condition=Q(trip__isnull=False), name="trip_stop_once"
            ),
            models.CheckConstraint(
                condition=Q(unloaded_at=None) | (Q(loaded_at__isnull=False) & ~Q(handed_to="")),
                name="unloaded_was_loaded_and_handed_over",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.delivery} truck {self.number}"


class LinkLanguage(models.Model):
    """The language in which somebody reads what a link opens."""

    link = models.OneToOneField(AccessLink, on_delete=models.CASCADE, related_name="language")
    code = models.CharField(max_length=5, validators=[RegexValidator(r"^(en|fr|es)$")])

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(code__in=("en", "fr", "es")), name="link_language_listed"),
        ]

    def __str__(self) -> str:
        return self.code
