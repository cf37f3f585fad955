"""The home page: what waits for the reader."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from framing.common.access import SIGNED_IN, grants
from framing.common.clock import database_now
from framing.common.zones import company_day
from orders.views.parts import user_of
from orders.waiting import waiting_for


@grants(SIGNED_IN)
@require_GET
def today(request: HttpRequest) -> HttpResponse:
    at = database_now()
    context = {
        "sections": waiting_for(user_of(request), at),
        "today": company_day(at),
        "role": user_of(request).role,
    }
    return render(request, "orders/today.html", context)
