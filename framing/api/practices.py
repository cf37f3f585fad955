"""Operations of practice sets: read, compare, draft, change, put in force. Values are as the engine takes them."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.engine.practice import Practice
from framing.projects import practice_services, selectors
from framing.projects.models import PracticeSet
from framing.projects.practice_reads import (
    differing_rows,
    effects_of,
    practice_set_get,
    practice_set_list,
    value_groups,
)

REFUSED = OpenApiResponse(
    description="A value is unknown, of the wrong kind or outside its limits; see `errors`."
)
CLASH = OpenApiResponse(description="Somebody was faster: the draft changed, or another version is in force.")
OVERRIDES = "What is no default, by the value's name; lengths in sixteenths of an inch."


class PracticeValueOutput(serializers.Serializer[Any]):
    """One value: `value` and `default` as the engine takes them, `shown` for people."""

    name = serializers.CharField(source="field.name")
    rule = serializers.CharField(source="field.rule")
    words = serializers.CharField(source="field.words")
    kind = serializers.CharField(source="field.kind.value")
    unit = serializers.CharField(source="field.unit")
    limits = serializers.CharField(source="field.limits")
    value = serializers.JSONField(source="json")
    shown = serializers.CharField()
    default = serializers.JSONField(source="other_json")
    differs = serializers.BooleanField()


class PracticeSetOutput(serializers.Serializer[Any]):
    id = serializers.CharField(source="public_id")
    name = serializers.CharField()
    version = serializers.IntegerField()
    state = serializers.ChoiceField(choices=["draft", "in_force", "earlier"])
    edit = serializers.IntegerField(help_text="How often the draft was changed, and one; send it back.")
    reason = serializers.CharField()
    made_at = serializers.DateTimeField(source="created_at")
    made_by = serializers.CharField()
    in_force_at = serializers.DateTimeField(allow_null=True)
    in_force_by = serializers.CharField()
    values = serializers.DictField(help_text=OVERRIDES)


class PracticeOutput(serializers.Serializer[Any]):
    """The set in force with every value; `set` is null while the rules' defaults hold."""

    set = PracticeSetOutput(allow_null=True)
    values = PracticeValueOutput(many=True)


class PracticeDifferenceOutput(serializers.Serializer[Any]):
    name = serializers.CharField(source="field.name")
    rule = serializers.CharField(source="field.rule")
    words = serializers.CharField(source="field.words")
    a = serializers.JSONField(source="json")
    b = serializers.JSONField(source="other_json")


class FloorEffectOutput(serializers.Serializer[Any]):
    floor = serializers.CharField(source="floor.public_id")
    name = serializers.CharField(source="floor.__str__")
    words = serializers.CharField()


class PracticeEffectsOutput(serializers.Serializer[Any]):
    """What saved floors would make of it; `looked` of `total` were designed in the time there was."""

    looked = serializers.IntegerField()
    total = serializers.IntegerField()
    failing = FloorEffectOutput(many=True)
    changing = FloorEffectOutput(many=True)


class PracticeDraftInput(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=practice_services.NAME_MOST)
    reason = serializers.CharField(max_length=practice_services.REASON_MOST)
    values = serializers.DictField(help_text=OVERRIDES)


class PracticeChangeInput(serializers.Serializer[Any]):
    reason = serializers.CharField(max_length=practice_services.REASON_MOST)
    values = serializers.DictField(help_text=OVERRIDES)
    edit = serializers.IntegerField(min_value=1, max_value=1_000_000)


class PracticeForceInput(serializers.Serializer[Any]):
    edit = serializers.IntegerField(min_value=1, max_value=1_000_000)
    replaces = serializers.CharField(
        max_length=20, required=False, default="", help_text="Id of what you take to be in force."
    )


def _checked(shape: type[serializers.Serializer[Any]], request: Request) -> dict[str, Any]:
    found = shape(data=request.data)
    found.is_valid(raise_exception=True)
    return dict(found.validated_data)


def _with_values(row: PracticeSet | None) -> Response:
    practice = Practice() if row is None else selectors.practice_of(row)
    values = [value for group in value_groups(practice) for value in group.rows]
    return Response(PracticeOutput({"set": row, "values": values}).data)


class PracticeView(OperationView):
    access = Act("practice", "read")

    @extend_schema(operation_id="practice_get", responses={200: PracticeOutput})
    def get(self, _request: Request) -> Response:
        """The practice set in force and every value with its rule, limits and default."""
        return _with_values(selectors.practice_set_in_force())


class PracticeSetListView(OperationView):
    access = Act("practice", "read")

    @extend_schema(operation_id="practice_set_list", responses={200: PracticeSetOutput(many=True)})
    def get(self, _request: Request) -> Response:
        """All versions: the one in force, drafts, then earlier ones, newest first."""
        return Response(PracticeSetOutput(practice_set_list(), many=True).data)

    @extend_schema(
        operation_id="practice_set_draft",
        request=PracticeDraftInput,
        responses={201: PracticeSetOutput, 422: REFUSED},
    )
    def post(self, request: Request) -> Response:
        """Draft a version."""
        data = _checked(PracticeDraftInput, request)
        row = practice_services.practice_set_draft(actor=self.actor, at=database_now(), **data)
        return Response(PracticeSetOutput(row).data, status=201)


class PracticeSetView(OperationView):
    access = Act("practice", "read")

    @extend_schema(operation_id="practice_set_get", responses={200: PracticeOutput})
    def get(self, _request: Request, public_id: str) -> Response:
        """One version with every value."""
        return _with_values(practice_set_get(public_id))

    @extend_schema(
        operation_id="practice_set_change",
        request=PracticeChangeInput,
        responses={200: PracticeSetOutput, 409: CLASH, 422: REFUSED},
    )
    def put(self, request: Request, public_id: str) -> Response:
        """Change a draft."""
        row, data = practice_set_get(public_id), _checked(PracticeChangeInput, request)
        changed = practice_services.practice_set_change(actor=self.actor, at=database_now(), row=row, **data)
        return Response(PracticeSetOutput(changed).data)


class PracticeForceView(OperationView):
    access = Act("practice", "change")

    @extend_schema(
        operation_id="practice_set_put_in_force",
        request=PracticeForceInput,
        responses={200: PracticeSetOutput, 409: CLASH, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Put a draft or an earlier version in force. Quotes keep the version they were made with."""
        row, data = practice_set_get(public_id), _checked(PracticeForceInput, request)
        changed = practice_services.practice_set_put_in_force(
            actor=self.actor, at=database_now(), row=row, **data
        )
        return Response(PracticeSetOutput(changed).data)


class PracticeEffectsView(OperationView):
    access = Act("practice", "read")

    @extend_schema(operation_id="practice_set_effects", responses={200: PracticeEffectsOutput})
    def get(self, _request: Request, public_id: str) -> Response:
        """Saved floors that would fail or take another profile if this version were in force."""
        effects = effects_of(practice_set_get(public_id), selectors.practice_set_in_force())
        return Response(PracticeEffectsOutput(effects).data)


class PracticeCompareView(OperationView):
    access = Act("practice", "read")

    @extend_schema(
        operation_id="practice_compare",
        parameters=[
            OpenApiParameter(name, str, description="Id of a version; the rules' defaults where left out.")
            for name in ("a", "b")
        ],
        responses={200: PracticeDifferenceOutput(many=True)},
    )
    def get(self, request: Request) -> Response:
        """The values in which two versions differ."""
        one, other = (
            selectors.practice_of(practice_set_get(asked)) if asked else Practice()
            for asked in (request.query_params.get(name, "") for name in ("a", "b"))
        )
        return Response(PracticeDifferenceOutput(differing_rows(one, other), many=True).data)
