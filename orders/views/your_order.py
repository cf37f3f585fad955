"""The builder's order, by link: where it stands, its drawings, and his answer to them."""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import PUBLIC, grants, require
from framing.common.actors import by_link
from framing.common.clock import database_now
from framing.common.company import company
from framing.common.errors import ApplicationError, NotThere, Refused, TooBig
from framing.common.intake import takes_bytes
from framing.common.models import AccessLink, LinkPurpose
from framing.common.papers import paper_get, paper_response
from framing.common.views import link_of
from orders import release_reads, selectors, services
from orders.change_reads import ChangeState
from orders.markup_store import BODY_MOST
from orders.models import Delivery, Order
from orders.release_forms import AnswerForm
from orders.site_language import LANGUAGES
from orders.views.release_parts import change_parts, set_parts
from quotes.page_parts import floor_cards

UNSEEN = (ChangeState.DRAFT, ChangeState.WITHDRAWN)  # what was never offered, or is over


def _opened(request: HttpRequest, public_id: str, object_: str = "order") -> tuple[AccessLink, Order]:
    link = link_of(request, public_id, LinkPurpose.ORDER)
    require(by_link(link), object_, "read")
    return link, release_reads.order_of_link(link)


def _deliveries(order: Order) -> list[tuple[Delivery, bool]]:
    """The deliveries by day, those of today at the site first; each with whether it is one of them."""
    today = database_now().astimezone(ZoneInfo(order.revision.quote.project.site.time_zone)).date()
    rows = order.deliveries.filter(dropped_at=None).order_by("planned_for", "id")
    return sorted(((row, row.planned_for == today) for row in rows), key=lambda pair: not pair[1])


def _show(
    request: HttpRequest, link: AccessLink, order: Order, *, status: int = 200, **more: Any
) -> HttpResponse:
    firm = company()
    sent = [one for one in release_reads.drawing_sets(order) if one.sent_by_id or one.link_id]
    parts = set_parts(sent)
    asked = next((part for part in parts if part.set.answered_at is None), None)
    context = {
        **firm.context,
        "link_id": link.public_id,
        "order": order,
        "project": order.revision.quote.project,
        "stages": selectors.order_stage_line(order),
        "floors": floor_cards(selectors.accepted_package(order)),
        "asked": asked if order.stage not in ("cancelled", "closed") else None,
        "answered": [part for part in parts if part.set.answered_at is not None],
        "newest": parts[0] if parts else None,
        "answer_form": AnswerForm(initial={"name": link.for_name}),
        "deliveries": _deliveries(order),
        "languages": LANGUAGES,
        "supplier": firm,
        "changes": [part for part in change_parts(order) if part.state not in UNSEEN],
    }
    return render(request, "orders/your_order.html", context | more, status=status)


@grants(PUBLIC)
@require_GET
def your_order(request: HttpRequest, public_id: str) -> HttpResponse:
    link, order = _opened(request, public_id)
    return _show(request, link, order)


@grants(PUBLIC)
@takes_bytes(BODY_MOST, by_link=LinkPurpose.ORDER)
@require_POST
def your_order_answer(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    """The drawings are right, or something must change."""
    link, order = _opened(request, public_id)
    drawing_set = release_reads.drawing_set_get(order, number)
    form = AnswerForm(request.POST, request.FILES)
    if not form.is_valid():
        return _show(request, link, order, status=422, answer_form=form)
    actor = by_link(link, form.cleaned_data["name"])
    try:
        services.drawings_answer(actor=actor, at=database_now(), drawing_set=drawing_set, **form.values)
    except NotThere:
        raise
    except ApplicationError as error:
        form.show(error if isinstance(error, (Refused, TooBig)) else Refused(error.message))
        fresh = release_reads.order_of_link(link)
        return _show(request, link, fresh, status=error.status, answer_form=form, refused=form)
    return redirect("orders:your_order", link.public_id)


@grants(PUBLIC)
@require_GET
def your_order_drawings(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    _, order = _opened(request, public_id, "drawing_set")
    paper = paper_get("order_drawings", release_reads.drawing_set_get(order, number))
    if paper is None:
        raise NotThere("These drawings are being made. Try again in a minute.")
    return paper_response(paper)
