"""The pages that set two offers of a quote side by side (R40): staff's with all of it, the builder's without cost."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from framing.common.access import PUBLIC, grants
from framing.common.company import company
from framing.common.errors import NotThere
from quotes import selectors
from quotes.builder_views import offer_of_link
from quotes.compare import builders_part, compare
from quotes.compare_parts import compared
from quotes.compare_reads import comparison_with_last, offer_named, offer_names, offers_usual
from quotes.views import actor_of


@grants("quote", "read")
@require_GET
def quote_compare(request: HttpRequest, public_id: str) -> HttpResponse:
    """Any two offers of a quote; unasked the newest revision with the one before it."""
    quote = selectors.quote_get(public_id)
    names = offer_names(quote)
    context: dict[str, Any] = {"quote": quote, "project": quote.project, "names": names}
    try:
        usual = offers_usual(quote)
    except NotThere:
        return render(request, "quotes/compare.html", context)
    was, now = request.GET.get("was") or usual[0], request.GET.get("now") or usual[1]
    comparison = compare(offer_named(quote, was), offer_named(quote, now))
    cost = selectors.may_see_cost(actor_of(request), quote)
    currency = selectors.revision_list(quote)[0].currency
    context |= {"was": was, "now": now, "cost": cost, "currency": currency}
    return render(request, "quotes/compare.html", context | compared(comparison))


@grants(PUBLIC)
@require_GET
def your_quote_changes(request: HttpRequest, public_id: str) -> HttpResponse:
    """What this offer changes against the one before it, as the builder may see it."""
    link, revision = offer_of_link(request, public_id)
    firm = company()
    context = {
        **firm.context,
        "company": firm,
        "link": link,
        "quote": revision.quote,
        "revision": revision,
        "project": revision.quote.project,
        "currency": revision.currency,
        **compared(builders_part(comparison_with_last(revision))),
    }
    return render(request, "quotes/your_changes.html", context)
