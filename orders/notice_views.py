"""Notices: which moves send what to whom, and what was sent to whom and when."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_POST

from framing.common.access import grants, may
from framing.common.actors import person
from framing.common.clock import database_now
from framing.common.errors import Clash
from framing.common.mail import mail_get
from framing.common.models import MailMessage, MailState
from orders import selectors, services
from orders.delivery_tabs import tabs_of
from orders.notice_reads import (
    mails_to_repeat,
    may_repeat,
    missed_get,
    notice_mails,
    notice_on,
    notices_missed,
    notices_stopped,
    order_mails,
)
from orders.notices import MOVES
from orders.states import NoticeTo
from orders.views.parts import user_of
from quotes.mail_kinds import KINDS

PAGE = 50
WHYS = 5


@grants("notice", "read")
@require_GET
def notice_page(request: HttpRequest) -> HttpResponse:
    """The choices as a table: a move a row, a person a column."""
    role, on = user_of(request).role, notice_on()
    rows = [(move, [(to, on.get((move.key, to.value))) for to in NoticeTo]) for move in MOVES.values()]
    context = {
        "rows": rows,
        "columns": list(NoticeTo),
        "tabs": tabs_of(role, "orders:notice_page"),
        "may_change": may(role, "notice", "change"),
        "may_words": may(role, "mail_template", "read"),
    }
    return render(request, "orders/notice_page.html", context)


@grants("notice", "change")
@require_POST
def notice_choose(request: HttpRequest) -> HttpResponse:
    """One choice: `move`, `to`, and `on` as 1 or 0."""
    services.notice_choose(
        actor=person(user_of(request)),
        at=database_now(),
        move=request.POST.get("move", ""),
        to=request.POST.get("to", ""),
        on=request.POST.get("on") == "1",
    )
    messages.success(request, "Kept.")
    return redirect("orders:notice_page")


@grants("notice", "read")
@require_GET
def notice_sent(request: HttpRequest) -> HttpResponse:
    """All mails of notices, newest first."""
    search, state = request.GET.get("search", "")[:100], request.GET.get("state", "")
    state = state if state in MailState.values else ""
    rows = notice_mails(search=search, state=state)
    return _sent(request, rows, {"search": search, "state": state, "states": MailState.choices})


@grants("notice", "read")
@require_GET
def order_notices(request: HttpRequest, public_id: str) -> HttpResponse:
    """What was sent about one order."""
    order = selectors.order_get(public_id)
    return _sent(request, order_mails(order), {"order": order})


def _sent(request: HttpRequest, rows: QuerySet[MailMessage], context: dict[str, object]) -> HttpResponse:
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    query = {key: value for key in ("search", "state") if (value := context.get(key))}
    role = user_of(request).role
    context |= {
        "page": page,
        "query": urlencode(query),  # type: ignore[arg-type]
        "mails": [(mail, KINDS[mail.kind].title if mail.kind in KINDS else mail.kind) for mail in page],
        "repeats": may_repeat(page.object_list) if may(role, "notice", "send") else set(),
        "missed": [(row, MOVES[row.move].title) for row in notices_missed(context.get("order"))[:PAGE]],  # type: ignore[arg-type]
        "may_send": may(role, "notice", "send"),
        "failed": len(mails_to_repeat(database_now(), context.get("order"))),  # type: ignore[arg-type]
        "stopped": notices_stopped(),
    }
    return render(request, "orders/notice_sent.html", context)


@grants("notice", "send")
@require_POST
def notice_retry(request: HttpRequest, mail_id: str) -> HttpResponse:
    """Send a mail again that was not sent, or came back and has another address now."""
    try:
        mail = services.notice_resend(
            actor=person(user_of(request)), mail=mail_get(mail_id), at=database_now()
        )
    except Clash as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"The mail to {mail.to_address} is on its way again.")
    return _back(request)


@grants("notice", "send")
@require_POST
def notice_retry_all(request: HttpRequest) -> HttpResponse:
    """Send all again that failed lately, of the order that is named or of all; says how many went and what stays."""
    named = request.POST.get("order", "")
    order = selectors.order_get(named) if named else None
    done = services.notice_resend_all(actor=person(user_of(request)), at=database_now(), order=order)
    went = len(done.sent)
    words = f"{went} mail{' is' if went == 1 else 's are'} on {'its' if went == 1 else 'their'} way again."
    if went or not done.left:
        messages.success(request, words if went else "Nothing was left to send again.")
    for why in list(dict.fromkeys(why for _, why in done.left))[:WHYS]:
        messages.warning(request, f"Not sent again: {why}")
    return _back(request)


@grants("notice", "send")
@require_POST
def notice_send(request: HttpRequest, public_id: str) -> HttpResponse:
    """Send a notice that could not be made."""
    missed = missed_get(public_id)
    try:
        mail = services.notice_send(actor=person(user_of(request)), missed=missed, at=database_now())
    except Clash as error:
        messages.error(request, error.message)
    else:
        messages.success(request, f"The mail to {mail.to_address} is on its way.")
    return _back(request)


def _back(request: HttpRequest) -> HttpResponse:
    """To the list that was acted on: the order's, or all."""
    order = request.POST.get("order", "")
    if order:
        return redirect("orders:order_notices", selectors.order_get(order).public_id)
    return redirect("orders:notice_sent")
