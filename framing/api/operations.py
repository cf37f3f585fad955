"""The root operations of the API: previews, the catalogue, builders, projects and floors."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.pagination import LimitOffsetPagination
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api import serializers as shapes
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.engine.catalogue import load_catalogue
from framing.engine.document import json_schema
from framing.projects import selectors, services
from framing.projects.models import Floor
from framing.projects.preview import preview_document, preview_json
from framing.projects.profile_figures import profile_figures

FLOOR_DOCUMENT = {
    "type": "object",
    "description": "A floor document; its schema is at /api/v1/floor-schema/.",
}
STALE = OpenApiResponse(description="Somebody saved a newer version; `errors` tells what differs.")
REFUSED = OpenApiResponse(description="Not possible as asked; `errors` lists the places.")


class Pages(LimitOffsetPagination):
    default_limit = 50
    max_limit = 200


def _checked(shape: type[serializers.Serializer[Any]], data: Any) -> dict[str, Any]:
    found = shape(data=data)
    found.is_valid(raise_exception=True)
    return dict(found.validated_data)


class PreviewView(OperationView):
    """Design a floor without saving it."""

    access = Act("floor", "read")

    @extend_schema(
        operation_id="preview",
        request={"application/json": FLOOR_DOCUMENT},
        responses={200: shapes.PreviewOutput},
    )
    def post(self, request: Request) -> Response:
        """Size, lay out and count a floor; one that can't be built is answered with its problems."""
        preview = preview_document(request.data, selectors.practice_in_force())
        return Response(preview_json(preview))


class FloorSchemaView(OperationView):
    access = Act("floor", "read")

    @extend_schema(operation_id="floor_schema", responses={200: FLOOR_DOCUMENT})
    def get(self, request: Request) -> Response:
        """The JSON Schema of floor documents, version 1."""
        del request
        return Response(json_schema(), content_type="application/schema+json")


class ProfileListView(OperationView):
    access = Act("catalogue", "read")

    @extend_schema(operation_id="profile_list", responses={200: shapes.ProfileOutput(many=True)})
    def get(self, request: Request) -> Response:
        """The joist profiles of the catalogue with what one ply of each can do."""
        del request
        rows = profile_figures(load_catalogue(), selectors.practice_in_force())
        return Response(shapes.ProfileOutput(rows, many=True).data)


class BuilderListView(OperationView):
    access = Act("project", "read")

    @extend_schema(operation_id="builder_list", responses={200: shapes.BuilderOutput(many=True)})
    def get(self, request: Request) -> Response:
        """Builders by name, in pages of `limit` from `offset`."""
        pages = Pages()
        rows = pages.paginate_queryset(selectors.builder_list(), request, view=self) or []
        return pages.get_paginated_response(shapes.BuilderOutput(rows, many=True).data)

    @extend_schema(
        operation_id="builder_create",
        request=shapes.BuilderInput,
        responses={201: shapes.BuilderOutput, 422: REFUSED},
    )
    def post(self, request: Request) -> Response:
        """Enter a builder."""
        data = _checked(shapes.BuilderInput, request.data)
        builder = services.builder_create(actor=self.actor, at=database_now(), **data)
        return Response(shapes.BuilderOutput(builder).data, status=201)


class BuilderView(OperationView):
    access = Act("project", "read")

    @extend_schema(operation_id="builder_get", responses={200: shapes.BuilderOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """One builder."""
        del request
        return Response(shapes.BuilderOutput(selectors.builder_get(public_id)).data)

    @extend_schema(
        operation_id="builder_change",
        request=shapes.BuilderInput,
        responses={200: shapes.BuilderOutput, 422: REFUSED},
    )
    def put(self, request: Request, public_id: str) -> Response:
        """Change a builder; fields left out stay as they are where they may be empty."""
        data = _checked(shapes.BuilderInput, request.data)
        builder = selectors.builder_get(public_id)
        changed = services.builder_change(actor=self.actor, at=database_now(), builder=builder, **data)
        return Response(shapes.BuilderOutput(changed).data)


class ProjectListView(OperationView):
    access = Act("project", "read")

    @extend_schema(operation_id="project_list", responses={200: shapes.ProjectOutput(many=True)})
    def get(self, request: Request) -> Response:
        """Projects, newest first, in pages of `limit` from `offset`."""
        pages = Pages()
        rows = pages.paginate_queryset(selectors.project_list(), request, view=self) or []
        return pages.get_paginated_response(shapes.ProjectOutput(rows, many=True).data)

    @extend_schema(
        operation_id="project_create",
        request=shapes.ProjectInput,
        responses={201: shapes.ProjectOutput, 422: REFUSED},
    )
    def post(self, request: Request) -> Response:
        """Begin a project with its site."""
        data = _checked(shapes.ProjectInput, request.data)
        project = services.project_create(
            actor=self.actor,
            at=database_now(),
            builder=selectors.builder_get(data["builder"]),
            name=data["name"],
            units=data["units"],
            site=services.SiteAddress(**data["site"]),
        )
        return Response(shapes.ProjectOutput(project).data, status=201)


class ProjectView(OperationView):
    access = Act("project", "read")

    @extend_schema(operation_id="project_get", responses={200: shapes.ProjectOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """One project."""
        del request
        return Response(shapes.ProjectOutput(selectors.project_get(public_id)).data)


class FloorListView(OperationView):
    access = Act("floor", "read")

    @extend_schema(operation_id="floor_list", responses={200: shapes.FloorOutput(many=True)})
    def get(self, request: Request, public_id: str) -> Response:
        """Floors of a project in order."""
        del request
        project = selectors.project_get(public_id)
        return Response(shapes.FloorOutput(project.floors.all(), many=True).data)

    @extend_schema(
        operation_id="floor_create",
        request={"application/json": FLOOR_DOCUMENT},
        responses={201: shapes.FloorDocumentOutput, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Add a floor to a project from its document."""
        project = selectors.project_get(public_id)
        floor = services.floor_create(
            actor=self.actor, at=database_now(), project=project, document=request.data
        )
        return Response(_with_document(floor), status=201)


class FloorView(OperationView):
    access = Act("floor", "read")

    @extend_schema(operation_id="floor_get", responses={200: shapes.FloorDocumentOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """A floor with the document of its newest version."""
        del request
        return Response(_with_document(selectors.floor_get(public_id)))

    @extend_schema(
        operation_id="floor_save",
        request=shapes.FloorSaveInput,
        responses={200: shapes.FloorDocumentOutput, 409: STALE, 422: REFUSED},
    )
    def put(self, request: Request, public_id: str) -> Response:
        """Save the next version of a floor, made from `version`."""
        data = _checked(shapes.FloorSaveInput, request.data)
        floor = services.floor_save(
            actor=self.actor,
            at=database_now(),
            floor=selectors.floor_get(public_id),
            document=data["document"],
            base_version=data["version"],
        )
        return Response(_with_document(floor))


def _with_document(floor: Floor) -> dict[str, Any]:
    document = selectors.floor_version(floor).document
    return {**shapes.FloorOutput(floor).data, "document": document}
