"""Pages of reminders: one sent by hand after a look at it, and the switch of those that go by themselves."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotAllowed, NotThere
from framing.common.mail_letter import Letter
from quotes import selectors, services
from quotes.mail_forms import RemindForm
from quotes.models import QuoteRevision
from quotes.reminder_reads import reminder_part
from quotes.views import actor_of, new_key


@grants("quote", "send")
@require_http_methods(["GET", "POST"])
def quote_remind(request: HttpRequest, public_id: str) -> HttpResponse:
    """See the reminder and whom it goes to, then send it. Only `step=send` writes anything."""
    revision = selectors.revision_get(public_id)
    if request.method == "GET":
        return _show(request, revision, RemindForm(initial={"idempotency_key": new_key()}))
    form = RemindForm(request.POST)
    if not form.is_valid():
        return _show(request, revision, form, status=422, refused=form)
    if request.POST.get("step") != "send":
        return _show(request, revision, form, form.cleaned_data["word"])
    try:
        mails = services.quote_remind(
            actor=actor_of(request),
            revision=revision,
            key=form.cleaned_data["idempotency_key"],
            at=database_now(),
            word=form.cleaned_data["word"],
        )
    except (NotAllowed, NotThere):
        raise
    except ApplicationError as error:
        form.add_error(error.field if error.field in form.fields else None, error.message)
        fresh, word = selectors.revision_get(public_id), form.cleaned_data.get("word", "")
        return _show(request, fresh, form, word, status=error.status, refused=form)
    messages.success(request, f"Reminded: {', '.join(mail.to_name for mail in mails)}.")
    return redirect("quotes:quote_thread", revision.quote.public_id)


def _show(
    request: HttpRequest,
    revision: QuoteRevision,
    form: RemindForm,
    word: str = "",
    *,
    status: int = 200,
    **shown: Any,
) -> HttpResponse:
    at = database_now()
    letter: Letter | None = None
    why_not = ""
    try:
        letter = services.quote_remind_preview(actor=actor_of(request), revision=revision, at=at, word=word)
    except NotAllowed:
        raise
    except ApplicationError as error:
        why_not = error.message
    context = {
        "revision": revision,
        "quote": revision.quote,
        "form": form,
        "letter": letter,
        "why_not": why_not,
        "part": reminder_part(revision, at),
    }
    return render(request, "quotes/remind.html", context | shown, status=status)


@grants("quote", "send")
@require_POST
def reminders_switch(request: HttpRequest, public_id: str) -> HttpResponse:
    """Switch reminders by themselves on (`on=yes`) or off for one quote."""
    quote = selectors.quote_get(public_id)
    on = request.POST.get("on") == "yes"
    services.reminders_switch(actor=actor_of(request), quote=quote, on=on, at=database_now())
    words = "Reminders go out by themselves." if on else "No reminders go out by themselves for this quote."
    messages.success(request, words)
    return redirect("quotes:quote_page", quote.public_id)
