"""Columns of lists: how a cell reads on the page, what stands for it in a file, and by what it is sorted.

A file gets numbers for money, lengths and counts, dates for dates, and text as it is shown.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any, ClassVar, Final

import django_tables2 as tables
from django.db.models import Expression, F
from django.db.models.functions import Lower
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.html import format_html

from framing.common.templatetags.figures import NOTHING, money, percent
from framing.common.zones import company_day

DAY: Final = "M j, Y"
SIXTEENTHS_PER_FOOT: Final = 192


class Words(tables.Column):  # type: ignore[misc]  # the library has no types
    """Text.

    Args:
        path: the field, joins by two underscores.
        needs: annotations that the column reads, by name; made only where it is shown or sorted by.
        order: the field to sort by where it is not `path`; "" for a column that can't be sorted.
        act: object and verb of the access table that a reader of the column needs.
        unit: stands under the head.
    """

    css: ClassVar[str] = ""
    kind: ClassVar[str] = "text"
    folds: ClassVar[bool] = True  # capitals sort with small letters

    def __init__(
        self,
        label: str,
        path: str,
        *,
        needs: Mapping[str, Any] | None = None,
        order: str | None = None,
        act: tuple[str, str] | None = None,
        unit: str = "",
        nothing: str = NOTHING,
    ) -> None:
        super().__init__(verbose_name=label, accessor=path, default=nothing)
        self.label, self.path, self.needs, self.act, self.unit = label, path, needs or {}, act, unit
        self.sort_path = path if order is None else order

    def render(self, value: Any) -> Any:
        return value

    def value(self, value: Any) -> Any:
        return str(value)

    def ordering(self, *, falls: bool) -> Expression:
        """What the database sorts by; what is empty stands last either way."""
        field = Lower(self.sort_path) if self.folds else F(self.sort_path)
        return field.desc(nulls_last=True) if falls else field.asc(nulls_last=True)


class Short(Words):
    """Text that stands in one line, such as a phone number."""

    css = "fit"


class Linked(Words):
    """The thing's name or number, which leads to its page."""

    def __init__(self, label: str, path: str, route: str, *, figure: bool = False, of: str = "", **more: Any):
        super().__init__(label, path, **more)
        self.route, self.figure, self.of = route, figure, of

    def render(self, value: Any, record: Any) -> str:  # type: ignore[override]  # asked for by name
        thing = record
        for step in filter(None, self.of.split("__")):
            thing = getattr(thing, step)
        url = reverse(self.route, args=[thing.public_id])
        shown = '<a class="fig" href="{}">{}</a>' if self.figure else '<a href="{}">{}</a>'
        return format_html(shown, url, value)


class Stage(Words):
    """A stage: a word with its shape. The table library brings the word of a field with choices, not its value."""

    folds = False

    def __init__(self, label: str, path: str, words: Mapping[str, str], **more: Any):
        super().__init__(label, path, **more)
        self.states = {word: state for state, word in words.items()}

    def render(self, value: Any) -> str:
        state = self.states.get(str(value), value)
        return format_html('<span class="state" data-state="{}">{}</span>', state, value)


class Count(Words):
    css, kind, folds = "num", "count", False

    def value(self, value: Any) -> int:
        return int(value)


class Share(Words):
    """A share as per cent."""

    css, kind, folds = "num fit", "share", False

    def render(self, value: Any) -> str:
        return percent(value)

    def value(self, value: Any) -> Decimal:
        return Decimal(value)


class Money(Words):
    """Money with the currency that stands at `currency` of the record."""

    css, kind, folds = "num fit", "money", False

    def __init__(self, label: str, path: str, currency: str, **more: Any):
        super().__init__(label, path, **more)
        self.currency = currency

    def render(self, value: Any, record: Any) -> str:  # type: ignore[override]  # asked for by name
        return money(value, getattr(record, self.currency) or "USD")

    def value(self, value: Any) -> Decimal:
        return Decimal(value)


class Feet(Words):
    """A length that is kept in whole sixteenths of an inch, in feet."""

    css, kind, folds = "num fit", "feet", False

    def render(self, value: Any) -> str:
        return f"{self.value(value):,.1f}"

    def value(self, value: Any) -> Decimal:
        return Decimal(value) / SIXTEENTHS_PER_FOOT


class Pounds(Words):
    css, kind, folds = "num fit", "pounds", False

    def render(self, value: Any) -> str:
        return f"{round(value):,}"

    def value(self, value: Any) -> Decimal:
        return Decimal(value)


class Day(Words):
    css, kind, folds = "fit", "day", False

    def render(self, value: Any) -> str:
        return date_format(self.value(value), DAY)

    def value(self, value: date | datetime) -> date:
        return company_day(value) if isinstance(value, datetime) else value


class ListTable(tables.Table):  # type: ignore[misc]  # the library has no types
    """Base of the tables of lists; `usual` names the columns that are shown where nobody chose any."""

    usual: ClassVar[tuple[str, ...]] = ()

    class Meta:
        orderable = False  # lists sort by themselves, over all pages
        template_name = "lists/table.html"
