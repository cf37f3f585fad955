"""Pages that show price books: the one in force, every version, what a version changes, and files of it."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from framing.common.access import grants, may
from framing.common.audit import audit_list
from framing.common.clock import database_now
from framing.common.zones import company_day
from quotes.models import PriceBook
from quotes.price_changes import PARTS, Change, changes_between, without_costs
from quotes.price_documents import PriceBookDocument
from quotes.price_effects import price_effects
from quotes.price_files import CSV_TYPE, XLSX_TYPE, csv_of, xlsx_of
from quotes.price_forms import GiveBackForm, SendForm
from quotes.price_reads import document_of, price_book_get, price_book_list
from quotes.views import actor_of

VERSIONS_MOST = 60
DEEDS = {
    "price_book_import": "imported it and put it in force",
    "price_book_draft": "drafted it",
    "price_book_change": "changed the draft",
    "price_book_send": "sent it to review",
    "price_book_give_back": "gave it back",
    "price_book_put_in_force": "put it in force",
}


def sees_costs(request: HttpRequest) -> bool:
    """Costs of the price book: those who may see all costs."""
    return may(actor_of(request).audience, "cost", "read", own=False)


def may_change(request: HttpRequest) -> bool:
    return may(actor_of(request).audience, "price_book", "change")


def in_force(today: date) -> PriceBook | None:
    """The book that holds, with its rows."""
    return PriceBook.objects.in_force(today).prefetch_related("items", "tiers", "freight", "taxes").first()


@grants("price_book", "read")
@require_GET
def price_book(request: HttpRequest) -> HttpResponse:
    """The price book in force; costs only for those who may see all of them."""
    return show_book(request, in_force(company_day(database_now())))


@grants("price_book", "read")
@require_GET
def price_book_version(request: HttpRequest, public_id: str) -> HttpResponse:
    """One version of any state."""
    return show_book(request, price_book_get(public_id))


def show_book(
    request: HttpRequest, book: PriceBook | None, *, status: int = 200, **shown: Any
) -> HttpResponse:
    """A version's page; `shown` replaces parts of it, such as a form that was refused."""
    today = company_day(database_now())
    holding = PriceBook.objects.in_force(today).first()
    document = document_of(book) if book else None
    context: dict[str, Any] = {
        "book": book,
        "today": today,
        "holds": book is not None and holding is not None and book.pk == holding.pk,
        "holding": holding,
        "cost": sees_costs(request),
        "may_change": may_change(request),
        "may_force": may(actor_of(request).audience, "price_book", "put_in_force"),
        "versions": version_list(today),
        "zones": list(document.freight.items()) if document else (),
        "tiers": list(document.tiers.items()) if document else (),
        "history": history(book) if book else (),
    }
    if book is not None and book.state == "draft":
        context["send_form"] = SendForm(initial={"edit": book.edit})
    if book is not None and book.state == "review":
        context["back_form"] = GiveBackForm()
    return render(request, "quotes/price_book.html", context | shown, status=status)


def version_list(today: date) -> list[tuple[PriceBook, str]]:
    """Versions, each with a word for where it stands today."""
    return [(row, standing(row, today)) for row in price_book_list()[:VERSIONS_MOST]]


def standing(book: PriceBook, today: date) -> str:
    """`draft`, `review`, `waiting` (its first day is to come), `in_force` or `earlier`."""
    if book.state != "in_force":
        return book.state
    if book.holds_on(today):
        return "in_force"
    return "waiting" if book.valid_from > today else "earlier"


def history(book: PriceBook) -> list[tuple[str, str, Any]]:
    """What happened to a version, newest first: words, the reason given, when."""
    entries = reversed(audit_list(book))
    return [
        (f"{entry.actor_name} {DEEDS.get(entry.verb, entry.verb.replace('_', ' '))}", entry.why, entry.at)
        for entry in entries
    ]


@grants("price_book", "change")
@require_GET
def price_book_changes(request: HttpRequest, public_id: str) -> HttpResponse:
    """What a version changes against the one in force, row by row, and what that makes of open quotes."""
    book, today = price_book_get(public_id), company_day(database_now())
    context = {"book": book, "today": today} | compared(document_of(book), in_force(today), request)
    return render(request, "quotes/price_changes.html", context)


def compared(document: PriceBookDocument, holding: PriceBook | None, request: HttpRequest) -> dict[str, Any]:
    """Changes by part, and effects on open quotes, of a document against the book that holds."""
    changes: tuple[Change, ...] = ()
    if holding is not None:
        changes = changes_between(document_of(holding), document)
        changes = changes if sees_costs(request) else without_costs(changes)
    groups = [(title, [c for c in changes if c.part == part]) for part, title in PARTS.items()]
    return {
        "holding": holding,
        "currency": document.currency,
        "groups": [(title, rows) for title, rows in groups if rows],
        "counts": {kind: sum(c.kind == kind for c in changes) for kind in ("added", "removed", "changed")},
        "effects": price_effects(document),
    }


@grants("price_book", "read")
@require_GET
def price_book_xlsx(request: HttpRequest, public_id: str) -> HttpResponse:
    """A version as a workbook; without costs for those who may not see them."""
    book = price_book_get(public_id)
    data = xlsx_of(document_of(book), made_at=book.created_at, costs=sees_costs(request))
    return _download(data, XLSX_TYPE, book, "xlsx")


@grants("price_book", "read")
@require_GET
def price_book_csv(request: HttpRequest, public_id: str) -> HttpResponse:
    """A version as CSV; without costs for those who may not see them."""
    book = price_book_get(public_id)
    return _download(csv_of(document_of(book), costs=sees_costs(request)), CSV_TYPE, book, "csv")


def _download(data: bytes, kind: str, book: PriceBook, ending: str) -> HttpResponse:
    name = "".join(sign if sign.isascii() and (sign.isalnum() or sign in "-_") else "-" for sign in str(book))
    headers = {"Content-Disposition": f'attachment; filename="{name}.{ending}"', "Cache-Control": "no-store"}
    return HttpResponse(data, content_type=kind, headers=headers)
