"""Operations of an import: what a file that somebody brought comes to as a floor, and making that floor."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api import serializers as shapes
from framing.common.access import Act, require
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.projects import plan_selectors, selectors
from framing.projects.draw_requests import json_answer
from framing.projects.import_floor import can_import, choice_for, import_floor
from framing.projects.import_reports import import_json
from framing.projects.import_services import floor_import
from framing.projects.models import PlanFile
from framing.projects.reading.dxf_units import UNITS

REFUSED = OpenApiResponse(description="Not possible as chosen; `errors` lists the places.")


class ImportChoice(serializers.Serializer[Any]):
    """What is chosen; fields left out stay as found."""

    units = serializers.RegexField(
        f"^({'|'.join([*UNITS, 'imperial', 'metric'])}|)$",
        required=False,
        allow_blank=True,
        help_text="A drawing's unit: in, ft, mm, cm or m. For a list of corners the system of numbers without a unit: "
        "imperial or metric.",
    )
    outline = serializers.IntegerField(required=False, help_text="A layer's number; -1 is none.")
    openings = serializers.IntegerField(required=False, help_text="A layer's number; -1 is none.")
    walls = serializers.IntegerField(required=False, help_text="A layer's number; -1 is none.")
    loop = serializers.IntegerField(required=False, min_value=0, help_text="Which of `outlines`.")
    inside = serializers.BooleanField(required=False, help_text="Shapes inside the outline are openings.")
    join = serializers.BooleanField(required=False, help_text="Wall pieces at most 4 ft apart are one wall.")
    along = serializers.BooleanField(required=False, help_text="Walls along the joists are taken too.")
    direction = serializers.ChoiceField(["", "x", "y"], required=False, help_text="The way that joists run.")
    name = serializers.CharField(required=False, allow_blank=True, max_length=80)
    level = serializers.CharField(required=False, allow_blank=True, max_length=4)


class ImportLayer(serializers.Serializer[Any]):
    number = serializers.IntegerField()
    name = serializers.CharField()
    off = serializers.BooleanField(help_text="The file hides it.")
    things = serializers.ListField(child=serializers.CharField())


class ImportLeft(serializers.Serializer[Any]):
    what = serializers.CharField()
    where = serializers.CharField()
    why = serializers.CharField()


class ImportProblem(serializers.Serializer[Any]):
    place = serializers.CharField()
    message = serializers.CharField()


class ImportOutput(serializers.Serializer[Any]):
    """A file's floor as chosen, with the report; `document` is null while `problems` say what is missing."""

    choice = ImportChoice()
    layers = ImportLayer(many=True)
    document = serializers.DictField(allow_null=True)
    taken = serializers.ListField(child=serializers.CharField())
    mended = serializers.ListField(child=serializers.CharField())
    left = ImportLeft(many=True)
    problems = ImportProblem(many=True)
    outlines = serializers.ListField(child=serializers.CharField())


class ImportView(OperationView):
    """A plan file as a floor. Reading it changes nothing; making the floor needs the right to make floors."""

    access = Act("floor", "read")

    @extend_schema(
        operation_id="import_look",
        parameters=[
            OpenApiParameter(name, {"type": kind}, description=words)
            for name, kind, words in (
                ("units", "string", "As in the body of `import_make`; so are all others."),
                ("outline", "integer", ""),
                ("openings", "integer", ""),
                ("walls", "integer", ""),
                ("loop", "integer", ""),
                ("inside", "boolean", ""),
                ("join", "boolean", ""),
                ("along", "boolean", ""),
                ("direction", "string", ""),
                ("name", "string", ""),
                ("level", "string", ""),
            )
        ],
        responses={200: ImportOutput},
    )
    def get(self, request: Request, public_id: str, plan: str) -> HttpResponse:
        """What the file comes to as a floor: the document, and what was taken, mended and left."""
        found = _plan(public_id, plan)
        choice = choice_for(found, request.query_params)
        return json_answer(import_json(found, choice, import_floor(found, choice)))

    @extend_schema(
        operation_id="import_make",
        request=ImportChoice,
        responses={201: shapes.FloorDocumentOutput, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str, plan: str) -> Response:
        """Make the floor as chosen; the same asked twice is one floor."""
        require(self.actor, "floor", "make")
        found = _plan(public_id, plan)
        asked = ImportChoice(data=request.data)
        asked.is_valid(raise_exception=True)
        choice = choice_for(found, asked.validated_data)
        floor = floor_import(actor=self.actor, at=database_now(), plan=found, choice=choice)
        body = {**shapes.FloorOutput(floor).data, "document": selectors.floor_version(floor).document}
        return Response(body, status=201)


def _plan(project_id: str, plan_id: str) -> PlanFile:
    """A file that floors can be taken from. Raises NotThere."""
    plan = plan_selectors.plan_file_get(project_id, plan_id)
    if not can_import(plan):
        raise NotThere()
    return plan
