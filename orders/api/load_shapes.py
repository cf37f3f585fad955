"""Shapes of trucks, their plans and manifests in the API."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from orders.models import LoadPlan, Trip, TripChange, TruckLoad


class LoadPlanInput(serializers.Serializer[Any]):
    deliveries = serializers.ListField(
        child=serializers.CharField(max_length=20),
        max_length=60,
        help_text="Public ids in order of their stops.",
    )
    trucks = serializers.ListField(
        child=serializers.CharField(max_length=20),
        default=list,
        max_length=60,
        help_text="The company's, by id.",
    )
    further = serializers.BooleanField(default=True, help_text="More of the usual size may be hired.")


class LoadPlanOutput(serializers.ModelSerializer[LoadPlan]):
    """`result` is the engine's plan with its bound; null until it is made."""

    id = serializers.CharField(source="public_id")
    asked: serializers.JSONField = serializers.JSONField()
    result: serializers.JSONField = serializers.JSONField(allow_null=True)

    class Meta:
        model = LoadPlan
        fields = ("id", "day", "state", "asked", "result", "done_share", "stop_asked", "words", "ended_at")


class TripLoadOutput(serializers.ModelSerializer[TruckLoad]):
    id = serializers.CharField(source="public_id")
    delivery = serializers.CharField(source="delivery.public_id")

    class Meta:
        model = TruckLoad
        fields = ("id", "delivery", "number", "stop", "weight_lb", "loaded_at")


class TripOutput(serializers.ModelSerializer[Trip]):
    """`plan` tells where each thing lies; lengths in sixteenths of an inch."""

    id = serializers.CharField(source="public_id")
    truck = serializers.CharField(
        source="truck.public_id", default="", help_text="Blank where none is named."
    )
    loads = TripLoadOutput(many=True)
    plan: serializers.JSONField = serializers.JSONField()

    class Meta:
        model = Trip
        fields = (
            "id", "number", "day", "truck", "truck_words", "driver", "driver_phone", "locked", "blocked_forward",
            "edition", "left_at", "back_at", "loads", "plan",
        )  # fmt: skip


class TruckDayOutput(serializers.Serializer[Any]):
    """`version` is what a step on this day names; `waiting` is on no truck yet."""

    day = serializers.DateField()
    version = serializers.CharField()
    trips = TripOutput(many=True)
    waiting = serializers.ListField(child=serializers.CharField())


class TripStepInput(serializers.Serializer[Any]):
    version = serializers.CharField(max_length=32)
    edit = serializers.ChoiceField(choices=["move", "swap", "off"])
    thing = serializers.CharField(max_length=40, help_text="Such as SO-2026-0003-B4, or -C1 for a carton.")
    trip = serializers.CharField(
        max_length=20, allow_blank=True, default="", help_text="Blank: a further truck."
    )
    kind = serializers.CharField(max_length=80, allow_blank=True, default="", help_text="Which, by name.")
    lane = serializers.IntegerField(allow_null=True, default=None, min_value=1)
    on = serializers.CharField(
        max_length=40, allow_blank=True, default="", help_text="Into this thing's stack."
    )
    other = serializers.CharField(
        max_length=40, allow_blank=True, default="", help_text="To change places with."
    )


class DayVersionInput(serializers.Serializer[Any]):
    version = serializers.CharField(max_length=32)


class TripChangeOutput(serializers.ModelSerializer[TripChange]):
    class Meta:
        model = TripChange
        fields = ("id", "day", "at", "words", "undone_at")


class EditionInput(serializers.Serializer[Any]):
    edition = serializers.IntegerField(min_value=1)


class TripLockInput(EditionInput):
    locked = serializers.BooleanField()


class TripNameInput(EditionInput):
    truck = serializers.CharField(
        max_length=20, allow_blank=True, default="", help_text="Blank: none of ours."
    )
    driver = serializers.CharField(max_length=120, allow_blank=True, default="")
    driver_phone = serializers.CharField(max_length=40, allow_blank=True, default="")
    blocked_forward = serializers.BooleanField(default=False)


class TripStopsInput(EditionInput):
    deliveries = serializers.ListField(child=serializers.CharField(max_length=20), max_length=60)


class LoadingRowOutput(serializers.Serializer[Any]):
    """`turn` is its place in the order of loading; lane and tier are 0 where the plan no longer holds."""

    turn = serializers.IntegerField()
    code = serializers.CharField()
    name = serializers.CharField()
    order = serializers.CharField()
    stop = serializers.IntegerField()
    lane = serializers.IntegerField()
    tier = serializers.IntegerField()
    weight_lb = serializers.FloatField()
    on = serializers.SerializerMethodField()

    def get_on(self, row: Any) -> bool:
        return row.tick is not None


class TripLoadingOutput(serializers.Serializer[Any]):
    loaded = serializers.BooleanField()
    waiting = serializers.IntegerField(help_text="How many are not on yet.")
    rows = LoadingRowOutput(many=True)


class TickInput(serializers.Serializer[Any]):
    action_id = serializers.UUIDField(help_text="Made by who sends it; what is sent twice counts once.")
    code = serializers.CharField(
        max_length=200, help_text="On the tag, bare or as the address in its QR code."
    )
    on = serializers.BooleanField(default=True, help_text="False takes the tick back.")
    tapped_at = serializers.DateTimeField(allow_null=True, default=None)


class TickOutput(serializers.Serializer[Any]):
    words = serializers.CharField()
    loaded = serializers.BooleanField(help_text="It was the last, and the truck counts as loaded.")
