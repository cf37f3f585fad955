"""Alternates of a revision: the page of one, the form for a new one, rename and take away (R42)."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import ApplicationError, NotAllowed, NotThere
from quotes import page_parts, selectors, services
from quotes.act_views import act_on
from quotes.alternate_figures import offer_figures
from quotes.alternate_forms import AlternateForm, LabelForm
from quotes.alternate_parts import offer_columns
from quotes.models import QuoteRevision
from quotes.snapshots import PackageResult
from quotes.views import actor_of


@grants("quote", "read")
@require_GET
def alternate_page(request: HttpRequest, public_id: str, letter: str) -> HttpResponse:
    """One alternate: its floors and its price lines."""
    revision = selectors.revision_get(public_id)
    alternate = selectors.alternate_get(revision, letter)
    package = selectors.package_of(alternate)
    context = {
        "quote": revision.quote,
        "project": revision.quote.project,
        "base": revision,
        "revision": alternate,  # sums and lines are read alike
        "alternate": alternate,
        "figures": offer_figures(package),
        "difference": alternate.total - revision.total,
        "currency": revision.currency,
        "rights": page_parts.rights(actor_of(request), revision, None),
        "floors": page_parts.floor_cards(package),
        "groups": page_parts.line_groups(alternate),
    }
    return render(request, "quotes/alternate.html", context)


@grants("draft", "change")
@require_http_methods(["GET", "POST"])
def alternate_new(request: HttpRequest, public_id: str) -> HttpResponse:
    """Choose other joists for the floors of a draft; a refusal stands at its field, nothing chosen is lost."""
    revision = selectors.revision_get(public_id)
    package = selectors.package_of(revision)
    form = AlternateForm(request.POST or None, revision=revision, package=package)
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            made = services.alternate_add(
                actor=actor_of(request),
                revision=revision,
                label=form.cleaned_data["label"],
                choices=form.choices,
                documents=form.documents,
                at=database_now(),
            )
        except (NotAllowed, NotThere):
            raise
        except ApplicationError as error:
            form.add_error("label" if error.field == "label" else None, error.message)
            status = error.status
        else:
            messages.success(request, f"Alternate {made.letter} is drawn up and priced.")
            return redirect("quotes:revision_page", revision.public_id)
    elif request.method == "POST":
        status = 422
    context = _form_context(request, revision, package)
    return render(request, "quotes/alternate_new.html", {"form": form} | context, status=status)


def _form_context(request: HttpRequest, revision: QuoteRevision, package: PackageResult) -> dict[str, Any]:
    """What stands around the form: the draft and the offers it has so far."""
    return {
        "revision": revision,
        "quote": revision.quote,
        "project": revision.quote.project,
        "currency": revision.currency,
        "columns": offer_columns(revision, package),
        "rights": page_parts.rights(actor_of(request), revision, None),
    }


@grants("draft", "change")
@require_POST
def alternate_rename(request: HttpRequest, public_id: str, letter: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)
    form = LabelForm(request.POST, auto_id=f"label{letter[:1]}_%s")

    def act(data: dict[str, str]) -> None:
        services.alternate_rename(
            actor=actor_of(request), revision=revision, letter=letter, label=data["label"], at=database_now()
        )

    return act_on(request, revision, "rename_form", form, act, "Renamed.")


@grants("draft", "change")
@require_POST
def alternate_remove(request: HttpRequest, public_id: str, letter: str) -> HttpResponse:
    revision = selectors.revision_get(public_id)

    def act(_: dict[str, str]) -> None:
        services.alternate_remove(
            actor=actor_of(request), revision=revision, letter=letter, at=database_now()
        )

    form = LabelForm({"label": "-"})
    return act_on(request, revision, "remove_form", form, act, f"Alternate {letter[:1]} is taken away.")
