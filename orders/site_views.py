"""The builder's page of a delivery: what comes, ticks, reports, photos, the signature, also without a line (R48)."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import PUBLIC, grants, require
from framing.common.actors import Actor, by_link
from framing.common.clock import database_now
from framing.common.company import company
from framing.common.errors import ApplicationError, NotThere, Refused
from framing.common.intake import takes_bytes
from framing.common.models import AccessLink, LinkPurpose
from framing.common.papers import paper_response
from framing.common.views import link_of
from orders import selectors
from orders.models import Delivery, SitePhoto
from orders.phone_page import files_digest
from orders.photo_store import BODY_MOST, photo_bytes
from orders.services.photos import photo_take
from orders.services.receipts import REPORTS, SiteAct, receipt_act
from orders.site_forms import MARK, SentAct, read_act, read_batch, read_form, read_number
from orders.site_language import language_choose
from orders.site_page import (
    KEPT_FILES,
    kept_files,
    newest_drawings,
    place_addresses,
    site_context,
    terms_key,
)
from orders.site_plans import floor_places, lit, place_svg
from orders.site_reads import photo_of, receipt_states, thing_on
from orders.site_terms import site_terms
from orders.states import ReceiptVerb

DAY_S: Final = 24 * 3600
SAID: Final = 300


def _opened(
    request: HttpRequest, public_id: str, object_: str, verb: str = "read"
) -> tuple[AccessLink, Delivery]:
    link = link_of(request, public_id, LinkPurpose.DELIVERY)
    require(by_link(link), object_, verb)
    return link, selectors.delivery_of_link(link)


@gzip_page
@grants(PUBLIC)
@require_GET
def your_delivery(request: HttpRequest, public_id: str) -> HttpResponse:
    """Everything that comes, in order of unloading."""
    link, delivery = _opened(request, public_id, "delivery")
    return _page(request, link, delivery, None)


def _page(
    request: HttpRequest, link: AccessLink, delivery: Delivery, error: ApplicationError | None
) -> HttpResponse:
    """The page; what was refused stands on it with what was typed."""
    context = site_context(delivery, link, database_now()) | {"refused": error, "typed": request.POST}
    response = render(request, "orders/site/page.html", context, status=error.status if error else 200)
    response["Permissions-Policy"] = "camera=(self), microphone=(), geolocation=()"
    return response


# --- acts ---


@grants(PUBLIC)
@require_POST
def your_acts(request: HttpRequest, public_id: str) -> HttpResponse:
    """A batch from a telephone: each act is answered by itself, in the order in which it was done."""
    link, delivery = _opened(request, public_id, "receipt", "act")
    answers = [_answered(by_link(link), delivery, act) for act in read_batch(request)]
    fresh = selectors.delivery_of_link(link)
    at = database_now()
    terms = site_terms(fresh, at)
    body = {
        "at": at.timestamp(),
        "answers": answers,
        "states": receipt_states(fresh),
        "delivered": fresh.delivered_at is not None,
        "terms": terms_key(terms),
    }
    return JsonResponse(body)


def _answered(actor: Actor, delivery: Delivery, act: Mapping[str, Any]) -> dict[str, str]:
    number = str(act.get("id", ""))[:40]
    try:
        done = _count(actor, delivery, read_act(act))
    except NotThere:
        raise
    except ApplicationError as error:
        return {"id": number, "outcome": "refused", "words": error.message, "field": error.field}
    return {"id": number, "outcome": done, "words": "", "field": ""}


def _count(actor: Actor, delivery: Delivery, sent: SentAct) -> str:
    """Count one act; "done", or "again" where it was counted before."""
    at = database_now()
    signs = sent.verb == ReceiptVerb.SIGN
    act = SiteAct(
        action_id=sent.action_id,
        verb=sent.verb,
        thing=None if signs else thing_on(delivery, sent.code),
        marks=sent.marks,
        words=sent.words,
        name=sent.name,
        tapped_at=sent.tapped_at,
    )
    action = receipt_act(actor=actor, at=at, delivery=delivery, act=act)
    return "done" if action.at == at else "again"


@grants(PUBLIC)
@takes_bytes(BODY_MOST, by_link=LinkPurpose.DELIVERY)
@require_POST
def your_act(request: HttpRequest, public_id: str) -> HttpResponse:
    """One act of a page without script, with a photo if there is one; what is refused is said on the page."""
    link, delivery = _opened(request, public_id, "receipt", "act")
    actor, at = by_link(link), database_now()
    try:
        sent = read_form(request.POST)
        _count(actor, delivery, sent)
        _photo_of_form(request, actor, at, delivery, sent)
    except NotThere:
        raise
    except ApplicationError as error:
        code = request.POST.get("code", "")
        if code and request.POST.get("verb") in REPORTS and error.field != "code":
            return _thing_page(request, link, delivery, code, error)
        return _page(request, link, delivery, error)
    messages.success(request, _("Thank you, that is noted."))
    return redirect("orders:your_delivery", public_id)


def _photo_of_form(
    request: HttpRequest, actor: Actor, at: datetime, delivery: Delivery, sent: SentAct
) -> None:
    file = request.FILES.get("file")
    if file is not None:
        photo_take(
            actor=actor,
            at=at,
            delivery=delivery,
            photo_id=read_number(request.POST.get("photo_id")),
            file=(file.name or "", file.read()),
            action_id=sent.action_id,
        )


@grants(PUBLIC)
@require_GET
def your_thing(request: HttpRequest, public_id: str, code: str) -> HttpResponse:
    """One bundle or carton: what is in it, where it goes, and a form to report it."""
    link, delivery = _opened(request, public_id, "bundle")
    return _thing_page(request, link, delivery, code, None)


def _thing_page(
    request: HttpRequest, link: AccessLink, delivery: Delivery, code: str, error: ApplicationError | None
) -> HttpResponse:
    context = site_context(delivery, link, database_now())
    rows = [row for _load, rows in context["loads"] for row in rows if row.thing.line.code == code]
    if not rows:
        raise NotThere()
    shown = [context["places"][int(place)] for place in rows[0].places.split()]
    counts = [
        (mark, most, request.POST.get(f"{MARK}{mark}", ""))
        for mark, most in (pair.rsplit(":", 1) for pair in rows[0].marks.split())
    ]
    more = {"row": rows[0], "shown": shown, "counts": counts, "typed": request.POST, "refused": error}
    return render(request, "orders/site/thing.html", context | more, status=error.status if error else 200)


# --- photos ---


@grants(PUBLIC)
@takes_bytes(BODY_MOST, by_link=LinkPurpose.DELIVERY)
@require_POST
def your_photo_take(request: HttpRequest, public_id: str) -> HttpResponse:
    """A photo from a telephone; sent again it counts once."""
    link, delivery = _opened(request, public_id, "site_photo", "take")
    number = request.POST.get("photo_id", "")[:40]
    file = request.FILES.get("file")
    try:
        if file is None:
            raise Refused(_("The photo did not come with it. Take it again."), field="file")
        act = request.POST.get("action_id", "")
        photo_take(
            actor=by_link(link),
            at=database_now(),
            delivery=delivery,
            photo_id=read_number(number),
            file=(file.name or "", file.read()),
            action_id=read_number(act) if act else None,
        )
    except NotThere:
        raise
    except ApplicationError as error:
        return JsonResponse({"id": number, "outcome": "refused", "words": error.message})
    return JsonResponse({"id": number, "outcome": "done", "words": ""})


@grants(PUBLIC)
@require_GET
def your_photo(request: HttpRequest, public_id: str, photo: str) -> HttpResponse:
    _link, delivery = _opened(request, public_id, "site_photo")
    return photo_response(photo_of(delivery, photo))


def photo_response(photo: SitePhoto) -> HttpResponse:
    """The picture; its address never shows another one, so a browser may keep it."""
    response = HttpResponse(photo_bytes(photo), content_type="image/jpeg")
    response["Cache-Control"] = f"private, max-age={30 * DAY_S}, immutable"
    return response


# --- pictures, papers, language ---


@gzip_page
@grants(PUBLIC)
@require_GET
def your_where(request: HttpRequest, public_id: str, place: int, digest: str) -> HttpResponse:
    """A floor with its bundles; the page lights one of them, or `?lot=4` where no script does."""
    _link, delivery = _opened(request, public_id, "floor")
    picture = lit(place_svg(delivery, place, digest), request.GET.get("lot", ""))
    response = HttpResponse(picture, content_type="image/svg+xml")
    response["Cache-Control"] = f"private, max-age={30 * DAY_S}, immutable"
    return response


@grants(PUBLIC)
@require_GET
def your_delivery_drawings(request: HttpRequest, public_id: str) -> HttpResponse:
    _link, delivery = _opened(request, public_id, "drawing_set")
    paper = newest_drawings(delivery)
    if paper is None:
        raise NotThere(_("These drawings are being made. Try again in a minute."))
    return paper_response(paper)


@grants(PUBLIC)
@require_POST
def your_delivery_language(request: HttpRequest, public_id: str) -> HttpResponse:
    link, _delivery = _opened(request, public_id, "delivery")
    language_choose(at=database_now(), link=link, code=request.POST.get("language", ""))
    return redirect("orders:your_delivery", public_id)


@grants(PUBLIC)
@require_POST
def your_order_language(request: HttpRequest, public_id: str) -> HttpResponse:
    link = link_of(request, public_id, LinkPurpose.ORDER)
    language_choose(at=database_now(), link=link, code=request.POST.get("language", ""))
    return redirect("orders:your_order", public_id)


# --- on the telephone ---


@grants(PUBLIC)
@require_GET
def your_worker(request: HttpRequest, public_id: str) -> HttpResponse:
    """The script that serves this page where there is no line. It lies under the page, so it reaches no other."""
    _link, delivery = _opened(request, public_id, "delivery")
    page = reverse("orders:your_delivery", args=[public_id])
    where = [one["url"] for one in place_addresses(public_id, floor_places(delivery))]
    facts = {"version": files_digest(KEPT_FILES), "page": page, "files": [*kept_files(), *where]}
    script = render_to_string("orders/site/worker.js", {"facts": json.dumps(facts)})
    return HttpResponse(script, content_type="text/javascript; charset=utf-8")


@grants(PUBLIC)
@require_GET
def your_app(request: HttpRequest, public_id: str) -> HttpResponse:
    """What a telephone asks before it puts the page beside its programs."""
    _link, delivery = _opened(request, public_id, "delivery")
    page = reverse("orders:your_delivery", args=[public_id])
    supplier = company()
    facts = {
        "name": f"{_('Your delivery')} {delivery.number}",
        "short_name": delivery.number,
        "description": supplier.name,
        "start_url": page,
        "scope": page,
        "id": page,
        "display": "standalone",
        "background_color": "#FBFAF7",
        "theme_color": "#0B5C6B",
        "icons": [{"src": static("orders/site-icon.svg"), "sizes": "any", "type": "image/svg+xml"}],
    }
    return JsonResponse(facts, content_type="application/manifest+json")
