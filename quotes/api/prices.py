"""Operations on price books: read, files out and in, draft, change, review, put in force; what one would change."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from framing.api.renderers import CsvRenderer, XlsxRenderer
from framing.common.access import Act, may
from framing.common.apiview import OperationView
from framing.common.clock import database_now
from framing.common.errors import Refused
from quotes import selectors, services
from quotes.api import price_shapes as shapes
from quotes.api.parsers import CsvParser, XlsxParser
from quotes.api.views import read
from quotes.models import PriceBook
from quotes.price_changes import changes_between
from quotes.price_documents import PriceBookDocument
from quotes.price_effects import price_effects
from quotes.price_files import CSV_TYPE, XLSX_TYPE, PriceRowsRefused, csv_of, read_price_file, xlsx_of
from quotes.price_reads import document_of, price_book_get, price_book_list

REFUSED = OpenApiResponse(description="Not possible as asked; `errors` lists the places.")
VERSIONS_MOST = 200
BOOK = {200: shapes.PriceBookVersionOutput, 422: REFUSED}
FILE = {(XLSX_TYPE): OpenApiTypes.BINARY, "text/csv": OpenApiTypes.BINARY}


class _BookView(OperationView):
    """An operation whose answer is a version without its rows."""

    def shown(self, book: PriceBook, status: int = 200) -> Response:
        return Response(shapes.PriceBookVersionOutput(book).data, status=status)

    @property
    def costs(self) -> bool:
        return may(self.actor.audience, "cost", "read", own=False)

    @staticmethod
    def document(request: Request) -> dict[str, Any]:
        data = read(shapes.DocumentInput, request)["document"]
        if not isinstance(data, dict):
            raise Refused("A price book document is an object.", field="document")
        return data


class PriceBookListView(OperationView):
    access = Act("price_book", "read")

    @extend_schema(operation_id="price_book_list", responses=shapes.PriceBookVersionOutput(many=True))
    def get(self, _request: Request) -> Response:
        """Versions of the price book: what is worked on first, then what holds, the latest first."""
        rows = price_book_list()[:VERSIONS_MOST]
        return Response(shapes.PriceBookVersionOutput(rows, many=True).data)


class PriceBookVersionView(_BookView):
    access = Act("price_book", "read")

    @extend_schema(operation_id="price_book_version", responses=shapes.PriceBookWholeOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """One version with its document; costs only for those who may see all of them."""
        book = price_book_get(public_id)
        data = document_of(book).model_dump(mode="json")
        if not self.costs:
            shapes.drop_costs(data)
        head = shapes.PriceBookVersionOutput(book).data
        return Response({**head, "document": data})


class PriceBookDraftView(_BookView):
    access = Act("price_book", "change")

    @extend_schema(
        operation_id="price_book_draft",
        request=shapes.DocumentInput,
        responses={201: shapes.PriceBookVersionOutput, 422: REFUSED},
    )
    def post(self, request: Request) -> Response:
        """Keep a document as a draft, the next version of its name; `number` in it is not heeded."""
        data = self.document(request)
        return self.shown(services.price_book_draft(actor=self.actor, data=data, at=database_now()), 201)


class PriceBookChangeView(_BookView):
    access = Act("price_book", "change")

    @extend_schema(operation_id="price_book_change", request=shapes.PriceBookChangeInput, responses=BOOK)
    def post(self, request: Request, public_id: str) -> Response:
        """Give a draft the contents of a document, if it still is as it was at `edit`."""
        edit = read(shapes.PriceBookChangeInput, request)["edit"]
        book = services.price_book_change(
            actor=self.actor,
            book=price_book_get(public_id),
            data=self.document(request),
            edit=edit,
            at=database_now(),
        )
        return self.shown(book)


class PriceBookSendView(_BookView):
    access = Act("price_book", "change")

    @extend_schema(operation_id="price_book_send", request=shapes.SendInput, responses=BOOK)
    def post(self, request: Request, public_id: str) -> Response:
        """Send a draft to review with a note."""
        data = read(shapes.SendInput, request)
        book = services.price_book_send(
            actor=self.actor, book=price_book_get(public_id), at=database_now(), **data
        )
        return self.shown(book)


class PriceBookGiveBackView(_BookView):
    access = Act("price_book", "change")

    @extend_schema(operation_id="price_book_give_back", request=shapes.GiveBackInput, responses=BOOK)
    def post(self, request: Request, public_id: str) -> Response:
        """Make what is in review a draft again."""
        data = read(shapes.GiveBackInput, request)
        book = services.price_book_give_back(
            actor=self.actor, book=price_book_get(public_id), at=database_now(), **data
        )
        return self.shown(book)


class PriceBookForceView(_BookView):
    access = Act("price_book", "put_in_force")

    @extend_schema(operation_id="price_book_put_in_force", request=shapes.ForceInput, responses=BOOK)
    def post(self, request: Request, public_id: str) -> Response:
        """Put what was reviewed in force from a day on; the open one before it ends with that day."""
        data = read(shapes.ForceInput, request)
        book = services.price_book_put_in_force(
            actor=self.actor, book=price_book_get(public_id), at=database_now(), **data
        )
        return self.shown(book)


class PriceBookDiscardView(OperationView):
    access = Act("price_book", "change")

    @extend_schema(operation_id="price_book_discard", request=None, responses={204: None})
    def post(self, _request: Request, public_id: str) -> Response:
        """Throw a draft away."""
        services.price_book_discard(actor=self.actor, book=price_book_get(public_id), at=database_now())
        return Response(status=204)


class PriceBookXlsxView(_BookView):
    access = Act("price_book", "read")
    renderer_classes = (XlsxRenderer,)

    @extend_schema(operation_id="price_book_xlsx", responses={(200, XLSX_TYPE): OpenApiTypes.BINARY})
    def get(self, _request: Request, public_id: str) -> HttpResponse:
        """A version as a workbook; without costs for those who may not see them."""
        book = price_book_get(public_id)
        data = xlsx_of(document_of(book), made_at=book.created_at, costs=self.costs)
        return HttpResponse(data, content_type=XLSX_TYPE)


class PriceBookCsvView(_BookView):
    access = Act("price_book", "read")
    renderer_classes = (CsvRenderer,)

    @extend_schema(operation_id="price_book_csv", responses={(200, "text/csv"): OpenApiTypes.STR})
    def get(self, _request: Request, public_id: str) -> HttpResponse:
        """A version as CSV in UTF-8 with its mark; without costs for those who may not see them."""
        document = document_of(price_book_get(public_id))
        return HttpResponse(csv_of(document, costs=self.costs), content_type=CSV_TYPE)


class _FileView(_BookView):
    """An operation on a file as its body: a workbook or CSV."""

    parser_classes = (XlsxParser, CsvParser)

    @staticmethod
    def uploaded(request: Request) -> PriceBookDocument:
        """The document in the body. Raises Refused with every wrong cell, by row and column."""
        data: Any = request.data
        try:
            return read_price_file(data if isinstance(data, bytes) else b"")
        except PriceRowsRefused as error:
            detail = [{"place": place, "message": message} for place, message in error.problems]
            raise Refused(f"The file was not taken. {error}", detail=detail) from error


class PriceFileDraftView(_FileView):
    access = Act("price_book", "change")

    @extend_schema(
        operation_id="price_file_draft",
        request=FILE,
        responses={201: shapes.PriceBookVersionOutput, 422: REFUSED},
    )
    def post(self, request: Request) -> Response:
        """Keep what a file holds as a draft."""
        data = self.uploaded(request).model_dump()
        return self.shown(services.price_book_draft(actor=self.actor, data=data, at=database_now()), 201)


class PriceFilePreviewView(_FileView):
    access = Act("price_book", "change")

    @extend_schema(
        operation_id="price_file_preview",
        request=FILE,
        responses={200: shapes.PriceComparedOutput, 422: REFUSED},
    )
    def post(self, request: Request) -> Response:
        """What a file would change against the book in force, and make of open quotes. Nothing is stored."""
        return compared(self.uploaded(request))


class PriceBookChangesView(OperationView):
    access = Act("price_book", "change")

    @extend_schema(operation_id="price_book_changes", responses=shapes.PriceComparedOutput)
    def get(self, _request: Request, public_id: str) -> Response:
        """What a version changes against the book in force, and would make of open quotes."""
        return compared(document_of(price_book_get(public_id)))


def compared(document: PriceBookDocument) -> Response:
    """The answer of both: changes row by row, then open quotes with their totals."""
    holding = document_of(selectors.price_book_in_force())
    effects = price_effects(document)
    body = {
        "against": f"{holding.name} {holding.number}",
        "changes": [shapes.change_data(change) for change in changes_between(holding, document)],
        "open_quotes": effects.count,
        "effects": [shapes.effect_data(effect) for effect in effects.rows],
    }
    return Response(shapes.PriceComparedOutput(body).data)
