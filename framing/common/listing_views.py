"""What every list's page shares, the pages of saved filters, and the page of keys."""

from __future__ import annotations

from typing import Any, Final, cast

from django import forms
from django.contrib import messages
from django.contrib.auth.signals import user_logged_in
from django.dispatch import receiver
from django.http import FileResponse, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods, require_POST

from framing.common.access import SIGNED_IN, grants, require
from framing.common.actors import Actor, person
from framing.common.clock import database_now
from framing.common.errors import ApplicationError
from framing.common.listing import ALL, LISTS, ListSpec, list_named, list_page, list_read
from framing.common.listing_files import list_file
from framing.common.listing_saved import (
    list_start_set,
    may_change,
    saved_filter_change,
    saved_filter_make,
    saved_filter_remove,
    saved_get,
    saved_list,
    saved_read,
    single_keys_on,
    single_keys_set,
)
from framing.common.lists_models import NAME_MOST, QUERY_MOST
from framing.common.models import User

KEYS_OFF: Final = "single_keys_off"  # in the session, so that no page asks the database for it


@receiver(user_logged_in, dispatch_uid="single keys of the session")
def _remember_keys(request: HttpRequest, user: User, **_: Any) -> None:
    if not single_keys_on(user):
        request.session[KEYS_OFF] = True


def _reader(request: HttpRequest) -> User:
    return cast("User", request.user)  # the gate lets only members of staff pass


def _actor(request: HttpRequest) -> Actor:
    return person(_reader(request))


def list_response(request: HttpRequest, key: str, template: str, context: dict[str, Any]) -> HttpResponse:
    """The page of a list. Without any address it is what the reader lets it begin with."""
    spec, reader = list_named(key), _reader(request)
    saved = list(saved_list(reader, key))
    start = next((one for one in saved if one.is_start), None)  # type: ignore[attr-defined]  # annotated
    if start is not None and not request.GET:
        return redirect(f"{reverse(spec.page)}?{start.query or f'{ALL}=1'}")
    asked = list_read(spec, request.GET, audience=reader.role, reader=reader)
    page = list_page(asked)
    given = {
        "list": page,
        "spec": spec,
        "page": page.page,
        "query": asked.query,
        "list_url": reverse(spec.page),
        "all_url": f"{reverse(spec.page)}{f'?{ALL}=1' if start else ''}",
        "saved": saved,
        "start": start,
        "known": any(one.query == asked.query for one in saved) or not asked.query,
        "file_urls": [
            (form, f"{reverse(spec.files, args=[form])}?{asked.query or f'{ALL}=1'}")
            for form in ("xlsx", "csv")
        ],
        "save_url": f"{reverse('common:saved_make', args=[key])}?{urlencode({'query': asked.query})}",
    }
    return render(request, template, given | context)


def file_response(request: Any, key: str, form: str) -> FileResponse:
    """The list as a file, by the same address as its page; for requests of pages and of the API."""
    reader = _reader(request)
    return list_file(list_read(list_named(key), request.GET, audience=reader.role, reader=reader), form)


class SavedForm(forms.Form):
    name = forms.CharField(
        label="Name", max_length=NAME_MOST, help_text="As it will stand above the list: “Lapsing this week”."
    )
    shared = forms.BooleanField(
        label="Share with all staff",
        required=False,
        help_text="Everybody who may read the list finds it there; you and a manager can change it.",
    )
    query = forms.CharField(widget=forms.HiddenInput, required=False, max_length=QUERY_MOST)


class KeysForm(forms.Form):
    on = forms.BooleanField(
        label="Single keys act",
        required=False,
        help_text="Keys without Control, such as / and ?. Switch them off if you speak to your computer or type "
        "with one hand; the plan editor's keys act only while its drawing has the focus.",
    )


def _refused(form: forms.Form, error: ApplicationError) -> None:
    form.add_error(error.field if error.field in form.fields else None, error.message)


@grants("saved_filter", "read")
@require_http_methods(["GET", "HEAD"])
def saved_page(request: HttpRequest) -> HttpResponse:
    """All filters of the reader and those shared, list by list."""
    reader, actor = _reader(request), _actor(request)
    groups: dict[str, list[dict[str, Any]]] = {}
    for row in saved_list(reader):
        groups.setdefault(row.list_key, []).append(
            {
                "row": row,
                "url": f"{reverse(LISTS[row.list_key].page)}?{row.query or f'{ALL}=1'}",
                "may_change": may_change(actor, row),
                "mine": row.owner_id == reader.pk,
                "is_start": row.is_start,  # type: ignore[attr-defined]  # annotated
                "asked": saved_read(row, reader),
            }
        )
    shown = [(LISTS[key], rows) for key, rows in groups.items()]
    return render(request, "lists/saved.html", {"groups": shown})


@grants("saved_filter", "make")
@require_http_methods(["GET", "HEAD", "POST"])
def saved_make(request: HttpRequest, key: str) -> HttpResponse:
    """Give the list's address a name."""
    spec, actor = list_named(key), _actor(request)
    require(actor, *spec.act)
    query = request.GET.get("query", "").replace("\x00", "")
    form = SavedForm(request.POST or None, initial={"query": query})
    if request.method == "POST" and form.is_valid():
        try:
            row = saved_filter_make(actor=actor, at=database_now(), key=key, **form.cleaned_data)
            messages.success(request, f"“{row.name}” is kept.")
            return redirect(f"{reverse(spec.page)}?{row.query or f'{ALL}=1'}")
        except ApplicationError as error:
            _refused(form, error)
    context = {"heading": "Save this filter", "query": form["query"].value() or ""}
    return _saved_form(request, form, spec, context)


def _saved_form(
    request: HttpRequest, form: forms.Form, spec: ListSpec, context: dict[str, Any]
) -> HttpResponse:
    reader = _reader(request)
    params = QueryDict(context["query"][:QUERY_MOST])
    given = {
        "form": form,
        "spec": spec,
        "asked": list_read(spec, params, audience=reader.role, reader=reader),
        "list_url": reverse(spec.page),
        "saved_url": reverse("common:saved_page"),
    }
    status = 422 if form.errors else 200
    return render(request, "lists/save.html", given | context, status=status)


@grants("saved_filter", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def saved_change(request: HttpRequest, public_id: str) -> HttpResponse:
    """Rename a filter, share it or take it back."""
    actor, row = _actor(request), saved_get(_reader(request), public_id)
    initial = {"name": row.name, "shared": row.shared, "query": row.query}
    form = SavedForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            data = form.cleaned_data
            saved_filter_change(
                actor=actor, at=database_now(), row=row, name=data["name"], shared=data["shared"]
            )
            return redirect("common:saved_page")
        except ApplicationError as error:
            _refused(form, error)
    context = {"heading": "Change a filter", "query": row.query, "row": row}
    return _saved_form(request, form, list_named(row.list_key), context)


@grants("saved_filter", "change")
@require_POST
def saved_remove(request: HttpRequest, public_id: str) -> HttpResponse:
    row = saved_get(_reader(request), public_id)
    saved_filter_remove(actor=_actor(request), at=database_now(), row=row)
    messages.success(request, f"“{row.name}” is taken away.")
    return redirect("common:saved_page")


@grants("saved_filter", "start")
@require_POST
def saved_start(request: HttpRequest, public_id: str) -> HttpResponse:
    """Let one's list begin with this filter."""
    row = saved_get(_reader(request), public_id)
    list_start_set(actor=_actor(request), at=database_now(), key=row.list_key, row=row)
    messages.success(request, f"{list_named(row.list_key).title} begin with “{row.name}” for you.")
    return redirect("common:saved_page")


@grants("saved_filter", "start")
@require_POST
def start_clear(request: HttpRequest, key: str) -> HttpResponse:
    """Let one's list begin as usual."""
    list_start_set(actor=_actor(request), at=database_now(), key=key, row=None)
    messages.success(request, f"{list_named(key).title} begin as usual for you.")
    return redirect("common:saved_page")


@grants(SIGNED_IN)
@require_http_methods(["GET", "HEAD", "POST"])
def keys_page(request: HttpRequest) -> HttpResponse:
    """The keys that act on pages, and the switch for those without Control."""
    reader = _reader(request)
    if request.method == "POST":
        form = KeysForm(request.POST)
        if form.is_valid():
            on = form.cleaned_data["on"]
            single_keys_set(actor=_actor(request), at=database_now(), on=on)
            request.session[KEYS_OFF] = not on
            messages.success(request, f"Single keys are {'on' if on else 'off'}.")
        return redirect("common:keys_page")
    form = KeysForm(initial={"on": single_keys_on(reader)})
    return render(request, "lists/keys.html", {"form": form})
