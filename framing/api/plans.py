"""Operations of plan files: adding one, what was read of it, its pages, where they lie, what lies under a floor."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.renderers import PngRenderer
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.projects import plan_selectors, plan_services, selectors
from framing.projects.models import PlanFile, PlanKind, PlanPage, PlanState
from framing.projects.plan_views import BODY_MOST, picture_response

REFUSED = OpenApiResponse(description="Not possible as asked; `detail` says why.")
TOO_BIG = OpenApiResponse(description="The file has over 25,000,000 bytes.")
LOCKED = OpenApiResponse(description="The page is locked; unlock it first.")


class PlacementInput(serializers.Serializer[Any]):
    """Where a page lies; fields left out stay. Lengths in sixteenths of an inch of the building."""

    inches_per_px = serializers.FloatField(required=False, allow_null=True, help_text="null: no scale yet")
    x_16 = serializers.IntegerField(required=False, help_text="lower left corner of the picture as it lies")
    y_16 = serializers.IntegerField(required=False)
    quarter_turns = serializers.IntegerField(required=False, help_text="against the clock, 0 to 3")
    dim = serializers.FloatField(required=False, help_text="0.1 faint to 1 full")
    locked = serializers.BooleanField(required=False)


class PlanPageOutput(serializers.ModelSerializer[PlanPage]):
    """A page of a plan as a picture, and where it lies under floors."""

    class Meta:
        model = PlanPage
        fields = (
            "public_id", "number", "width_px", "height_px", "inches_per_px", "x_16", "y_16", "quarter_turns",
            "dim", "locked",
        )  # fmt: skip


class PlanFileOutput(serializers.ModelSerializer[PlanFile]):
    """A file that somebody brought: how far its reading is, or why it can't be read."""

    kind = serializers.ChoiceField(choices=PlanKind.values)
    state = serializers.ChoiceField(choices=PlanState.values)
    uploaded_by = serializers.CharField(source="uploaded_by.name")

    class Meta:
        model = PlanFile
        fields = ("public_id", "name", "kind", "state", "message", "size", "uploaded_by", "made_at")


class PlanFileWholeOutput(PlanFileOutput):
    facts = serializers.DictField(help_text="What its reader found; its parts depend on the kind.")
    pages = PlanPageOutput(many=True)

    class Meta(PlanFileOutput.Meta):
        fields = (*PlanFileOutput.Meta.fields, "facts", "pages")  # type: ignore[assignment]


class PlanFileInput(serializers.Serializer[Any]):
    file = serializers.FileField()


class UnderInput(serializers.Serializer[Any]):
    page = serializers.CharField(allow_null=True, help_text="A page's public_id; null takes it away.")


class UnderOutput(serializers.Serializer[Any]):
    page = PlanPageOutput(allow_null=True)


def _checked(shape: type[serializers.Serializer[Any]], data: Any) -> dict[str, Any]:
    found = shape(data=data)
    found.is_valid(raise_exception=True)
    return dict(found.validated_data)


class PlanListView(OperationView):
    access = Act("project", "read")
    body_most = BODY_MOST
    parser_classes = (MultiPartParser,)

    @extend_schema(operation_id="plan_list", responses={200: PlanFileOutput(many=True)})
    def get(self, request: Request, public_id: str) -> Response:
        """The plans of a project, newest first."""
        del request
        rows = plan_selectors.plan_file_list(selectors.project_get(public_id))
        return Response(PlanFileOutput(rows, many=True).data)

    @extend_schema(
        operation_id="plan_add",
        request={"multipart/form-data": PlanFileInput},
        responses={201: PlanFileOutput, 413: TOO_BIG, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Add a PDF, PNG, JPEG, DXF, CSV or floor document; it is read soon after. Equal bytes are one plan."""
        file = _checked(PlanFileInput, request.data)["file"]
        plan_file = plan_services.plan_file_add(
            actor=self.actor,
            at=database_now(),
            project=selectors.project_get(public_id),
            name=file.name or "",
            data=file.read(plan_services.FILE_MOST + 1),
        )
        return Response(PlanFileOutput(plan_file).data, status=201)


class PlanView(OperationView):
    access = Act("project", "read")

    @extend_schema(operation_id="plan_get", responses={200: PlanFileWholeOutput})
    def get(self, request: Request, public_id: str, plan: str) -> Response:
        """One plan with what was found in it and its pages."""
        del request
        return Response(PlanFileWholeOutput(plan_selectors.plan_file_get(public_id, plan)).data)

    @extend_schema(operation_id="plan_remove", responses={204: None})
    def delete(self, request: Request, public_id: str, plan: str) -> Response:
        """Take a plan away; its pages go, floors that were traced over them stay."""
        del request
        plan_file = plan_selectors.plan_file_get(public_id, plan)
        plan_services.plan_file_remove(actor=self.actor, at=database_now(), plan_file=plan_file)
        return Response(status=204)


class PlanPageView(OperationView):
    access = Act("project", "read")

    @extend_schema(operation_id="plan_page_get", responses={200: PlanPageOutput})
    def get(self, request: Request, page: str) -> Response:
        """A page and where it lies."""
        del request
        return Response(PlanPageOutput(plan_selectors.plan_page_get(page)).data)

    @extend_schema(
        operation_id="plan_page_place",
        request=PlacementInput,
        responses={200: PlanPageOutput, 409: LOCKED, 422: REFUSED},
    )
    def patch(self, request: Request, page: str) -> Response:
        """Say where a page lies; the last word holds."""
        found = plan_selectors.plan_page_get(page)
        placement = _checked(PlacementInput, request.data)
        placed = plan_services.plan_page_place(actor=self.actor, page=found, placement=placement)
        return Response(PlanPageOutput(placed).data)


class PlanPictureView(OperationView):
    access = Act("project", "read")
    renderer_classes = (PngRenderer,)

    @extend_schema(operation_id="plan_picture", responses={(200, "image/png"): OpenApiTypes.BINARY})
    def get(self, request: Request, page: str) -> HttpResponseBase:
        """The picture of a page, PNG of our own making."""
        del request
        return picture_response(plan_selectors.plan_page_get(page))


class FloorUnderView(OperationView):
    access = Act("floor", "read")

    @extend_schema(operation_id="floor_under_get", responses={200: UnderOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """The page that lies under a floor."""
        del request
        page = plan_selectors.floor_under(selectors.floor_get(public_id))
        return Response(UnderOutput({"page": page}).data)

    @extend_schema(
        operation_id="floor_under_set", request=UnderInput, responses={200: UnderOutput, 422: REFUSED}
    )
    def put(self, request: Request, public_id: str) -> Response:
        """Lay a page under a floor in place of the one before, or take it away."""
        floor = selectors.floor_get(public_id)
        named = _checked(UnderInput, request.data)["page"]
        page = None if named is None else plan_selectors.plan_page_get(named, floor.project)
        plan_services.floor_underlay_set(actor=self.actor, floor=floor, page=page)
        return Response(UnderOutput({"page": page}).data)
