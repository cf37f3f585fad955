"""The operation of a floor's take-off: bill with derivations, joist schedule, cut list. No prices."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.serializers import ProblemOutput
from framing.api.versions import VERSION, asked_version
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.projects.takeoff import current_takeoff


class TermOutput(serializers.Serializer[Any]):
    """One addend of a line; `places` are ids of members and placed things."""

    words = serializers.CharField(source="term.words")
    rule = serializers.CharField(source="term.rule")
    quantity = serializers.IntegerField(source="term.quantity")
    marks = serializers.ListField(child=serializers.CharField())
    places = serializers.ListField(child=serializers.CharField(), source="term.places")


class TakeoffLineOutput(serializers.Serializer[Any]):
    """One line of the bill: `exact` in `unit` (sixteenths of an inch for `length_16`), `bought` in `sold_by`."""

    code = serializers.CharField(source="line.code")
    description = serializers.CharField(source="line.description")
    group = serializers.CharField(source="line.group")
    exact = serializers.IntegerField(source="line.exact")
    unit = serializers.ChoiceField(source="line.unit", choices=["piece", "length_16"])
    bought = serializers.IntegerField(source="line.bought")
    sold_by = serializers.CharField(source="line.sold_by")
    pack = serializers.IntegerField(source="line.pack")
    weight_lb = serializers.FloatField(source="line.weight_lb")
    terms = TermOutput(many=True)


class MarkOutput(serializers.Serializer[Any]):
    """One mark of the joist schedule; holes are sixteenths from the printed end."""

    mark = serializers.CharField(source="line.mark")
    kind = serializers.CharField()
    profile = serializers.CharField(source="line.profile")
    plies = serializers.IntegerField(source="line.plies")
    length_16 = serializers.IntegerField(source="line.length_16")
    holes_16 = serializers.ListField(child=serializers.IntegerField(), source="line.holes_16")
    members = serializers.IntegerField(source="line.members")
    pieces = serializers.IntegerField(source="line.pieces")
    weight_lb = serializers.FloatField(source="line.weight_lb")


class CutOutput(serializers.Serializer[Any]):
    """Equal pieces rolled one after the other; `first` and `last` are their install numbers."""

    first = serializers.IntegerField()
    last = serializers.IntegerField()
    mark = serializers.CharField()
    profile = serializers.CharField()
    length_16 = serializers.IntegerField()
    holes_16 = serializers.ListField(child=serializers.IntegerField())
    pieces = serializers.IntegerField()


class TakeoffOutput(serializers.Serializer[Any]):
    """What one floor needs, or the problems for which it can't be built. Counts are for one of `repeat` floors."""

    floor = serializers.CharField(source="version.floor.public_id")
    version = serializers.IntegerField(source="version.number")
    engine_version = serializers.CharField()
    catalogue_version = serializers.CharField()
    practice = serializers.CharField(source="practice.name")
    practice_version = serializers.IntegerField(source="practice.version")
    repeat = serializers.IntegerField()
    problems = ProblemOutput(many=True)
    lines = TakeoffLineOutput(many=True)
    schedule = MarkOutput(many=True)
    cuts = CutOutput(many=True)


class TakeoffView(OperationView):
    access = Act("floor", "read")

    @extend_schema(operation_id="takeoff_get", parameters=[VERSION], responses={200: TakeoffOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """The take-off of a floor: each line of its bill with derivation and places, schedule, cut list."""
        return Response(TakeoffOutput(current_takeoff(asked_version(request, public_id))).data)
