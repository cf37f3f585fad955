"""The builder's pages, by link: the offer in plain words, accept with a second look, decline, the paper.

They show prices but never cost, and of other revisions only what changed since the last offer.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import PUBLIC, grants
from framing.common.actors import by_link
from framing.common.cautions import QUOTE_CAUTIONS
from framing.common.clock import database_now
from framing.common.company import company
from framing.common.errors import ApplicationError, NotThere
from framing.common.models import AccessLink, LinkPurpose
from framing.common.papers import paper_response
from framing.common.views import link_of
from quotes import page_parts, selectors, services
from quotes.alternate_parts import offer_columns, pick_choices
from quotes.change_reads import change_money, change_named
from quotes.compare_reads import offer_before
from quotes.documents import EXCLUDED
from quotes.forms import BuilderAcceptForm, BuilderDeclineForm
from quotes.lost_reads import lost_offer_of
from quotes.mail_forms import AskSellerForm
from quotes.models import QuoteRevision
from quotes.thread_reads import thread_of
from quotes.views import new_key

NEW_OFFER = "Please send us a new offer."


def offer_of_link(request: HttpRequest, public_id: str) -> tuple[AccessLink, QuoteRevision]:
    """The live link of this browser and the revision that it opens. Raises NotThere."""
    link = link_of(request, public_id, LinkPurpose.QUOTE)
    if link.subject_type != QuoteRevision._meta.label_lower:
        raise NotThere()
    return link, selectors.revision_by_pk(link.subject_id)


def _state(revision: QuoteRevision) -> str:
    """What the builder can do: open, accepted, declined, lapsed, revising, replaced or withdrawn."""
    if revision.withdrawn_at is not None:
        return "withdrawn"
    accepted = getattr(revision, "acceptance", None)
    if accepted is not None:
        return "accepted"
    offered, change = selectors.revision_offered(revision.quote), revision.after_booking
    if offered is None or offered.pk != revision.pk or (revision.quote.stage == "booked") != change:
        return "replaced"
    if revision.quote.stage == "bid":
        return "revising"
    if revision.quote.stage != "issued" and not change:
        return revision.quote.stage
    over = revision.valid_until is not None and revision.valid_until <= database_now()
    return "lapsed" if over else "open"


def show_offer(
    request: HttpRequest, link: AccessLink, revision: QuoteRevision, *, status: int = 200, **shown: Any
) -> HttpResponse:
    """The builder's page; `shown` replaces parts of it, such as a form that was refused."""
    firm, paper = company(), page_parts.paper_part(revision)
    package = selectors.package_of(revision)
    columns, state = offer_columns(revision, package), _state(revision)
    context = {
        **firm.context,
        "company": firm,
        "link": link,
        "revision": revision,
        "quote": revision.quote,
        "project": revision.quote.project,
        "currency": revision.currency,
        "state": state,
        "floors": page_parts.floor_cards(package),
        "groups": page_parts.line_groups(revision),
        "columns": columns,
        "alternates": [
            (
                column,
                page_parts.floor_cards(selectors.package_of(alternate)),
                page_parts.line_groups(alternate),
            )
            for column, alternate in zip(columns[1:], selectors.alternate_list(revision), strict=True)
        ],
        "change": change_named(revision) if revision.after_booking else None,
        "change_price": change_money(revision),
        "picked": next((column for column in columns if column.picked), None),
        "last_offer": offer_before(revision),
        "excluded": EXCLUDED,
        "cautions": QUOTE_CAUTIONS,
        "paper": paper.paper,
        "paper_job": paper.job,
        "acceptance": getattr(revision, "acceptance", None),
        "booking": page_parts.booking_job(revision.quote),
        "order": page_parts.order_part(revision),
        "accept_form": BuilderAcceptForm(
            picks=pick_choices(revision), initial={"name": link.for_name, "idempotency_key": new_key()}
        ),
        "decline_form": BuilderDeclineForm(),
        "ask_form": AskSellerForm(initial={"text": NEW_OFFER if state == "lapsed" else ""}),
        "lost": lost_offer_of(revision),
        "thread": thread_of(revision.quote),
    }
    return render(request, "quotes/your_quote.html", context | shown, status=status)


@grants(PUBLIC)
@require_GET
def your_quote(request: HttpRequest, public_id: str) -> HttpResponse:
    link, revision = offer_of_link(request, public_id)
    return show_offer(request, link, revision)


@grants(PUBLIC)
@require_POST
def your_quote_accept(request: HttpRequest, public_id: str) -> HttpResponse:
    """First press: a second look at name and total, nothing changes. Second press (`sure`): accepted."""
    link, revision = offer_of_link(request, public_id)
    form = BuilderAcceptForm(request.POST, picks=pick_choices(revision))
    if not form.is_valid():
        return show_offer(request, link, revision, status=422, accept_form=form, refused=form)
    if request.POST.get("sure") != "yes":
        firm = company()
        letter = form.cleaned_data["alternate"]
        picked = selectors.alternate_get(revision, letter) if letter else None
        context = {"form": form, "link": link, "revision": revision, "quote": revision.quote, **firm.context}
        context |= {
            "picked": picked,
            "total": (picked or revision).total,
            "chosen": form.data.get("alternate", ""),
        }
        return render(request, "quotes/your_quote_sure.html", context)
    try:
        services.quote_accept(
            actor=by_link(link, form.cleaned_data["name"]),
            revision=revision,
            name=form.cleaned_data["name"],
            title=form.cleaned_data["title"],
            alternate=form.cleaned_data["alternate"],
            key=form.cleaned_data["idempotency_key"],
            at=database_now(),
        )
    except NotThere:
        raise
    except ApplicationError as error:
        form.add_error(None, error.message)
        fresh = selectors.revision_by_pk(revision.pk)
        return show_offer(request, link, fresh, status=error.status, accept_form=form, refused=form)
    return redirect("quotes:your_quote", link.public_id)


@grants(PUBLIC)
@require_POST
def your_quote_decline(request: HttpRequest, public_id: str) -> HttpResponse:
    link, revision = offer_of_link(request, public_id)
    form = BuilderDeclineForm(request.POST)
    if form.is_valid():
        try:
            services.quote_decline(
                actor=by_link(link), revision=revision, at=database_now(), **form.cleaned_data
            )
        except NotThere:
            raise
        except ApplicationError as error:
            form.add_error(error.field if error.field in form.fields else None, error.message)
            fresh = selectors.revision_by_pk(revision.pk)
            return show_offer(request, link, fresh, status=error.status, decline_form=form, refused=form)
        return redirect("quotes:your_quote", link.public_id)
    return show_offer(request, link, revision, status=422, decline_form=form, refused=form)


@grants(PUBLIC)
@require_GET
def your_quote_paper(request: HttpRequest, public_id: str) -> HttpResponse:
    _, revision = offer_of_link(request, public_id)
    paper = page_parts.paper_part(revision).paper
    if paper is None:
        raise NotThere("This paper is being made. Try again in a minute.")
    return paper_response(paper)
