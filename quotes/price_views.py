"""Pages of the price book: what holds, every version, the draft's form, files in and out, review and putting in force."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from framing.common.access import grants, may
from quotes.models import PriceBook
from quotes.views import actor_of


@grants("price_book", "read")
@require_GET
def price_book(request: HttpRequest) -> HttpResponse:
    """The price book in force; costs only for those who may see all of them."""
    actor = actor_of(request)
    book = PriceBook.objects.in_force().prefetch_related("items", "tiers", "freight", "taxes").first()
    context = {"book": book, "cost": may(actor.audience, "cost", "read", own=False)}
    return render(request, "quotes/price_book.html", context)
