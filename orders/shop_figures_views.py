"""The shop's figures: a page of plots with their tables for a period, and each table as a file."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import NotThere, Refused
from orders.forms import show_refusal
from orders.shop_figures_parts import parts, tables
from orders.shop_figures_reads import asked_words, period_asked, shop_figures
from orders.shop_figures_shapes import table_csv
from quotes.figures_periods import Period, day_of, periods_offered


class PeriodForm(forms.Form):
    """The period of the figures; what is refused keeps what was typed."""

    period = forms.ChoiceField(label="Period")
    first = forms.CharField(label="First day", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    last = forms.CharField(label="Last day", required=False, widget=forms.DateInput(attrs={"type": "date"}))

    def __init__(self, asked: Mapping[str, str], today: date, period: Period | None) -> None:
        super().__init__({"period": period.key if period else "", **asked})
        choices = periods_offered(today)
        if period is not None and period.key not in dict(choices):
            choices.insert(0, (period.key, period.name))
        self.fields["period"].choices = choices  # type: ignore[attr-defined]  # a field of choices


@grants("shop_figures", "read")
@require_GET
def figures(request: HttpRequest) -> HttpResponse:
    """On-time rate, feet per shift, change-over, scrap, backlog and claims."""
    at = database_now()
    words, today = asked_words(request.GET), day_of(at)
    try:
        period = period_asked(request.GET, today)
    except Refused as error:
        form = PeriodForm(words, today, None)
        form.is_valid()
        form.errors.pop(error.field, None)
        show_refusal(form, error)
        return render(request, "orders/figures.html", {"form": form}, status=422)
    found = shop_figures(period, at)
    before, after = period.neighbours
    context = {
        "form": PeriodForm(words, today, period),
        "period": period,
        "before": before and {"name": before.name, "query": urlencode(before.query)},
        "after": after and {"name": after.name, "query": urlencode(after.query)},
        "query": urlencode(period.query),
        "figures": found,
        "parts": parts(found),
    }
    return render(request, "orders/figures.html", context)


@grants("shop_figures", "read")
@require_GET
def figures_csv(request: HttpRequest, key: str) -> HttpResponse:
    """One table of the page as CSV."""
    at = database_now()
    found = shop_figures(period_asked(request.GET, day_of(at)), at)
    table = tables(found).get(key)
    if table is None:
        raise NotThere()
    return HttpResponse(
        table_csv(table),
        content_type="text/csv; charset=utf-8",
        headers={
            "Content-Disposition": f'attachment; filename="shop-{table.key}.csv"',
            "X-Content-Type-Options": "nosniff",
        },
    )
