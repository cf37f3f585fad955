"""Pages that look back: figures of a period, and the quotes behind each of them."""

from __future__ import annotations

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from framing.common.access import grants, may
from framing.common.clock import database_now
from framing.common.errors import Refused
from quotes.figures_asked import COUNTED, FIGURES, Asked, counted_asked, figures_asked, words_of
from quotes.figures_files import XLSX_TYPE, figures_workbook
from quotes.figures_forms import FiguresForm
from quotes.figures_lists import WHAT, Counted, quotes_counted, rows_counted, sums_counted
from quotes.figures_parts import Page, month_words
from quotes.figures_periods import day_of
from quotes.figures_reads import figures_read
from quotes.figures_whose import cost_scope, whose_offered
from quotes.lost_models import LostReason
from quotes.views import actor_of

PAGE = 50


@grants("quote", "read")
@require_GET
def figures(request: HttpRequest) -> HttpResponse:
    """Win rate, days to the answer, reasons, margins and values of a period."""
    at, offered = database_now(), whose_offered()
    words = words_of(request.GET, FIGURES)
    try:
        asked = figures_asked(request.GET, offered, at)
    except Refused as error:
        form = FiguresForm(words, offered, day_of(at), None)
        form.refuse(error)
        return render(request, "quotes/figures.html", {"form": form}, status=422)
    form = FiguresForm(words, offered, day_of(at), asked.period)
    found = figures_read(actor_of(request), asked.period, asked.whose)
    shop = may(actor_of(request).audience, "shop_figures", "read")
    context = {"form": form, **frame(asked), **Page(found, asked).parts(), "may_shop": shop}
    return render(request, "quotes/figures.html", context)


def frame(asked: Asked) -> dict[str, Any]:
    """The period in words with the ways to the ones beside it, and the query that keeps it."""
    who = {"who": asked.whose.key} if asked.whose.key else {}
    before, after = (
        near and {"name": near.name, "query": urlencode({**near.query, **who})}
        for near in asked.period.neighbours
    )
    return {
        "period": asked.period,
        "whose": asked.whose,
        "before": before,
        "after": after,
        "query": urlencode(asked.query),
    }


@grants("quote", "read")
@require_GET
def figures_quotes(request: HttpRequest) -> HttpResponse:
    """The quotes that a figure counts, with their sum."""
    try:
        asked = figures_asked(request.GET, None, database_now())
        counted = counted_asked(request.GET)
    except Refused as error:
        return render(request, "quotes/figures_quotes.html", {"refused": error.message}, status=422)
    actor = actor_of(request)
    rows = quotes_counted(actor, asked.period, asked.whose, counted)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    shows_margin = counted.what == "margin" and cost_scope(actor)[0] != "none"
    context = {
        **frame(asked),
        "page": page,
        "query": urlencode(words_of(request.GET, (*FIGURES, *COUNTED))),
        "back": urlencode(asked.query),
        **counted_words(counted),
        "sums": sums_counted(rows),
        "rows": rows_counted(page.object_list, margins=shows_margin),
        "shows_margin": shows_margin,
        "shows_reason": counted.what in ("lost", "declined", "lapsed", "decided"),
    }
    return render(request, "quotes/figures_quotes.html", context)


def counted_words(counted: Counted) -> dict[str, Any]:
    """What a list counts, as its heading says it."""
    return {
        "counted": counted,
        "what": WHAT[counted.what],
        "month": month_words(counted.month) if counted.month else "",
        "reason": LostReason(counted.reason).label if counted.reason else "",
    }


@grants("quote", "read")
@require_GET
def figures_xlsx(request: HttpRequest) -> HttpResponse:
    """The tables of the figures page as a workbook."""
    at = database_now()
    asked = figures_asked(request.GET, None, at)
    found = figures_read(actor_of(request), asked.period, asked.whose)
    return file_answer(figures_workbook(found, asked, at), "figures.xlsx")


def file_answer(data: bytes, name: str) -> HttpResponse:
    """A workbook to keep."""
    return HttpResponse(
        data,
        content_type=XLSX_TYPE,
        headers={
            "Content-Disposition": f'attachment; filename="{name}"',
            "X-Content-Type-Options": "nosniff",
        },
    )
