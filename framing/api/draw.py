"""Operations of the plan editor: answers to a drawing, places of a bill line, own drafts, versions, who is there."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import serializers
from rest_framework.request import Request

from framing.api import draw_shapes as shapes
from framing.common.access import Act, may
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.projects import draw_selectors, draw_services, selectors
from framing.projects.draw_answer import draw_places
from framing.projects.draw_reports import (
    answer_json,
    changed_json,
    compared_json,
    kept_json,
    presence_json,
    version_json,
)
from framing.projects.draw_requests import json_answer

REFUSED = OpenApiResponse(description="Not possible as asked; `detail` says why.")
TOO_BIG = OpenApiResponse(description="The document has over 1,000,000 bytes.")


def _checked(shape: type[serializers.Serializer[Any]], data: Any) -> dict[str, Any]:
    found = shape(data=data)
    found.is_valid(raise_exception=True)
    return dict(found.validated_data)


class DrawAnswerView(OperationView):
    """What a drawing comes to; nothing is saved. Ready JSON, as large floors have thousands of numbers."""

    access = Act("floor", "read")

    @extend_schema(
        operation_id="draw_answer", request=shapes.DrawInput, responses={200: shapes.DrawAnswerOutput}
    )
    def post(self, request: Request, public_id: str) -> HttpResponse:
        """Design a drawing of a project: where everything is, what fails, what it takes; also why it can't be built."""
        project = selectors.project_get(public_id)
        data = _checked(shapes.DrawInput, request.data)
        priced = may(self.actor.audience, "price_book", "read")
        return json_answer(answer_json(data["sequence"], data["document"], project, priced=priced))


class DrawPlacesView(OperationView):
    access = Act("floor", "read")

    @extend_schema(
        operation_id="draw_places", request=shapes.PlacesInput, responses={200: shapes.PlacesOutput}
    )
    def post(self, request: Request, public_id: str) -> HttpResponse:
        """Where the things of one bill line of a drawing are; none for a code that its bill lacks."""
        selectors.project_get(public_id)
        data = _checked(shapes.PlacesInput, request.data)
        places = draw_places(data["document"], data["code"], selectors.practice_in_force())
        return json_answer({"code": data["code"], "places": places})


class DrawChangeView(OperationView):
    access = Act("floor", "read")

    @extend_schema(
        operation_id="draw_change",
        request=shapes.ChangeInput,
        responses={200: shapes.ChangedOutput, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str) -> HttpResponse:
        """Mirror or turn a drawing as a whole, or put it into other units; nothing is saved."""
        selectors.project_get(public_id)
        return json_answer(changed_json(_checked(shapes.ChangeInput, request.data)))


class DraftView(OperationView):
    """The own draft of a floor, seen by nobody else but in how much it differs."""

    access = Act("floor", "change")

    @extend_schema(operation_id="draft_get", responses={200: shapes.OwnDraftOutput})
    def get(self, request: Request, public_id: str) -> HttpResponse:
        """The own draft, or the newest version where there is none."""
        del request
        floor = selectors.floor_get(public_id)
        found = draw_selectors.opened(floor, selectors.floor_version(floor), self.actor.user)
        body = {"document": found.document, "base_version": found.base_version}
        return json_answer({**body, "from_draft": found.from_draft})

    @extend_schema(
        operation_id="draft_keep",
        request=shapes.DraftInput,
        responses={200: shapes.DraftOutput, 413: TOO_BIG, 422: REFUSED},
    )
    def put(self, request: Request, public_id: str) -> HttpResponse:
        """Keep any document as the own draft, in place of the one before; nothing is saved as a version."""
        floor = selectors.floor_get(public_id)
        data = _checked(shapes.DraftInput, request.data)
        kept = draw_services.draft_keep(actor=self.actor, at=database_now(), floor=floor, **data)
        return json_answer(kept_json(kept))

    @extend_schema(operation_id="draft_drop", responses={204: None})
    def delete(self, request: Request, public_id: str) -> HttpResponse:
        """Let go of the own draft."""
        del request
        draw_services.draft_drop(actor=self.actor, floor=selectors.floor_get(public_id))
        return HttpResponse(status=204)


class VersionListView(OperationView):
    access = Act("floor", "read")

    @extend_schema(operation_id="version_list", responses={200: shapes.VersionsOutput})
    def get(self, request: Request, public_id: str) -> HttpResponse:
        """The saved versions of a floor, newest first."""
        del request
        return json_answer({"versions": draw_selectors.version_list(selectors.floor_get(public_id))})


class VersionView(OperationView):
    access = Act("floor", "read")

    @extend_schema(operation_id="version_get", responses={200: shapes.VersionOutput})
    def get(self, request: Request, public_id: str, number: int) -> HttpResponse:
        """One saved version: its document, its drawing, and what the newest version has otherwise."""
        del request
        return json_answer(version_json(selectors.floor_get(public_id), number))

    @extend_schema(
        operation_id="version_compare",
        request=shapes.CompareInput,
        responses={200: shapes.ComparedOutput, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str, number: int) -> HttpResponse:
        """Compare a drawing with a saved version and make one of both; nothing is saved."""
        data = _checked(shapes.CompareInput, request.data)
        return json_answer(compared_json(selectors.floor_get(public_id), number, data))


class PresenceView(OperationView):
    access = Act("floor", "read")

    @extend_schema(
        operation_id="presence_ask",
        request=shapes.PresenceInput,
        responses={200: shapes.PresenceOutput, 422: REFUSED},
    )
    def post(self, request: Request, public_id: str) -> HttpResponse:
        """Tell that the floor is open for drawing; who else is there, and which version is the newest."""
        floor = selectors.floor_get(public_id)
        data = _checked(shapes.PresenceInput, request.data)
        others = draw_services.presence_ask(actor=self.actor, at=database_now(), floor=floor, **data)
        return json_answer(presence_json(floor, others))
