"""One view an operation; each reads its input, calls one service or selector, and shows the outcome."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer

from framing.common.access import Act
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import NotThere, Refused
from framing.common.links import link_list
from framing.projects.selectors import project_get
from quotes import selectors, services
from quotes.api import serializers as shapes
from quotes.models import QuoteRevision
from quotes.states import QuoteStage

PAGE_MOST = 100
KEY = OpenApiParameter(
    "Idempotency-Key",
    OpenApiTypes.STR,
    OpenApiParameter.HEADER,
    required=True,
    description="New for each new act, 1 to 80 signs; the same key again gives the same answer.",
)
EITHER = {200: shapes.RevisionWithCostOutput}


def read(shape: type[BaseSerializer[Any]], request: Request) -> dict[str, Any]:
    """The checked input of an operation."""
    form = shape(data=request.data)
    form.is_valid(raise_exception=True)
    data: dict[str, Any] = form.validated_data
    return data


class _RevisionView(OperationView):
    """An operation whose answer is a revision, with cost only for those who may see it."""

    def shown(self, revision: QuoteRevision, status: int = 200) -> Response:
        fresh = selectors.revision_get(revision.public_id)
        cost = selectors.may_see_cost(self.actor, fresh.quote)
        shape = shapes.RevisionWithCostOutput if cost else shapes.RevisionOutput
        return Response(shape(fresh).data, status=status)


class QuoteListView(OperationView):
    access = Act("quote", "read")

    @extend_schema(
        operation_id="quote_list",
        parameters=[
            OpenApiParameter("stage", str, enum=QuoteStage.values),
            OpenApiParameter("search", str),
            OpenApiParameter("page", int),
        ],
        responses=shapes.QuotePageOutput,
    )
    def get(self, request: Request) -> Response:
        """Quotes, newest first, a hundred a page."""
        stage = request.query_params.get("stage", "")
        if stage and stage not in QuoteStage.values:
            raise Refused(f"“{stage[:20]}” is no stage of a quote.", field="stage")
        rows = selectors.quote_list(stage=stage, search=request.query_params.get("search", "")[:100])
        page = Paginator(rows, PAGE_MOST).get_page(request.query_params.get("page"))
        following = page.next_page_number() if page.has_next() else None
        body = {"count": page.paginator.count, "next_page": following, "quotes": page.object_list}
        return Response(shapes.QuotePageOutput(body).data)


class QuoteCreateView(_RevisionView):
    access = Act("draft", "make")

    @extend_schema(
        operation_id="quote_create",
        request=shapes.QuoteCreateInput,
        responses={201: shapes.RevisionWithCostOutput},
    )
    def post(self, request: Request) -> Response:
        """Draw up a quote from a project's floors as saved now."""
        data = read(shapes.QuoteCreateInput, request)
        revision = services.quote_create(
            actor=self.actor,
            project=project_get(data["project"]),
            at=database_now(),
            discount_share=data["discount_share"],
        )
        return self.shown(revision, 201)


class RevisionGetView(_RevisionView):
    access = Act("quote", "read")

    @extend_schema(operation_id="revision_get", responses=EITHER)
    def get(self, _request: Request, public_id: str) -> Response:
        """One revision with its lines."""
        return self.shown(selectors.revision_get(public_id))


class QuoteGetView(_RevisionView):
    access = Act("quote", "read")

    @extend_schema(operation_id="quote_get", responses=EITHER)
    def get(self, _request: Request, public_id: str) -> Response:
        """The newest revision of a quote."""
        return self.shown(selectors.revision_latest(selectors.quote_get(public_id)))


class RevisionChangeView(_RevisionView):
    access = Act("draft", "change")

    @extend_schema(operation_id="revision_change", request=shapes.RevisionChangeInput, responses=EITHER)
    def post(self, request: Request, public_id: str) -> Response:
        """Change a draft's discount, terms or lead time."""
        data = read(shapes.RevisionChangeInput, request)
        revision = selectors.revision_get(public_id)
        return self.shown(
            services.revision_change(actor=self.actor, revision=revision, at=database_now(), **data)
        )


class DraftRepriceView(_RevisionView):
    access = Act("draft", "change")

    @extend_schema(operation_id="draft_reprice", request=None, responses=EITHER)
    def post(self, _request: Request, public_id: str) -> Response:
        """Design a draft's floors as saved now and price them from the book in force."""
        revision = selectors.revision_get(public_id)
        return self.shown(services.draft_reprice(actor=self.actor, revision=revision, at=database_now()))


class ApprovalAskView(OperationView):
    access = Act("draft", "change")

    @extend_schema(
        operation_id="approval_ask", request=shapes.AskInput, responses={201: shapes.ApprovalOutput}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Ask a manager to approve a draft at its total."""
        data = read(shapes.AskInput, request)
        revision = selectors.revision_get(public_id)
        approval = services.approval_ask(
            actor=self.actor, revision=revision, reason=data["reason"], at=database_now()
        )
        return Response(shapes.ApprovalOutput(approval).data, status=201)


class ApprovalDecideView(OperationView):
    access = Act("quote", "approve")

    @extend_schema(
        operation_id="approval_decide", request=shapes.DecideInput, responses=shapes.ApprovalOutput
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Grant or refuse the approval that waits, for the total seen."""
        data = read(shapes.DecideInput, request)
        revision = selectors.revision_get(public_id)
        approval = services.approval_decide(actor=self.actor, revision=revision, at=database_now(), **data)
        return Response(shapes.ApprovalOutput(approval).data)


class RevisionIssueView(_RevisionView):
    access = Act("quote", "issue")

    @extend_schema(
        operation_id="revision_issue", parameters=[KEY], request=shapes.IssueInput, responses=EITHER
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Issue a draft; it never changes after that."""
        data = read(shapes.IssueInput, request)
        revision = services.revision_issue(
            actor=self.actor,
            revision=selectors.revision_get(public_id),
            key=self.idempotency_key,
            at=database_now(),
            release_reason=data["release_reason"],
        )
        return self.shown(revision)


class RevisionReviseView(_RevisionView):
    access = Act("quote", "revise")

    @extend_schema(
        operation_id="revision_revise",
        request=shapes.ReviseInput,
        responses={201: shapes.RevisionWithCostOutput},
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Open the next revision of a quote from its floors as saved now."""
        data = read(shapes.ReviseInput, request)
        quote = selectors.quote_get(public_id)
        revision = services.revision_revise(actor=self.actor, quote=quote, at=database_now(), why=data["why"])
        return self.shown(revision, 201)


class QuoteAcceptView(OperationView):
    access = Act("quote", "accept")

    @extend_schema(
        operation_id="quote_accept",
        parameters=[KEY],
        request=shapes.AcceptInput,
        responses=shapes.AcceptanceOutput,
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Record that the builder accepted; once a quote."""
        data = read(shapes.AcceptInput, request)
        acceptance = services.quote_accept(
            actor=self.actor,
            revision=selectors.revision_get(public_id),
            key=self.idempotency_key,
            at=database_now(),
            **data,
        )
        return Response(shapes.AcceptanceOutput(acceptance).data)


class QuoteLinkMakeView(OperationView):
    access = Act("quote_link", "make")

    @extend_schema(
        operation_id="quote_link_make", request=shapes.QuoteLinkInput, responses={201: shapes.QuoteLinkOutput}
    )
    def post(self, request: Request, public_id: str) -> Response:
        """Make a builder's link; the address is in this answer and nowhere else."""
        data = read(shapes.QuoteLinkInput, request)
        revision = selectors.revision_get(public_id)
        link, address = services.quote_link_make(
            actor=self.actor, revision=revision, for_name=data["for_name"], at=database_now()
        )
        body = {
            "id": link.public_id,
            "for_name": link.for_name,
            "expires_at": link.expires_at,
            "address": address,
        }
        return Response(shapes.QuoteLinkOutput(body).data, status=201)


class QuoteLinkWithdrawView(OperationView):
    access = Act("quote_link", "withdraw")

    @extend_schema(operation_id="quote_link_withdraw", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str, link_id: str) -> Response:
        """Withdraw a link at once."""
        revision = selectors.revision_get(public_id)
        link = link_list(revision).filter(public_id=link_id).first()
        if link is None:
            raise NotThere()
        services.quote_link_withdraw(actor=self.actor, revision=revision, link=link, at=database_now())
        return Response(status=204)


class PriceBookGetView(OperationView):
    access = Act("price_book", "read")

    @extend_schema(operation_id="price_book_get", responses=shapes.PriceBookOutput)
    def get(self, _request: Request) -> Response:
        """The price book in force."""
        return Response(shapes.PriceBookOutput(selectors.price_book_in_force()).data)


class PriceBookImportView(OperationView):
    access = Act("price_book", "change")

    @extend_schema(
        operation_id="price_book_import",
        request=shapes.PriceBookInput,
        responses={201: shapes.PriceBookOutput},
    )
    def post(self, request: Request) -> Response:
        """Put a price book in force, all or nothing."""
        document = read(shapes.PriceBookInput, request)["document"]
        if not isinstance(document, dict):
            raise Refused("A price book document is an object.", field="document")
        book = services.price_book_import(actor=self.actor, data=document, at=database_now())
        return Response(shapes.PriceBookOutput(book).data, status=201)
