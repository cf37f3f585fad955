"""The managers' queue, and a question and its answer before the decision, as operations."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from quotes import selectors, services
from quotes.api import serializers as shapes
from quotes.api.views import read
from quotes.approval_reads import with_offers

QUEUE_MOST = 200


class ApprovalListView(OperationView):
    access = Act("quote", "approve")

    @extend_schema(operation_id="approval_list", responses=shapes.ApprovalQueueOutput(many=True))
    def get(self, _request: Request) -> Response:
        """Approvals that wait for a manager's word, oldest first; those asked back are not among them."""
        rows = with_offers(selectors.approvals_waiting())[:QUEUE_MOST]
        return Response(shapes.ApprovalQueueOutput(rows, many=True).data)


class ApprovalQuestionView(OperationView):
    access = Act("quote", "approve")

    @extend_schema(
        operation_id="approval_question",
        request=shapes.WordInput,
        responses={201: shapes.ApprovalWordOutput},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Ask the seller back before deciding."""
        text = read(shapes.WordInput, request)["text"]
        revision = selectors.revision_get(public_id)
        word = services.approval_question(actor=self.actor, revision=revision, text=text, at=database_now())
        return Response(shapes.ApprovalWordOutput(word).data, status=201)


class ApprovalAnswerView(OperationView):
    access = Act("draft", "change")

    @extend_schema(
        operation_id="approval_answer", request=shapes.WordInput, responses={201: shapes.ApprovalWordOutput}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Answer a manager's question."""
        text = read(shapes.WordInput, request)["text"]
        revision = selectors.revision_get(public_id)
        word = services.approval_answer(actor=self.actor, revision=revision, text=text, at=database_now())
        return Response(shapes.ApprovalWordOutput(word).data, status=201)
