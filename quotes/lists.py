"""The list of quotes: its filters, its columns, its order."""

from __future__ import annotations

from django.db.models import CharField, FloatField, OuterRef, QuerySet, Subquery, Value
from django.db.models.functions import Cast, Coalesce, Concat, NullIf

from framing.common.listing import ListSpec, list_register
from framing.common.listing_columns import Day, Linked, ListTable, Money, Share, Stage, Words
from framing.common.listing_filters import (
    ListFilters,
    choice_filter,
    day_filter,
    money_filter,
    owner_filter,
    search_filter,
)
from quotes import selectors
from quotes.models import Acceptance, Quote, QuoteRevision
from quotes.states import QuoteStage

_NEWEST = QuoteRevision.objects.filter(quote=OuterRef("pk"), withdrawn_at=None).order_by("-number")
_AGREED = Acceptance.objects.filter(quote=OuterRef("pk"), revision__withdrawn_at=None).order_by("-id")


def _newest(name: str) -> Coalesce:
    """A figure of what the builder accepted last, an alternate of it too (R42), else of the newest revision."""
    return Coalesce(
        Subquery(_AGREED.values(f"alternate__{name}")[:1]),
        Subquery(_AGREED.values(f"revision__{name}")[:1]),
        Subquery(_NEWEST.values(name)[:1]),
    )


_PRICE = _newest("goods") + _newest("freight")
_MARGIN = Cast(_PRICE - _newest("cost"), FloatField()) / NullIf(Cast(_PRICE, FloatField()), 0.0)


class QuoteTable(ListTable):
    usual = ("number", "project", "builder", "stage", "total", "valid_until", "owner")

    number = Linked("Quote", "latest_label", "quotes:quote_page", figure=True, order="number")
    project = Words("Project", "project__name")
    builder = Words("Builder", "project__builder__name")
    city = Words("City", "project__site__city")
    stage = Stage("Stage", "stage", dict(QuoteStage.choices))
    goods = Money("Goods", "latest_goods", "latest_currency", needs={"latest_goods": _newest("goods")})
    total = Money("Total", "latest_total", "latest_currency")
    margin = Share("Margin", "latest_margin", needs={"latest_margin": _MARGIN}, act=("cost", "read"))
    valid_until = Day("Valid until", "latest_valid_day")
    begun = Day("Begun", "created_at")
    owner = Words("Seller", "owner__name")


class QuoteFilters(ListFilters):
    kind = "quote"
    more = ("total_from", "total_to", "valid_from", "valid_to", "begun_from", "begun_to")

    search = search_filter("Number, project, builder or address")
    stage = choice_filter("Stage", QuoteStage.choices, path="stage")
    owner = owner_filter()
    total_from = money_filter("Total from", "latest_total")
    total_to = money_filter("Total to", "latest_total", most=True)
    valid_from = day_filter("Valid until, from", "latest_valid_day")
    valid_to = day_filter("Valid until, to", "latest_valid_day", until=True)
    begun_from = day_filter("Begun from", "created_at__date")
    begun_to = day_filter("Begun to", "created_at__date", until=True)


def _rows() -> QuerySet[Quote]:
    label = Concat("number", Value("-R"), Cast("latest_number", CharField()))
    return selectors.quote_list().select_related("project__site").annotate(latest_label=label)


def register() -> None:
    list_register(
        ListSpec(
            "quotes", "Quotes", ("quote", "read"), "quotes:quote_list", "quotes:quote_file",
            _rows, QuoteTable, QuoteFilters,
        )
    )  # fmt: skip
