"""Pages that show: quotes, one revision, the price book; and the start of a new quote."""

from __future__ import annotations

import secrets
from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants, may
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotThere
from framing.common.listing_views import file_response, list_response
from framing.common.papers import paper_get, paper_response
from framing.common.zones import company_day
from framing.projects.entry import FloorEntry
from framing.projects.selectors import floor_get, floor_version, project_get
from quotes import page_parts, price_parts, selectors, services
from quotes.alternate_parts import offer_columns, pick_choices
from quotes.approval_reads import decide_seen
from quotes.book_moves import book_move
from quotes.change_reads import change_money, change_named
from quotes.documents import PAPER_KIND
from quotes.forms import (
    AnswerForm,
    AskForm,
    DecideForm,
    DeclineForm,
    DraftForm,
    IssueForm,
    LinkForm,
    LostNameForm,
    PhoneForm,
    QuestionForm,
    QuoteNewForm,
    ReviseForm,
)
from quotes.history import history
from quotes.lost_reads import lost_offer_of
from quotes.models import QuoteRevision
from quotes.option_prices import priced_options
from quotes.reminder_reads import reminder_part
from quotes.thread_reads import mails_not_arrived, unread_of


def actor_of(request: HttpRequest) -> Actor:
    return person(request.user)  # type: ignore[arg-type]  # the gate lets only members of staff pass


def new_key() -> str:
    """An idempotency key for one showing of a form."""
    return secrets.token_urlsafe(24)


@grants("quote", "read")
@require_GET
def quote_list(request: HttpRequest) -> HttpResponse:
    context = {"may_approve": may(actor_of(request).audience, "quote", "approve")}
    return list_response(request, "quotes", "quotes/list.html", context)


@grants("quote", "read")
@require_GET
def quote_file(request: HttpRequest, form: str) -> FileResponse:
    """The list as a workbook or CSV."""
    return file_response(request, "quotes", form)


@grants("draft", "make")
@require_http_methods(["GET", "POST"])
def quote_new(request: HttpRequest) -> HttpResponse:
    """Choose a project and draw up its quote; what the price book lacks or a floor misses is listed."""
    actor = actor_of(request)
    chosen = request.GET.get("project", "")
    form = QuoteNewForm(
        request.POST or None, projects=selectors.quotable_projects(actor), initial={"project": chosen}
    )
    problems: Any = ()
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            revision = services.quote_create(
                actor=actor, project=form.cleaned_data["project"], at=database_now()
            )
        except ApplicationError as error:
            form.add_error(None, error.message)
            problems, status = error.detail or (), error.status
        else:
            return redirect("quotes:revision_page", revision.public_id)
    elif request.method == "POST":
        status = 422
    return render(request, "quotes/new.html", {"form": form, "problems": problems}, status=status)


@grants("quote", "read")
@require_GET
def quote_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """The newest revision of a quote."""
    return show_revision(request, selectors.revision_latest(selectors.quote_get(public_id)))


@grants("quote", "read")
@require_GET
def revision_page(request: HttpRequest, public_id: str) -> HttpResponse:
    return show_revision(request, selectors.revision_get(public_id))


def show_revision(
    request: HttpRequest, revision: QuoteRevision, *, status: int = 200, **shown: Any
) -> HttpResponse:
    """The revision's page; `shown` replaces parts of it, such as a form that was refused."""
    return render(request, "quotes/revision.html", revision_context(request, revision) | shown, status=status)


def revision_context(request: HttpRequest, revision: QuoteRevision) -> dict[str, Any]:
    actor, quote, now = actor_of(request), revision.quote, database_now()
    package = selectors.package_of(revision)
    revisions = list(selectors.revision_list(quote))
    offered = next((row for row in revisions if row.issued_at is not None), None)
    order = page_parts.order_part(revision)
    accepted = getattr(revision, "acceptance", None)
    columns = offer_columns(revision, package)
    rights = page_parts.rights(actor, revision, offered)
    return {
        "quote": quote,
        "revision": revision,
        "project": quote.project,
        "currency": revision.currency,
        "columns": columns,
        "fits": revision.fits and all(column.fits for column in columns),
        "left_out": selectors.alternates_left_out(revision) if revision.issued_at is None else (),
        "picked": next((column for column in columns if column.picked), None),
        "rights": rights,
        "stages": page_parts.stage_line(quote, order),
        "floors": page_parts.floor_cards(package),
        "groups": page_parts.line_groups(revision),
        "shares": price_parts.floor_rows(revision, package),
        "revisions": revisions,
        "replaced_by": revisions[0] if revisions[0].pk != revision.pk else None,
        "moved": selectors.floors_moved(revision) if revision.issued_at is None else (),
        "book_move": book_move(revision, company_day(now)) if rights.revise else None,
        "moved_floors": selectors.floors_moved(revision) if rights.revise else (),
        "book_old": revision.issued_at is None and not revision.price_book.holds_on(company_day(now)),
        "approval": page_parts.approval_part(revision),
        "paper": page_parts.paper_part(revision),
        "links": page_parts.live_links(revision, now),
        "history": history(quote, revisions),
        "unread": unread_of(quote),
        "not_arrived": mails_not_arrived(quote),
        "acceptance": accepted,
        "change": change_named(revision) if revision.after_booking else None,
        "change_price": change_money(revision),
        "lost": lost_offer_of(revision),
        "reminder": reminder_part(revision, now)
        if offered is not None and offered.pk == revision.pk
        else None,
        "order": order,
        "booking": page_parts.booking_job(quote) if accepted and not order else None,
        **revision_forms(revision),
    }


def revision_forms(revision: QuoteRevision) -> dict[str, Any]:
    """Fresh forms of the page, each under the name that its refused twin takes."""
    key = {"idempotency_key": new_key()}
    return {
        "draft_form": DraftForm(
            lines=selectors.discountable_lines(revision) if revision.issued_at is None else (),
            initial={
                "discount_percent": f"{revision.discount_share * 100:.2f}",
                "terms": revision.terms,
                "lead_time_days": revision.lead_time_days,
            },
        ),
        "issue_form": IssueForm(initial=key),
        "ask_form": AskForm(),
        "decide_form": DecideForm(initial=decide_seen(revision, selectors.alternates_seen(revision))),
        "question_form": QuestionForm(),
        "answer_form": AnswerForm(),
        "revise_form": ReviseForm(),
        "phone_form": PhoneForm(
            picks=pick_choices(revision), initial={"name": revision.quote.project.builder.contact_name, **key}
        ),
        "decline_form": DeclineForm(),
        "lost_form": LostNameForm(),
        "link_form": LinkForm(initial={"for_name": revision.quote.project.builder.contact_name}),
    }


@grants("quote_paper", "read")
@require_GET
def quote_paper(request: HttpRequest, public_id: str) -> HttpResponse:
    """The stored PDF of an issued revision."""
    del request
    paper = paper_get(PAPER_KIND, selectors.revision_get(public_id))
    if paper is None:
        raise NotThere("This paper is not made yet.")
    return paper_response(paper)


@grants("price_book", "read")
@require_GET
def floor_options(request: HttpRequest, public_id: str) -> HttpResponse:
    """The priced option matrix of a floor as it is saved: a part of the floor's page, else a page of its own."""
    floor = floor_get(public_id)
    preview, matrix = priced_options(floor_version(floor).document, floor.project)
    may_change = may(actor_of(request).audience, "floor", "change")
    context = {
        "floor": floor,
        "project": floor.project,
        "problems": preview.problems,
        "matrix": matrix,
        "choose_by": "address" if may_change else "",
        "may_price": True,
    }
    part = "HX-Request" in request.headers
    return render(request, "projects/_options.html" if part else "quotes/floor_options.html", context)


@grants("price_book", "read")
@require_POST
def form_options(request: HttpRequest) -> HttpResponse:
    """The priced option matrix of what stands in the floor form now; nothing is saved."""
    project = project_get(request.POST.get("project", ""))
    _, matrix = priced_options(FloorEntry.posted(request.POST).raw_document(), project)
    context = {"matrix": matrix, "choose_by": "form", "may_price": True}
    return render(request, "projects/_options.html", context)
