"""Operations on saved filters, on what lists begin with, and lists as files."""

from __future__ import annotations

from typing import Any

from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.renderers import CsvRenderer, XlsxRenderer
from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotAllowed
from framing.common.listing_saved import (
    list_start_set,
    saved_filter_change,
    saved_filter_make,
    saved_filter_remove,
    saved_get,
    saved_list,
    saved_read,
)
from framing.common.listing_views import file_response
from framing.common.lists_models import NAME_MOST, QUERY_MOST, SavedFilter
from framing.common.models import User

LISTS = ("builders", "projects", "quotes", "orders", "deliveries")
REFUSED = OpenApiResponse(description="Not possible as asked; `field` says where.")
TAKEN = OpenApiResponse(description="There is a filter of this name for the list already.")
ADDRESS = "What stands behind `?` in the list's address; what the list can't use is left out."


class SavedFilterOutput(serializers.ModelSerializer[SavedFilter]):
    """A saved filter. `is_start`: the list begins with it for the reader. `problems`: what of it is gone, in words."""

    id = serializers.CharField(source="public_id")
    list = serializers.ChoiceField(choices=LISTS, source="list_key")
    owner = serializers.CharField(source="owner.name")
    is_start = serializers.BooleanField()
    problems = serializers.SerializerMethodField()

    class Meta:
        model = SavedFilter
        fields = ("id", "list", "name", "query", "shared", "owner", "is_start", "problems")

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_problems(self, row: SavedFilter) -> Any:
        return saved_read(row, self.context["reader"]).said


class SavedFilterMakeInput(serializers.Serializer[Any]):
    list = serializers.ChoiceField(choices=LISTS)
    name = serializers.CharField(max_length=NAME_MOST)
    query = serializers.CharField(allow_blank=True, max_length=QUERY_MOST, help_text=ADDRESS)
    shared = serializers.BooleanField(
        default=False, help_text="All staff who may read the list find it there."
    )


class SavedFilterChangeInput(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=NAME_MOST)
    shared = serializers.BooleanField()
    query = serializers.CharField(
        required=False, allow_blank=True, max_length=QUERY_MOST, help_text=f"{ADDRESS} Absent: as it is."
    )


class _SavedView(OperationView):
    access = Act("saved_filter", "read")

    @property
    def reader(self) -> User:
        if self.actor.user is None:
            raise NotAllowed("Only members of staff keep filters.")
        return self.actor.user

    def shown(self, public_id: str, status: int = 200) -> Response:
        row = saved_get(self.reader, public_id)
        return Response(SavedFilterOutput(row, context={"reader": self.reader}).data, status=status)

    def read(self, shape: type[serializers.Serializer[Any]]) -> dict[str, Any]:
        form = shape(data=self.request.data)
        form.is_valid(raise_exception=True)
        return dict(form.validated_data)


class SavedFilterListView(_SavedView):
    @extend_schema(
        operation_id="saved_filter_list",
        parameters=[OpenApiParameter("list", str, enum=LISTS, description="Of one list; absent: of all.")],
        responses={200: SavedFilterOutput(many=True)},
    )
    def get(self, request: Request) -> Response:
        """Filters of the reader, and those shared, of lists that the role may read."""
        rows = saved_list(self.reader, request.query_params.get("list", "").replace("\x00", ""))
        return Response(SavedFilterOutput(rows, many=True, context={"reader": self.reader}).data)

    @extend_schema(
        operation_id="saved_filter_make",
        request=SavedFilterMakeInput,
        responses={201: SavedFilterOutput, 409: TAKEN, 422: REFUSED},
    )
    def post(self, request: Request) -> Response:
        """Keep a list's address under a name."""
        del request
        data = self.read(SavedFilterMakeInput)
        row = saved_filter_make(actor=self.actor, at=database_now(), key=data.pop("list"), **data)
        return self.shown(row.public_id, 201)


class SavedFilterView(_SavedView):
    @extend_schema(operation_id="saved_filter_get", responses={200: SavedFilterOutput})
    def get(self, request: Request, public_id: str) -> Response:
        """One filter."""
        del request
        return self.shown(public_id)

    @extend_schema(
        operation_id="saved_filter_change",
        request=SavedFilterChangeInput,
        responses={200: SavedFilterOutput, 409: TAKEN, 422: REFUSED},
    )
    def put(self, request: Request, public_id: str) -> Response:
        """Rename a filter, share it or take it back; its maker may, and a manager where it is shared."""
        del request
        row = saved_get(self.reader, public_id)
        saved_filter_change(actor=self.actor, at=database_now(), row=row, **self.read(SavedFilterChangeInput))
        return self.shown(public_id)

    @extend_schema(operation_id="saved_filter_remove", responses={204: None})
    def delete(self, request: Request, public_id: str) -> Response:
        """Take a filter away; lists that began with it begin as usual."""
        del request
        saved_filter_remove(actor=self.actor, at=database_now(), row=saved_get(self.reader, public_id))
        return Response(status=204)


class SavedFilterStartView(_SavedView):
    access = Act("saved_filter", "start")

    @extend_schema(operation_id="list_start_set", request=None, responses={200: SavedFilterOutput})
    def post(self, request: Request, public_id: str) -> Response:
        """Let the reader's list begin with this filter."""
        del request
        row = saved_get(self.reader, public_id)
        list_start_set(actor=self.actor, at=database_now(), key=row.list_key, row=row)
        return self.shown(public_id)


class ListStartView(_SavedView):
    access = Act("saved_filter", "start")

    @extend_schema(operation_id="list_start_clear", responses={204: None})
    def delete(self, request: Request, key: str) -> Response:
        """Let the reader's list begin as usual."""
        del request
        list_start_set(actor=self.actor, at=database_now(), key=key, row=None)
        return Response(status=204)


class _FileView(OperationView):
    """A list as a file, by the same address as its page."""

    renderer_classes = (XlsxRenderer, CsvRenderer, JSONRenderer)


def file_view(key: str, object_: str) -> type[_FileView]:
    """The operation that hands out one list."""

    class ListFileView(_FileView):
        access = Act(object_, "read")

        @extend_schema(
            operation_id=f"{key}_file",
            description=f"The list of {key} as its page shows it, by the same address: 5,000 rows at most.",
            parameters=[OpenApiParameter("form", str, OpenApiParameter.PATH, enum=["xlsx", "csv"])],
            responses={
                (200, "text/csv"): OpenApiTypes.STR,
                (200, XlsxRenderer.media_type): OpenApiTypes.BINARY,
                422: OpenApiResponse(description="More rows than a file takes."),
            },
        )
        def get(self, request: Request, form: str) -> FileResponse:
            return file_response(request, key, form)

    return ListFileView
