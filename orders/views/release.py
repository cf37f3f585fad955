"""The verbs between booking and release: day on site, deposits, drawings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from framing.common.access import grants
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Clash, NotThere, Refused, TooBig
from framing.common.idempotency import new_key
from framing.common.intake import takes_bytes
from framing.common.papers import paper_get, paper_response
from orders import change_reads, release_reads, selectors, services
from orders.markup_store import BODY_MOST
from orders.models import Order
from orders.release_forms import DayForm, DepositForm, RecordForm, SendDrawingsForm, TakeBackForm
from orders.views.orders import show_order
from orders.views.parts import user_of

FormOnPage = DayForm | DepositForm | RecordForm | TakeBackForm


def _do(
    request: HttpRequest, order: Order, name: str, form: FormOnPage, act: Callable[..., Any], said: str
) -> HttpResponse:
    """Do a verb of a form on the order's page; what is refused comes back there with what was typed."""
    if form.is_valid():
        values = getattr(form, "values", form.cleaned_data)
        try:
            act(actor=person(user_of(request)), at=database_now(), **values)
        except (Refused, TooBig) as error:
            form.show(error)
        else:
            messages.success(request, said)
            return redirect("orders:order_page", order.public_id)
    return show_order(request, order, status=422, **{name: form})


@grants("order", "change")
@require_POST
def deliver_on(request: HttpRequest, public_id: str) -> HttpResponse:
    order = selectors.order_get(public_id)

    def act(**values: Any) -> None:
        services.order_deliver_on(order=order, **values)

    return _do(request, order, "day_form", DayForm(request.POST), act, "The day on site is set.")


@grants("deposit", "record")
@require_POST
def deposit_record(request: HttpRequest, public_id: str) -> HttpResponse:
    order = selectors.order_get(public_id)

    def act(idempotency_key: str, **values: Any) -> None:
        services.deposit_record(order=order, key=idempotency_key, **values)

    return _do(request, order, "deposit_form", DepositForm(request.POST), act, "The deposit is written down.")


@grants("deposit", "take_back")
@require_POST
def deposit_take_back(request: HttpRequest, public_id: str, deposit_id: int) -> HttpResponse:
    order = selectors.order_get(public_id)
    deposit = release_reads.deposit_get(order, deposit_id)

    def act(**values: Any) -> None:
        services.deposit_take_back(deposit=deposit, **values)

    return _do(
        request, order, "take_back_form", TakeBackForm(request.POST), act, "The deposit is taken back."
    )


@grants("order", "approve")
@takes_bytes(BODY_MOST)
@require_POST
def drawings_record(request: HttpRequest, public_id: str) -> HttpResponse:
    order = selectors.order_get(public_id)

    def act(**values: Any) -> None:
        services.drawings_record(order=order, **values)

    form = RecordForm(request.POST, request.FILES)
    return _do(request, order, "record_form", form, act, "The answer is recorded.")


@grants("drawing_set", "send")
@require_http_methods(["GET", "HEAD", "POST"])
def drawings_send(request: HttpRequest, public_id: str) -> HttpResponse:
    """To whom the drawings go; each gets a mail with a link of his own."""
    order = selectors.order_get(public_id)
    builder = order.revision.quote.project.builder
    first = {"idempotency_key": new_key(), "name-1": builder.contact_name, "email-1": builder.email}
    form = SendDrawingsForm(request.POST or None, initial=first)
    status = 200
    if request.method == "POST":
        if form.is_valid() and _sent(request, order, form):
            messages.success(request, "The drawings are on their way to the builder.")
            return redirect("orders:order_page", order.public_id)
        status = 422
    return render(request, "orders/drawings_send.html", {"form": form, "order": order}, status=status)


def _sent(request: HttpRequest, order: Order, form: SendDrawingsForm) -> bool:
    try:
        services.drawings_send(
            actor=person(user_of(request)),
            at=database_now(),
            order=order,
            people=form.people,
            word=form.cleaned_data["word"],
            key=form.cleaned_data["idempotency_key"],
        )
    except Refused as error:
        form.show(error)
    except Clash as error:
        form.add_error(None, error.message)
    else:
        return True
    return False


@grants("drawing_set", "read")
@require_GET
def drawings_paper(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    """The stored drawings of a set."""
    del request
    paper = paper_get("order_drawings", release_reads.drawing_set_get(selectors.order_get(public_id), number))
    if paper is None:
        raise NotThere("These drawings are being made. Try again in a minute.")
    return paper_response(paper)


@grants("drawing_set", "read")
@require_GET
def drawings_markup(request: HttpRequest, public_id: str, number: int) -> HttpResponse:
    """Pictures of what the builder marked up."""
    del request
    paper = paper_get("drawing_markup", release_reads.drawing_set_get(selectors.order_get(public_id), number))
    if paper is None:
        raise NotThere("There are no pictures of a marked-up file here.")
    return paper_response(paper)


@grants("order", "read")
@require_GET
def floors_now(request: HttpRequest, public_id: str) -> HttpResponse:
    """What would change if the order followed its floors as they are saved now; nothing is written."""
    order = selectors.order_get(public_id)
    project = order.revision.quote.project
    context: dict[str, Any] = {"order": order, "project": project, "units": project.units}
    try:
        context["found"] = change_reads.floors_now(order, database_now())
    except Refused as error:
        context["refused"] = error.message
    return render(request, "orders/floors_now.html", context)
