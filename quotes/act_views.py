"""What staff do on the quote pages: a POST an act, then back to the page; a refusal shows at its field."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotAllowed, NotThere
from framing.common.links import link_list
from quotes import selectors, services
from quotes.alternate_parts import pick_choices
from quotes.forms import (
    AskForm,
    DecideForm,
    DeclineForm,
    DraftForm,
    IssueForm,
    LinkForm,
    LostNameForm,
    PhoneForm,
    ReviseForm,
)
from quotes.models import QuoteRevision
from quotes.views import actor_of, show_revision

FIELDS = {"discount_share": "discount_percent"}  # a service's field, as the form calls it


def act_on(
    request: HttpRequest,
    revision: QuoteRevision,
    name: str,
    form: forms.Form,
    act: Callable[[dict[str, Any]], Any],
    done: str,
) -> HttpResponse:
    """Run an act of a form on a revision; where it is refused, show the page with the form as typed.

    A form that says `back=queue` came from the managers' queue and goes back there.
    """
    if form.is_valid():
        try:
            act(form.cleaned_data)
        except (NotAllowed, NotThere):
            raise
        except ApplicationError as error:
            field = FIELDS.get(error.field, error.field)
            form.add_error(field if field in form.fields else None, error.message)
            fresh = selectors.revision_get(revision.public_id)
            return show_revision(request, fresh, status=error.status, refused=form, **{name: form})
        messages.success(request, done)
        if request.POST.get("back") == "queue":
            return redirect("quotes:approval_list")
        return redirect("quotes:revision_page", revision.public_id)
    return show_revision(request, revision, status=422, refused=form, **{name: form})


@grants("draft", "change")
@require_POST
def revision_change(request: HttpRequest, public_id: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)
    form = DraftForm(request.POST, lines=selectors.discountable_lines(revision))

    def act(data: dict[str, Any]) -> None:
        services.revision_change(
            actor=actor_of(request),
            revision=revision,
            at=database_now(),
            discount_share=form.discount_share,
            line_discounts=form.line_discounts,
            terms=data["terms"],
            lead_time_days=data["lead_time_days"],
        )

    return act_on(request, revision, "draft_form", form, act, "Changed and priced anew.")


@grants("draft", "change")
@require_POST
def revision_reprice(request: HttpRequest, public_id: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)

    def act(_: dict[str, Any]) -> None:
        services.draft_reprice(actor=actor_of(request), revision=revision, at=database_now())

    form = forms.Form(request.POST)
    return act_on(
        request, revision, "reprice_form", form, act, "Designed and priced from the floors as saved."
    )


@grants("draft", "change")
@require_POST
def approval_ask(request: HttpRequest, public_id: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)

    def act(data: dict[str, Any]) -> None:
        services.approval_ask(
            actor=actor_of(request), revision=revision, reason=data["reason"], at=database_now()
        )

    return act_on(request, revision, "ask_form", AskForm(request.POST), act, "Approval asked for.")


@grants("quote", "approve")
@require_POST
def approval_decide(request: HttpRequest, public_id: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)
    granted = request.POST.get("granted") == "yes"

    def act(data: dict[str, Any]) -> None:
        services.approval_decide(
            actor=actor_of(request),
            revision=revision,
            granted=granted,
            answer=data["answer"],
            total_seen=data["total_seen"],
            alternates_seen=data["alternates_seen"] if "alternates_seen" in request.POST else None,
            margin_seen=data["margin_seen"],
            at=database_now(),
        )

    done = "Approved at this total." if granted else "Approval refused."
    return act_on(request, revision, "decide_form", DecideForm(request.POST), act, done)


@grants("quote", "issue")
@require_POST
def revision_issue(request: HttpRequest, public_id: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)

    def act(data: dict[str, Any]) -> None:
        services.revision_issue(
            actor=actor_of(request),
            revision=revision,
            key=data["idempotency_key"],
            at=database_now(),
            release_reason=data["release_reason"],
        )

    done = "Issued. The paper is being made; send the builder the link."
    return act_on(request, revision, "issue_form", IssueForm(request.POST), act, done)


@grants("quote", "revise")
@require_POST
def revision_revise(request: HttpRequest, public_id: str) -> HttpResponse:
    """Open the next revision and go to it."""
    quote = selectors.quote_get(public_id)
    latest = selectors.revision_latest(quote)
    form = ReviseForm(request.POST)
    if not form.is_valid():
        return show_revision(request, latest, status=422, revise_form=form, refused=form)
    try:
        revision = services.revision_revise(
            actor=actor_of(request), quote=quote, at=database_now(), why=form.cleaned_data["why"]
        )
    except NotAllowed:
        raise
    except ApplicationError as error:
        form.add_error(None, error.message)
        return show_revision(request, latest, status=error.status, revise_form=form, refused=form)
    messages.success(request, f"Revision {revision.number} is open as a draft.")
    return redirect("quotes:revision_page", revision.public_id)


@grants("quote", "accept")
@require_POST
def quote_accept(request: HttpRequest, public_id: str) -> HttpResponse:
    """Record an acceptance that came by phone or on paper."""
    revision = selectors.revision_get(public_id)

    def act(data: dict[str, Any]) -> None:
        services.quote_accept(
            actor=actor_of(request),
            revision=revision,
            name=data["name"],
            title=data["title"],
            alternate=data["alternate"],
            why=data["why"],
            key=data["idempotency_key"],
            at=database_now(),
        )

    return act_on(
        request,
        revision,
        "phone_form",
        PhoneForm(request.POST, picks=pick_choices(revision)),
        act,
        "Accepted. The order is being booked.",
    )


@grants("quote", "decline")
@require_POST
def quote_decline(request: HttpRequest, public_id: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)

    def act(data: dict[str, Any]) -> None:
        services.quote_decline(actor=actor_of(request), revision=revision, at=database_now(), **data)

    return act_on(request, revision, "decline_form", DeclineForm(request.POST), act, "Recorded as declined.")


@grants("quote", "explain")
@require_POST
def lost_name(request: HttpRequest, public_id: str) -> HttpResponse:
    """Name why a lapsed offer was lost."""
    revision = selectors.revision_get(public_id)

    def act(data: dict[str, Any]) -> None:
        services.lost_name(actor=actor_of(request), quote=revision.quote, at=database_now(), **data)

    return act_on(request, revision, "lost_form", LostNameForm(request.POST), act, "The reason is kept.")


@grants("quote_link", "make")
@require_POST
def quote_link_make(request: HttpRequest, public_id: str) -> HttpResponse:
    """Make a link and show its address, this once: stored nowhere, so there is no page to go to."""
    revision = selectors.revision_get(public_id)
    made: list[str] = []

    def act(data: dict[str, Any]) -> None:
        _, address = services.quote_link_make(
            actor=actor_of(request), revision=revision, for_name=data["for_name"], at=database_now()
        )
        made.append(address)

    form = LinkForm(request.POST)
    answer = act_on(request, revision, "link_form", form, act, "Link made.")
    if not made:
        return answer
    context = {"revision": revision, "address": made[0], "for_name": form.cleaned_data["for_name"]}
    return render(request, "quotes/link_made.html", context)


@grants("quote_link", "withdraw")
@require_POST
def quote_link_withdraw(request: HttpRequest, public_id: str, link_id: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)
    link = link_list(revision).filter(public_id=link_id).first()
    if link is None:
        raise NotThere()
    services.quote_link_withdraw(actor=actor_of(request), revision=revision, link=link, at=database_now())
    messages.success(request, f"The link for {link.for_name} is withdrawn.")
    return redirect("quotes:revision_page", revision.public_id)
