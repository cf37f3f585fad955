"""The shop floor page: today's bundles by line, and one bundle's sheet; taps and scans have modules of their own."""

from __future__ import annotations

from typing import Any, Final
from uuid import uuid4

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from framing.common.access import grants
from framing.common.clock import database_now
from orders import floor_forms as forms
from orders import floor_reads as reads
from orders.views.parts import user_of

PAGE_LENGTH: Final = 48
HEADER: Final = "X-Tap"
PARTS: Final = ("state", "again", "told")
_TONES: Final = {"good": messages.SUCCESS, "care": messages.WARNING, "note": messages.INFO}


@grants("bundle", "finish")
@require_GET
def floor(request: HttpRequest) -> HttpResponse:
    """Today's bundles of a line, in running order."""
    return list_page(request, forms.ScanForm(initial={"action_id": uuid4()}))


def list_page(request: HttpRequest, scan: forms.ScanForm, status: int = 200) -> HttpResponse:
    found = reads.floor_list(request.GET.get("line", ""), database_now())
    page = Paginator(found.rows, PAGE_LENGTH).get_page(request.GET.get("page"))
    context = {
        "found": found,
        "page": page,
        "cards": reads.cards_of(page.object_list),
        "query": urlencode({"line": found.tab.key}),
        "back": request.get_full_path(),
        "scan": scan,
        **frame(request),
    }
    return with_camera(render(request, "orders/floor/list.html", context, status=status))


@grants("bundle", "finish")
@require_GET
def floor_bundle(request: HttpRequest, public_id: str) -> HttpResponse:
    """One bundle: its pieces, and everything that can be tapped on it."""
    return sheet_page(request, reads.floor_bundle(public_id))


def sheet_page(
    request: HttpRequest, bundle: Any, typed: forms.TapForm | None = None, status: int = 200
) -> HttpResponse:
    context = {
        **sheet_context(request, bundle),
        "weigh": forms.WeighForm(),
        "scrap": forms.ScrapForm(),
        "reopen": forms.ReopenForm(),
        "scan": forms.ScanForm(initial={"action_id": uuid4(), "hand": bundle.public_id}),
        **({FORMS[type(typed)]: typed} if type(typed) in FORMS else {}),
        **frame(request),
    }
    return with_camera(render(request, "orders/floor/bundle.html", context, status=status))


FORMS: Final[dict[type, str]] = {
    forms.WeighForm: "weigh",
    forms.ScrapForm: "scrap",
    forms.ReopenForm: "reopen",
    forms.ScanForm: "scan",
}


def sheet_context(request: HttpRequest, bundle: Any) -> dict[str, Any]:
    return {
        "sheet": reads.bundle_sheet(bundle, user_of(request), database_now()),
        "bundle": bundle,
        "units": bundle.order.revision.quote.project.units,
        "back": reverse("orders:floor_bundle", args=[bundle.public_id]),
        "new_id": uuid4,
    }


def frame(request: HttpRequest) -> dict[str, Any]:
    """What both pages need for their script: whose taps this browser keeps."""
    return {"tapper": user_of(request).pk, "new_id": uuid4}


def with_camera(response: HttpResponse) -> HttpResponse:
    """Let this page alone ask for the camera, to scan with."""
    response["Permissions-Policy"] = "camera=(self), microphone=(), geolocation=()"
    return response
