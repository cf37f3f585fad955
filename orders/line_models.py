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
    """One roll-forming line. `depths` are the depth codes that it can run; empty means all."""

    name = models.CharField(max_length=60, unique=True)
    feet_per_minute = models.DecimalField(max_digits=6, decimal_places=2)
    piece_seconds = models.PositiveSmallIntegerField(
        default=0, help_text="Cutting and handling of each piece."
    )
    depths = models.JSONField(default=list)
    works = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name"]
        constraints: ClassVar = [
            models.CheckConstraint(condition=Q(feet_per_minute__gt=0), name="line_runs"),
            models.CheckConstraint(condition=~Q(name=""), name="line_has_name"),
        ]

    def __str__(self) -> str:
        return self.name


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

    `figures` tell what it comes to beside the plan in force and beside taking orders by their date.
    """

    number = models.PositiveIntegerField(unique=True)
    state = models.CharField(max_length=10, choices=LinePlanState.choices, default=LinePlanState.ASKED)
    asked_by = models.ForeignKey(User, null=True, on_delete=models.PROTECT, related_name="+")
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
        ]

    def __str__(self) -> str:
        return f"Line plan {self.number}"


class LineRun(models.Model):
    """One bundle's turn on a line: the days and minutes of its set-up and its rolling, in the company's zone."""

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
