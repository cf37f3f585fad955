"""Span tables: the page with its form, the CSV, and the PDF that the worker makes."""

from __future__ import annotations

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import NotThere
from framing.common.papers import paper_get, paper_response
from framing.engine.errors import LoadRefused
from framing.projects import selectors
from framing.projects.models import SpanTableAsk
from framing.projects.span_forms import SpanTableForm, span_form
from framing.projects.span_services import ask_get, span_job, span_table_ask
from framing.projects.span_tables import PAPER_KIND, SpanSheet, file_name, sheet_csv, span_sheet
from framing.projects.views import actor_of


@grants("catalogue", "read")
@require_GET
def span_page(request: HttpRequest) -> HttpResponse:
    """The table that the address asks for, with the form that asked."""
    form = _form(request)
    sheet = _sheet(form)
    row = SpanTableAsk.objects.filter(digest=sheet.digest).first() if sheet else None
    context = {
        "form": form,
        "sheet": sheet,
        "query": form.query,
        "paper": paper_get(PAPER_KIND, row) if row else None,
        "ask": row,
        "job": span_job(row) if row else None,
        "page_url": request.get_full_path(),
    }
    return render(request, "projects/span_table.html", context, status=HTTPStatus.OK if sheet else 422)


@grants("catalogue", "read")
@require_GET
def span_csv(request: HttpRequest) -> HttpResponse:
    """The table as CSV; an address that asks for no table goes back to the form, which says why."""
    form = _form(request)
    sheet = _sheet(form)
    if sheet is None:
        return redirect(_page_of(form))
    response = HttpResponse(sheet_csv(sheet), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{file_name(sheet, "csv")}"'
    return response


@grants("catalogue", "read")
@require_POST
def span_paper_ask(request: HttpRequest) -> HttpResponse:
    """Ask for the PDF of the table in the address, then wait for it on its page."""
    form = _form(request)
    if _sheet(form) is not None:
        span_table_ask(actor=actor_of(request), at=database_now(), ask=form.ask)
    return redirect(_page_of(form))


@grants("catalogue", "read")
@require_GET
def span_paper(request: HttpRequest, public_id: str) -> HttpResponse:
    """The stored PDF of an ask."""
    del request
    paper = paper_get(PAPER_KIND, ask_get(public_id))
    if paper is None:
        raise NotThere("This table is not on paper yet.")
    return paper_response(paper)


def _form(request: HttpRequest) -> SpanTableForm:
    return span_form(request.GET, selectors.practice_in_force())


def _sheet(form: SpanTableForm) -> SpanSheet | None:
    """The table of a valid form; what the engine refuses stands above the form."""
    if not form.is_valid():
        return None
    try:
        return span_sheet(form.ask, selectors.practice_in_force(), database_now())
    except LoadRefused as error:
        form.add_error(None, error.message)
        return None


def _page_of(form: SpanTableForm) -> str:
    return f"{reverse('projects:span_page')}?{form.query}"
