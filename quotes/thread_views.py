"""The thread of a quote: staff's page with mails and links, their answer, and the builder's question."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import PUBLIC, grants, may, owns
from framing.common.actors import by_link
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotAllowed, NotThere
from quotes import page_parts, selectors, services
from quotes.builder_views import offer_of_link, show_offer
from quotes.mail_forms import AnswerThreadForm, AskSellerForm
from quotes.models import Quote
from quotes.thread_reads import mail_rows, people_reached, thread_of, unread_of
from quotes.views import actor_of


@grants("quote", "read")
@require_GET
def quote_thread(request: HttpRequest, public_id: str) -> HttpResponse:
    return _show(request, selectors.quote_get(public_id))


def _show(request: HttpRequest, quote: Quote, *, status: int = 200, **shown: Any) -> HttpResponse:
    actor, now = actor_of(request), database_now()
    revision = selectors.revision_offered(quote) or selectors.revision_latest(quote)
    own = owns(actor, quote.owner)
    context = {
        "quote": quote,
        "project": quote.project,
        "revision": revision,
        "thread": thread_of(quote),
        "unread": unread_of(quote),
        "reached": people_reached(quote, now),
        "mails": mail_rows(quote),
        "links": page_parts.live_links(revision, now),
        "may_write": may(actor.audience, "quote", "write", own=own),
        "may_retry": may(actor.audience, "mail", "retry"),
        "form": AnswerThreadForm(),
    }
    return render(request, "quotes/thread.html", context | shown, status=status)


@grants("quote", "write")
@require_POST
def thread_answer(request: HttpRequest, public_id: str) -> HttpResponse:
    """Answer the builder; a refused answer stays in its form."""
    quote = selectors.quote_get(public_id)
    form = AnswerThreadForm(request.POST)
    if not form.is_valid():
        return _show(request, quote, status=422, form=form, refused=form)
    try:
        services.thread_answer(
            actor=actor_of(request), quote=quote, text=form.cleaned_data["text"], at=database_now()
        )
    except (NotAllowed, NotThere):
        raise
    except ApplicationError as error:
        form.add_error(error.field or None, error.message)
        return _show(request, quote, status=error.status, form=form, refused=form)
    messages.success(request, "Answered.")
    return redirect("quotes:quote_thread", quote.public_id)


@grants("quote", "write")
@require_POST
def thread_seen(request: HttpRequest, public_id: str) -> HttpResponse:
    quote = selectors.quote_get(public_id)
    services.thread_seen(actor=actor_of(request), quote=quote, at=database_now())
    return redirect("quotes:quote_thread", quote.public_id)


@grants(PUBLIC)
@require_POST
def your_quote_ask(request: HttpRequest, public_id: str) -> HttpResponse:
    """The builder's question; what is refused stays in its form."""
    link, revision = offer_of_link(request, public_id)
    form = AskSellerForm(request.POST)
    if not form.is_valid():
        return show_offer(request, link, revision, status=422, ask_form=form, refused=form)
    try:
        services.thread_ask(
            actor=by_link(link), revision=revision, text=form.cleaned_data["text"], at=database_now()
        )
    except NotThere:
        raise
    except ApplicationError as error:
        form.add_error(error.field or None, error.message)
        return show_offer(request, link, revision, status=error.status, ask_form=form, refused=form)
    messages.success(request, "Sent. The answer stands here, and comes by mail where we have your address.")
    return redirect("quotes:your_quote", link.public_id)
