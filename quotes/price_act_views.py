"""What managers do to price books on pages: draft, load a file, change, send to review, give back, put in force."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotAllowed, Refused, StaleSave
from framing.common.zones import company_day
from quotes import services
from quotes.models import PriceBook
from quotes.price_changes import changes_between
from quotes.price_documents import PriceBookDocument
from quotes.price_files import FILE_MOST, PriceRowsRefused, read_price_file
from quotes.price_forms import ForceForm, GiveBackForm, PriceFileForm, SendForm
from quotes.price_grid import ROWS_MOST, PriceGrid, grid_of, grid_posted
from quotes.price_reads import document_of, price_book_get
from quotes.price_views import compared, in_force, show_book
from quotes.views import actor_of

PAGE, VERSION = "quotes:price_book", "quotes:price_book_version"


@grants("price_book", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def price_book_new(request: HttpRequest) -> HttpResponse:
    """Draft a version: a copy of the one in force, or what a file holds. Nothing is in force by that."""
    now = database_now()
    holding = in_force(company_day(now))
    if request.method != "POST":
        return _new_page(request, holding, PriceFileForm())
    if "copy" in request.POST and holding is not None:
        data = document_of(holding).model_dump() | {"valid_from": company_day(now)}
        return _drafted(request, data, f"{holding} is copied into a draft.")
    form = PriceFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _new_page(request, holding, form, status=422)
    try:
        document = _read_upload(form.cleaned_data["file"])
        if holding is not None and not changes_between(document_of(holding), document):
            raise Refused(f"The file changes nothing: it holds what {holding} holds. No draft was made.")
        return _drafted(request, document.model_dump(), "The file is kept as a draft.")
    except PriceRowsRefused as error:
        return _new_page(request, holding, form, error, 422)
    except ApplicationError as error:
        form.add_error("file", error.message)
        return _new_page(request, holding, form, status=error.status)


def _new_page(
    request: HttpRequest,
    holding: PriceBook | None,
    form: PriceFileForm,
    error: PriceRowsRefused | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {"holding": holding, "form": form, "problems": error.problems if error else ()}
    return render(request, "quotes/price_new.html", context, status=status)


def _drafted(request: HttpRequest, data: dict[str, Any], words: str) -> HttpResponse:
    book = services.price_book_draft(actor=actor_of(request), data=data, at=database_now())
    messages.success(request, f"{words} Nothing changes until {book} is put in force.")
    return redirect(VERSION, book.public_id)


def _read_upload(file: UploadedFile, *, number: int = 1) -> PriceBookDocument:
    """The document of an upload, read no further than its limit."""
    return read_price_file(file.read(FILE_MOST + 1), number=number)


@grants("price_book", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def price_book_edit(request: HttpRequest, public_id: str) -> HttpResponse:
    """A draft's rows as a form; a part that is wrong stays as typed, with what is wrong beside it."""
    book = price_book_get(public_id)
    if book.state != "draft":
        messages.info(request, f"{book} is no draft and does not change. Make a new version from it.")
        return redirect(VERSION, book.public_id)
    if request.method != "POST":
        return _edit_page(request, book, grid_of(document_of(book)))
    return _save_grid(request, book, grid_posted(request.POST, number=book.version))


def _save_grid(request: HttpRequest, book: PriceBook, grid: PriceGrid) -> HttpResponse:
    """Save what was sent, or show it again with what is wrong."""
    if grid.document is None:
        return _edit_page(request, book, grid, status=422)
    try:
        services.price_book_change(
            actor=actor_of(request),
            book=book,
            data=grid.document.model_dump(),
            edit=_edit(request, 0),
            at=database_now(),
        )
    except NotAllowed:
        raise
    except ApplicationError as error:
        again = " Saving again keeps what stands here." if isinstance(error, StaleSave) else ""
        grid.problems.append(error.message + again)
        book.refresh_from_db()  # the next save is made knowingly
        return _edit_page(request, book, grid, status=error.status)
    messages.success(request, f"{book} is saved.")
    return redirect(VERSION, book.public_id)


def _edit(request: HttpRequest, otherwise: int) -> int:
    """Which state of the draft the page showed when it was sent."""
    edit = request.POST.get("edit", "")
    return int(edit) if edit.isascii() and edit.isdecimal() and len(edit) < 8 else otherwise


def _edit_page(
    request: HttpRequest,
    book: PriceBook,
    grid: PriceGrid,
    *,
    form: PriceFileForm | None = None,
    problems: Any = (),
    status: int = 200,
) -> HttpResponse:
    rows = sum(len(table.lines) for table in grid.tables)
    context = {
        "book": book,
        "grid": grid,
        "form": form or PriceFileForm(),
        "problems": problems,
        "too_long": rows > ROWS_MOST,
        "rows_most": ROWS_MOST,
    }
    return render(request, "quotes/price_edit.html", context, status=status)


@grants("price_book", "change")
@require_POST
def price_book_load(request: HttpRequest, public_id: str) -> HttpResponse:
    """Give a draft what a file holds."""
    book = price_book_get(public_id)
    form = PriceFileForm(request.POST, request.FILES)
    grid = grid_of(document_of(book))
    if not form.is_valid():
        return _edit_page(request, book, grid, form=form, status=422)
    try:
        document = _read_upload(form.cleaned_data["file"], number=book.version)
        count = len(changes_between(document_of(book), document))
        services.price_book_change(
            actor=actor_of(request),
            book=book,
            data=document.model_dump(),
            edit=_edit(request, book.edit),
            at=database_now(),
        )
    except PriceRowsRefused as error:
        return _edit_page(request, book, grid, form=form, problems=error.problems, status=422)
    except NotAllowed:
        raise
    except ApplicationError as error:
        form.add_error("file", error.message)
        return _edit_page(request, book, grid, form=form, status=error.status)
    messages.success(request, f"The file changed {count} row{'' if count == 1 else 's'} of {book}.")
    return redirect(VERSION, book.public_id)


@grants("price_book", "change")
@require_POST
def price_book_send(request: HttpRequest, public_id: str) -> HttpResponse:
    form = SendForm(request.POST)

    def act(book: PriceBook, data: dict[str, Any]) -> None:
        services.price_book_send(
            actor=actor_of(request), book=book, note=data["note"], edit=data["edit"], at=database_now()
        )

    return _act(request, public_id, "send_form", form, act, "Sent to review.")


@grants("price_book", "change")
@require_POST
def price_book_give_back(request: HttpRequest, public_id: str) -> HttpResponse:
    form = GiveBackForm(request.POST)

    def act(book: PriceBook, data: dict[str, Any]) -> None:
        services.price_book_give_back(actor=actor_of(request), book=book, why=data["why"], at=database_now())

    return _act(request, public_id, "back_form", form, act, "It is a draft again.")


def _act(
    request: HttpRequest,
    public_id: str,
    name: str,
    form: forms.Form,
    act: Callable[[PriceBook, dict[str, Any]], None],
    done: str,
) -> HttpResponse:
    """Run an act of a form on a version; where it is refused, show the page with the form as typed."""
    book = price_book_get(public_id)
    if not form.is_valid():
        return show_book(request, book, status=422, refused=form, **{name: form})
    try:
        act(book, form.cleaned_data)
    except NotAllowed:
        raise
    except ApplicationError as error:
        shown = (
            error.field
            if error.field in form.fields and not form.fields[error.field].widget.is_hidden
            else None
        )
        form.add_error(shown, error.message)
        fresh = price_book_get(public_id)
        return show_book(request, fresh, status=error.status, refused=form, **{name: form})
    messages.success(request, done)
    return redirect(VERSION, public_id)


@grants("price_book", "put_in_force")
@require_http_methods(["GET", "HEAD", "POST"])
def price_book_put_in_force(request: HttpRequest, public_id: str) -> HttpResponse:
    """Say what follows from putting a version in force; the post does it, from a day on."""
    book, now = price_book_get(public_id), database_now()
    form = ForceForm(
        request.POST if request.method == "POST" else None,
        initial={"edit": book.edit, "valid_from": max(book.valid_from, company_day(now))},
    )
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            row = services.price_book_put_in_force(
                actor=actor_of(request), book=book, at=database_now(), **form.cleaned_data
            )
            words = f"{row} holds from {row.valid_from:%B} {row.valid_from.day}, {row.valid_from.year} on."
            messages.success(request, words)
            return redirect(VERSION, row.public_id)
        except NotAllowed:
            raise
        except ApplicationError as error:
            form.add_error(
                error.field if error.field in ("valid_from", "valid_until") else None, error.message
            )
            status = error.status
    elif request.method == "POST":
        status = 422
    context = {"book": book, "form": form} | compared(document_of(book), in_force(company_day(now)), request)
    return render(request, "quotes/price_force.html", context, status=status)


@grants("price_book", "change")
@require_POST
def price_book_discard(request: HttpRequest, public_id: str) -> HttpResponse:
    book = price_book_get(public_id)
    services.price_book_discard(actor=actor_of(request), book=book, at=database_now())
    messages.success(request, f"{book} is thrown away.")
    return redirect(PAGE)
