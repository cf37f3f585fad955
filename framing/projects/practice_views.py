"""Pages of practice sets: what is in force, every version, two compared, the form, and putting in force."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from framing.engine.practice import Practice
from framing.projects import practice_services, selectors
from framing.projects.models import PracticeSet
from framing.projects.practice_forms import PracticeForm
from framing.projects.practice_reads import (
    FLOORS_MOST,
    ValueRow,
    differing_rows,
    effects_of,
    practice_set_get,
    practice_set_list,
    value_groups,
)
from framing.projects.views import actor_of, add_refusal, role_may

VERSIONS_MOST = 200


@grants("practice", "read")
@require_GET
def practice_page(request: HttpRequest) -> HttpResponse:
    """The set in force; the rules' defaults while the company has none."""
    return _shown(request, selectors.practice_set_in_force())


@grants("practice", "read")
@require_GET
def practice_version(request: HttpRequest, public_id: str) -> HttpResponse:
    """One version of any state."""
    return _shown(request, practice_set_get(public_id))


@grants("practice", "read")
@require_GET
def practice_compare(request: HttpRequest) -> HttpResponse:
    """Two versions value by value: `a` and `b` are ids, left out or empty for the rules' defaults."""
    one, other = (_asked(request.GET.get(name, "")) for name in ("a", "b"))
    pair = tuple(Practice() if row is None else selectors.practice_of(row) for row in (one, other))
    context = {
        "one": one,
        "other": other,
        "groups": [group for group in value_groups(*pair) if any(row.differs for row in group.rows)],
        "count": len(differing_rows(*pair)),
        "versions": practice_set_list()[:VERSIONS_MOST],
    }
    return render(request, "projects/practice_compare.html", context)


@grants("practice", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def practice_new(request: HttpRequest) -> HttpResponse:
    """Draft a version; the form begins with what is in force, or with the version named by `?from=`."""
    base = _asked(request.GET.get("from", "")) or selectors.practice_set_in_force()
    start = Practice() if base is None else selectors.practice_of(base)
    form = PracticeForm(
        request.POST or None,
        start=start,
        in_force=selectors.practice_in_force(),
        fixed_name=False,
        initial={"name": start.name},
    )
    if request.method == "POST" and form.is_valid():
        try:
            row = practice_services.practice_set_draft(
                actor=actor_of(request),
                at=database_now(),
                name=form.cleaned_data["name"],
                values=form.values,
                reason=form.cleaned_data["reason"],
            )
            return redirect("projects:practice_version", row.public_id)
        except Refused as error:
            add_refusal(form, error)
    context = {"form": form, "base": base, "row": None}
    return render(request, "projects/practice_form.html", context, status=422 if form.errors else 200)


@grants("practice", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def practice_change(request: HttpRequest, public_id: str) -> HttpResponse:
    """Change a draft."""
    row = practice_set_get(public_id)
    if row.state != "draft":
        messages.info(request, f"{row} has been in force and never changes. Make a new version from it.")
        return redirect("projects:practice_version", row.public_id)
    typed = request.POST.copy() if request.method == "POST" else None
    form = PracticeForm(
        typed,
        start=selectors.practice_of(row),
        in_force=selectors.practice_in_force(),
        fixed_name=True,
        initial={"reason": row.reason, "edit": row.edit},
    )
    theirs: tuple[ValueRow, ...] = ()
    if typed is not None and form.is_valid():
        try:
            _save(request, row, form)
            return redirect("projects:practice_version", row.public_id)
        except Clash as error:
            form.add_error(None, error.message)
            row.refresh_from_db()
            typed["edit"] = str(row.edit)  # the next save is made knowingly
            theirs = differing_rows(selectors.practice_of(row), form.practice)
        except Refused as error:
            add_refusal(form, error)
    context = {"form": form, "base": row, "row": row, "theirs": theirs}
    return render(request, "projects/practice_form.html", context, status=422 if form.errors else 200)


def _save(request: HttpRequest, row: PracticeSet, form: PracticeForm) -> None:
    practice_services.practice_set_change(
        actor=actor_of(request),
        at=database_now(),
        row=row,
        values=form.values,
        reason=form.cleaned_data["reason"],
        edit=form.cleaned_data["edit"],
    )


@grants("practice", "change")
@require_http_methods(["GET", "HEAD", "POST"])
def practice_force(request: HttpRequest, public_id: str) -> HttpResponse:
    """Say what follows from putting a version in force; the post does it."""
    row = practice_set_get(public_id)
    if request.method == "POST":
        edit = request.POST.get("edit", "")
        try:
            practice_services.practice_set_put_in_force(
                actor=actor_of(request),
                at=database_now(),
                row=row,
                edit=int(edit) if edit.isascii() and edit.isdecimal() and len(edit) < 8 else 0,
                replaces=request.POST.get("replaces", ""),
            )
            messages.success(request, f"{row} is in force. New designs and new quotes use it from now on.")
            return redirect("projects:practice_page")
        except (Clash, Refused) as error:
            row.refresh_from_db()
            return _force_page(request, row, error.message, error.status)
    return _force_page(request, row)


def _force_page(request: HttpRequest, row: PracticeSet, problem: str = "", status: int = 200) -> HttpResponse:
    in_force = selectors.practice_set_in_force()
    now = selectors.practice_in_force()
    then = selectors.practice_of(row)
    context = {
        "row": row,
        "in_force": in_force,
        "now": now,
        "rows": differing_rows(then, now),
        "effects": effects_of(row, in_force) if not row.in_force else None,
        "floors_most": FLOORS_MOST,
        "problem": problem,
    }
    return render(request, "projects/practice_force.html", context, status=status)


def _asked(public_id: str) -> PracticeSet | None:
    return practice_set_get(public_id) if public_id else None


def _shown(request: HttpRequest, row: PracticeSet | None) -> HttpResponse:
    practice = Practice() if row is None else selectors.practice_of(row)
    in_force = selectors.practice_set_in_force()
    other = in_force if row and not row.in_force else None
    context = {
        "row": row,
        "groups": value_groups(practice),
        "own": len(differing_rows(practice)),
        "versions": practice_set_list()[:VERSIONS_MOST],
        "history": selectors.history_list(row) if row else (),
        "other_id": other.public_id if other else "",
        "may_change": role_may(request, "practice", "change"),
    }
    return render(request, "projects/practice_page.html", context)
