"""The roll-forming lines, their working time and their plans (R46)."""

from __future__ import annotations

from typing import ClassVar

import pgtrigger
from django.db import models
from django.db.models import F, Q

from framing.common.models import Addressed, TimeStamped, User
from orders.shop_models import Bundle
from orders.states import LinePlanState


class Line(Addressed, TimeStamped):
    """One roll-forming line. `depths` are the depths that it can run, in 1/100 in (800 is 8 in); empty means all."""

    name = models.CharField(max_length=60, unique=True)
    feet_per_minute = models.DecimalField(max_digits=6, decimal_places=2)
    capacity_ft_per_shift = models.PositiveIntegerField(
        null=True, help_text="Feet that the longest shift makes, all told; empty: what the speed gives."
    )
    depths = models.JSONField(default=list)
    works = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(feet_per_minute__gt=0), name="line_runs"),
            models.CheckConstraint(condition=~Q(name=""), name="line_has_name"),
            models.CheckConstraint(
                condition=Q(capacity_ft_per_shift=None) | Q(capacity_ft_per_shift__gt=0),
                name="line_capacity_is_something",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class LineSettings(models.Model):
    """What holds for all lines: holidays, change-over minutes, lead, and what the plan weighs. One row, number 1.

    Its lock also puts the verbs of plans one after another.
    """

    country = models.CharField(max_length=2, blank=True, help_text="Whose public holidays close the shop.")
    subdivision = models.CharField(max_length=10, blank=True)
    lead_days = models.PositiveSmallIntegerField(default=2)
    piece_seconds = models.PositiveSmallIntegerField(default=0)
    base_minutes = models.PositiveSmallIntegerField(default=10)
    gauge_minutes = models.PositiveSmallIntegerField(default=15)
    depth_minutes = models.PositiveSmallIntegerField(default=20)
    flange_minutes = models.PositiveSmallIntegerField(default=5)
    setup_price = models.PositiveSmallIntegerField(default=2)
    moved_price = models.PositiveSmallIntegerField(default=30)

    class Meta:
        constraints: ClassVar = [models.CheckConstraint(condition=Q(id=1), name="line_settings_one_row")]

    def __str__(self) -> str:
        return "Settings of the lines"


class ChangeOverTime(models.Model):
    """Minutes that the shop has timed for a change from one profile to another; they go before the rule."""

    before = models.CharField(max_length=40)
    after = models.CharField(max_length=40)
    minutes = models.PositiveSmallIntegerField()

    class Meta:
        ordering: ClassVar = ["before", "after"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["before", "after"], name="change_over_once"),
            models.CheckConstraint(condition=~Q(before=F("after")), name="change_over_changes"),
        ]

    def __str__(self) -> str:
        return f"{self.before} to {self.after}"


class LineShift(models.Model):
    """Working hours of a line on one weekday (0 is Monday), in minutes from midnight of the company's zone.

    A shift that ends after midnight ends beyond 1440 and belongs to the day on which it begins.
    """

    line = models.ForeignKey(Line, on_delete=models.CASCADE, related_name="shifts")
    weekday = models.PositiveSmallIntegerField()
    starts = models.PositiveSmallIntegerField()
    ends = models.PositiveSmallIntegerField()

    class Meta:
        ordering: ClassVar = ["line_id", "weekday", "starts"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="shift_on_a_weekday"),
            models.CheckConstraint(
                condition=Q(starts__lt=1440, ends__gt=F("starts"), ends__lte=2880), name="shift_has_length"
            ),
            models.UniqueConstraint(fields=["line", "weekday", "starts"], name="shift_once"),
        ]

    def __str__(self) -> str:
        return f"{self.line} {self.weekday} {self.starts}"


class Closure(models.Model):
    """A day on which a line, or the whole shop, stands still, beside the public holidays."""

    day = models.DateField()
    line = models.ForeignKey(Line, null=True, on_delete=models.CASCADE, related_name="closures")
    words = models.CharField(max_length=120)
    made_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering: ClassVar = ["day"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["day", "line"], nulls_distinct=False, name="closure_once"),
            models.CheckConstraint(condition=~Q(words=""), name="closure_says_why"),
        ]

    def __str__(self) -> str:
        return f"{self.day}: {self.words}"


class LinePin(models.Model):
    """The planner's word that a bundle is rolled on a day, on a line if one is named; plans keep it."""

    bundle = models.OneToOneField(Bundle, on_delete=models.CASCADE, related_name="pin")
    day = models.DateField()
    line = models.ForeignKey(Line, null=True, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    why = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return f"{self.bundle} on {self.day}"


class LinePlan(Addressed, TimeStamped):
    """One plan of all lines: asked for, made by the worker with a bar, then taken or not. One is in force.

    `words` say what it was made for where it is a what-if: a bundle that was moved, an order as a rush. `figures`
    tell what it comes to beside the plan in force and beside taking orders by their date.
    """

    number = models.PositiveIntegerField(unique=True)
    state = models.CharField(max_length=10, choices=LinePlanState.choices, default=LinePlanState.ASKED)
    asked_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    words = models.CharField(max_length=200, blank=True)
    frozen_through = models.DateField()
    rush = models.JSONField(default=list, help_text="Bundles to weigh as a rush in this plan.")
    done_share = models.PositiveSmallIntegerField(default=0)
    stop_asked = models.BooleanField(default=False)
    figures = models.JSONField(default=dict)
    made_at = models.DateTimeField(null=True)
    taken_at = models.DateTimeField(null=True)
    taken_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
    error = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering: ClassVar = ["-number"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(state__in=LinePlanState.values), name="line_plan_state_listed"
            ),
            models.CheckConstraint(condition=Q(done_share__lte=100), name="line_plan_share"),
            models.UniqueConstraint(
                fields=["state"], condition=Q(state="in_force"), name="line_plan_one_in_force"
            ),
            models.UniqueConstraint(
                fields=["state"], condition=Q(state="proposed"), name="line_plan_one_proposed"
            ),
        ]

    def __str__(self) -> str:
        return f"Line plan {self.number}"


class LineRun(models.Model):
    """One bundle's turn on a line, its change-over in the working minutes before it, in the company's zone.

    `day` and `end_day` are those of the shifts; minutes count from their midnight, beyond 1440 in a night shift.
    """

    plan = models.ForeignKey(LinePlan, on_delete=models.CASCADE, related_name="runs")
    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="+")
    bundle = models.ForeignKey(Bundle, on_delete=models.CASCADE, related_name="runs")
    position = models.PositiveIntegerField()
    day = models.DateField()
    start_minute = models.PositiveSmallIntegerField()
    end_day = models.DateField()
    end_minute = models.PositiveSmallIntegerField()
    setup_minutes = models.PositiveSmallIntegerField(default=0)
    late_minutes = models.PositiveIntegerField(default=0)
    pinned = models.BooleanField(default=False)

    class Meta:
        ordering: ClassVar = ["line_id", "position"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["plan", "bundle"], name="line_run_once"),
            models.UniqueConstraint(fields=["plan", "line", "position"], name="line_run_place_once"),
            models.CheckConstraint(
                condition=Q(end_day__gt=F("day")) | Q(end_day=F("day"), end_minute__gte=F("start_minute")),
                name="line_run_ends_after_start",
            ),
        ]
        indexes: ClassVar = [models.Index(fields=["plan", "day", "line"], name="line_run_day")]

    def __str__(self) -> str:
        return f"{self.bundle} on {self.line}"


class CoilCount(models.Model):
    """Steel in stock as somebody counted it: pounds of one thickness, in mils, on a day. The newest row holds."""

    mils = models.PositiveSmallIntegerField()
    weight_lb = models.DecimalField(max_digits=10, decimal_places=1)
    low_lb = models.DecimalField(max_digits=10, decimal_places=1, default=0)
    counted_on = models.DateField()
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["mils", "-id"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(weight_lb__gte=0, low_lb__gte=0), name="coil_not_below_nothing"
            ),
        ]
        triggers: ClassVar = [
            pgtrigger.Protect(name="coil_count_fixed", operation=pgtrigger.Update | pgtrigger.Delete)
        ]

    def __str__(self) -> str:
        return f"{self.mils} mil, {self.weight_lb} lb"
