"""Shapes of lines, their plans and coils in the API."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from orders.line_reads import shift_texts
from orders.line_typed import WEEKDAYS
from orders.models import ChangeOverTime, Closure, CoilCount, Line, LinePlan, LineRun, LineSettings

SHIFTS = "One text a weekday from Monday on, such as “6:00-14:30, 22:00-6:00+1”; empty where it stands."


class RollLineOutput(serializers.ModelSerializer[Line]):
    id = serializers.CharField(source="public_id")
    depths = serializers.ListField(child=serializers.IntegerField(), help_text="1/100 in; none is all.")
    shifts = serializers.SerializerMethodField(help_text=SHIFTS)

    class Meta:
        model = Line
        fields = ("id", "name", "feet_per_minute", "capacity_ft_per_shift", "depths", "works", "shifts")

    def get_shifts(self, line: Line) -> list[str]:
        return shift_texts(line)


class RollLineInput(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=60)
    feet_per_minute = serializers.DecimalField(max_digits=6, decimal_places=2)
    capacity_ft_per_shift = serializers.IntegerField(allow_null=True, default=None)
    depths = serializers.ListField(child=serializers.IntegerField(), default=list, max_length=40)
    works = serializers.BooleanField(default=True)
    shifts = serializers.ListField(
        child=serializers.CharField(max_length=120, allow_blank=True),
        min_length=len(WEEKDAYS),
        max_length=len(WEEKDAYS),
        help_text=SHIFTS,
    )


class ClosureOutput(serializers.ModelSerializer[Closure]):
    line = serializers.CharField(source="line.public_id", default="", help_text="Blank: the whole shop.")

    class Meta:
        model = Closure
        fields = ("id", "day", "line", "words")


class ClosureInput(serializers.Serializer[Any]):
    day = serializers.DateField()
    line = serializers.CharField(max_length=20, allow_blank=True, default="")
    words = serializers.CharField(max_length=120)


class LineSettingsShape(serializers.ModelSerializer[LineSettings]):
    """What holds for all lines. Limits are told where a value is out of them."""

    country = serializers.CharField(max_length=2, allow_blank=True)
    subdivision = serializers.CharField(max_length=10, allow_blank=True)
    lead_days = serializers.IntegerField(help_text="Working days.")
    piece_seconds = serializers.IntegerField()
    base_minutes = serializers.IntegerField()
    gauge_minutes = serializers.IntegerField()
    depth_minutes = serializers.IntegerField()
    flange_minutes = serializers.IntegerField()
    setup_price = serializers.IntegerField()
    moved_price = serializers.IntegerField()

    class Meta:
        model = LineSettings
        fields = (
            "country", "subdivision", "lead_days", "piece_seconds", "base_minutes", "gauge_minutes",
            "depth_minutes", "flange_minutes", "setup_price", "moved_price",
        )  # fmt: skip


class ChangeOverShape(serializers.ModelSerializer[ChangeOverTime]):
    class Meta:
        model = ChangeOverTime
        fields = ("before", "after", "minutes")


class ChangeOverInput(serializers.Serializer[Any]):
    before = serializers.CharField(max_length=40)
    after = serializers.CharField(max_length=40)
    minutes = serializers.IntegerField(allow_null=True, help_text="Null goes back to the rule.")


class ChangeOversInput(serializers.Serializer[Any]):
    pairs = ChangeOverInput(many=True, help_text="1,000 at most.")


class ChangeOverCellOutput(serializers.Serializer[Any]):
    """A pair; `minutes` is null where the rule holds, `by_rule` what it says whatever was timed."""

    before = serializers.CharField()
    after = serializers.CharField()
    minutes = serializers.IntegerField(allow_null=True)
    by_rule = serializers.IntegerField()


class ChangeOverGridOutput(serializers.Serializer[Any]):
    """Pairs of the profiles in use; `left_out` counts profiles that the grid has no room for."""

    profiles = serializers.ListField(child=serializers.CharField(), source="codes")
    left_out = serializers.IntegerField()
    pairs = ChangeOverCellOutput(many=True, source="cells")


class LineRunOutput(serializers.ModelSerializer[LineRun]):
    """A bundle's turn; minutes count from the midnight of their day, beyond 1440 in a night shift."""

    line = serializers.CharField(source="line.name")
    bundle = serializers.CharField(source="bundle.public_id")
    order = serializers.CharField(source="bundle.order.number")
    number = serializers.IntegerField(source="bundle.number")
    profile = serializers.CharField(source="bundle.profile")

    class Meta:
        model = LineRun
        fields = (
            "line", "position", "bundle", "order", "number", "profile", "day", "start_minute", "end_day",
            "end_minute", "setup_minutes", "late_minutes", "pinned",
        )  # fmt: skip


class LinePlanOutput(serializers.ModelSerializer[LinePlan]):
    id = serializers.CharField(source="public_id")

    class Meta:
        model = LinePlan
        fields = (
            "id", "number", "state", "words", "frozen_through", "done_share", "stop_asked", "created_at",
            "made_at", "taken_at", "error",
        )  # fmt: skip


class LinePlanPageOutput(serializers.Serializer[Any]):
    count = serializers.IntegerField()
    next_page = serializers.IntegerField(allow_null=True)
    plans = LinePlanOutput(many=True)


class LinePlanWithRunsOutput(LinePlanOutput):
    """A plan with its turns in running order and what it comes to."""

    figures: serializers.JSONField = serializers.JSONField(
        help_text="Sums beside the plan in force and beside taking orders by date, loads by day and line, steel, "
        "late orders, what a what-if pushes."
    )
    runs = serializers.SerializerMethodField()

    class Meta(LinePlanOutput.Meta):
        fields = (*LinePlanOutput.Meta.fields, "figures", "runs")  # type: ignore[assignment]

    def get_runs(self, plan: LinePlan) -> list[dict[str, Any]]:
        rows = plan.runs.select_related("line", "bundle__order").order_by("line__name", "position")
        return list(LineRunOutput(rows, many=True).data)


class RushInput(serializers.Serializer[Any]):
    order = serializers.CharField(max_length=20, help_text="Public id.")


class PinInput(serializers.Serializer[Any]):
    day = serializers.DateField()
    line = serializers.CharField(max_length=20, allow_blank=True, default="", help_text="Blank: any.")
    why = serializers.CharField(max_length=200, allow_blank=True, default="")


class PinnedOutput(serializers.Serializer[Any]):
    """`plan` is what becomes of the plan in force, to look at; null where none is in force."""

    plan = LinePlanOutput(allow_null=True)


class CoilInput(serializers.Serializer[Any]):
    mils = serializers.IntegerField()
    weight_lb = serializers.DecimalField(max_digits=10, decimal_places=1)
    low_lb = serializers.DecimalField(max_digits=10, decimal_places=1, default=Decimal(0))
    counted_on = serializers.DateField()


class CoilCountOutput(serializers.ModelSerializer[CoilCount]):
    class Meta:
        model = CoilCount
        fields = ("mils", "weight_lb", "low_lb", "counted_on", "at")


class CoilOutput(serializers.Serializer[Any]):
    """Steel of one thickness: the newest count, and what the plan in force takes by day."""

    mils = serializers.IntegerField()
    count = CoilCountOutput(allow_null=True)
    need_lb = serializers.ListField(child=serializers.FloatField(), help_text="By day, as `days`.")
    total_lb = serializers.FloatField()
    words = serializers.CharField()


class CoilsOutput(serializers.Serializer[Any]):
    days = serializers.ListField(child=serializers.DateField())
    coils = CoilOutput(many=True)
