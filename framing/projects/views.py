"""Pages of builders, projects and the profiles of the catalogue; the floor's page is in `floor_views`."""

from __future__ import annotations

from django import forms
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from framing.common.access import grants, may, require
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import Refused
from framing.common.listing_views import file_response, list_response
from framing.common.models import User
from framing.engine.catalogue import load_catalogue
from framing.engine.pipeline import ENGINE_VERSION
from framing.projects import selectors, services
from framing.projects.forms import BuilderForm, ProjectForm
from framing.projects.profile_figures import profile_figures

PAGE_ROWS = 50


def actor_of(request: HttpRequest) -> Actor:
    """The signed-in member of staff; the access middleware lets nobody else come here."""
    user = request.user
    if not isinstance(user, User):
        raise TypeError("a page of projects was reached without signing in")
    return person(user)


def role_may(request: HttpRequest, object_: str, verb: str) -> bool:
    """Whether the reader's role may do it, to show or leave out a button."""
    return may(actor_of(request).audience, object_, verb)


@grants("project", "read")
@require_GET
def builder_list(request: HttpRequest) -> HttpResponse:
    """Builders by name."""
    context = {"may_make": role_may(request, "project", "make")}
    return list_response(request, "builders", "projects/builder_list.html", context)


@grants("project", "read")
@require_GET
def builder_file(request: HttpRequest, form: str) -> FileResponse:
    """The list as a workbook or CSV."""
    return file_response(request, "builders", form)


@grants("project", "make")
@require_http_methods(["GET", "HEAD", "POST"])
def builder_new(request: HttpRequest) -> HttpResponse:
    """Enter a builder."""
    form = BuilderForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            builder = services.builder_create(actor=actor_of(request), at=database_now(), **form.cleaned_data)
            return redirect("projects:builder_page", builder.public_id)
        except Refused as error:
            add_refusal(form, error)
    return render(request, "projects/builder_new.html", {"form": form}, status=422 if form.errors else 200)


@grants("project", "read")
@require_http_methods(["GET", "HEAD", "POST"])
def builder_page(request: HttpRequest, public_id: str) -> HttpResponse:
    """A builder with his projects; those who may change him find the form beside."""
    builder = selectors.builder_get(public_id)
    may_change = role_may(request, "project", "change")
    form = BuilderForm(request.POST or None, instance=selectors.builder_get(public_id))
    if request.method == "POST":
        actor = actor_of(request)
        require(actor, "project", "change")
        if form.is_valid():
            try:
                services.builder_change(actor=actor, at=database_now(), builder=builder, **form.cleaned_data)
                return redirect("projects:builder_page", builder.public_id)
            except Refused as error:
                add_refusal(form, error)
    context = {
        "builder": builder,
        "form": form,
        "projects": selectors.project_list(builder=builder)[:PAGE_ROWS],
        "history": selectors.history_list(builder),
        "may_change": may_change,
        "may_make": role_may(request, "project", "make"),
    }
    return render(request, "projects/builder_page.html", context, status=422 if form.errors else 200)


@grants("project", "read")
@require_GET
def project_list(request: HttpRequest) -> HttpResponse:
    """Projects, newest first."""
    context = {"may_make": role_may(request, "project", "make")}
    return list_response(request, "projects", "projects/project_list.html", context)


@grants("project", "read")
@require_GET
def project_file(request: HttpRequest, form: str) -> FileResponse:
    """The list as a workbook or CSV."""
    return file_response(request, "projects", form)


@grants("project", "make")
@require_http_methods(["GET", "HEAD", "POST"])
def project_new(request: HttpRequest) -> HttpResponse:
    """Begin a project; `?builder=` chooses the builder beforehand."""
    form = ProjectForm(request.POST or None, initial={"builder": request.GET.get("builder", "")})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            project = services.project_create(
                actor=actor_of(request),
                at=database_now(),
                builder=data["builder"],
                name=data["name"],
                units=data["units"],
                site=form.site,
            )
            return redirect("projects:project_page", project.public_id)
        except Refused as error:
            add_refusal(form, error)
    return render(request, "projects/project_new.html", {"form": form}, status=422 if form.errors else 200)


@grants("catalogue", "read")
@require_GET
def profile_list(request: HttpRequest) -> HttpResponse:
    """The catalogue's joist profiles with their sizes and what one ply can do."""
    catalogue, practice = load_catalogue(), selectors.practice_in_force()
    rows = sorted(
        profile_figures(catalogue, practice),
        key=lambda row: (row.profile.depth_in, row.profile.weight_plf, row.profile.designator),
    )
    reasons: dict[str, list[str]] = {}
    for row in rows:
        if row.reason:
            reasons.setdefault(row.reason, []).append(row.profile.designator)
    context = {
        "rows": rows,
        "reasons": reasons.items(),
        "version": catalogue.version,
        "practice": practice,
        "engine": ENGINE_VERSION,
    }
    return render(request, "projects/profile_list.html", context)


def add_refusal(form: forms.BaseForm, error: Refused) -> None:
    """Show a service's refusal at its field, or above the form where it has none."""
    form.add_error(error.field if error.field in form.fields else None, error.message)
