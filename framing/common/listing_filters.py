"""Filters of lists: each is a field above the list and a word in its address."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, ClassVar

import django_filters as filters
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

from framing.common.errors import Refused
from framing.common.find import check_asked, pks_matching
from framing.common.models import Role, User

MONEY_DIGITS = {"max_digits": 12, "decimal_places": 2, "widget": forms.TextInput({"inputmode": "decimal"})}
DAY = {"widget": forms.DateInput({"type": "date"}, format="%Y-%m-%d")}


def _findable(text: str) -> None:
    try:
        check_asked(text)
    except Refused as error:
        raise ValidationError(error.message) from error


def sellers() -> list[tuple[str, str]]:
    """People who can own builders, projects, quotes and orders, as choices."""
    people = User.objects.filter(role__in=(Role.SELLER, Role.MANAGER)).order_by("name", "pk")
    return [("mine", "Mine"), ("team", "My team's"), *((str(one.pk), one.name) for one in people)]


class ListFilters(filters.FilterSet):  # type: ignore[misc]  # the library has no types
    """Base of a list's filters. `kind` is that of its find entries; `more` names filters that stand folded away."""

    kind: ClassVar[str] = ""
    more: ClassVar[tuple[str, ...]] = ()
    owner_path: ClassVar[str] = "owner"

    def __init__(self, data: Any, queryset: QuerySet[Any], reader: User | None) -> None:
        super().__init__(data, queryset=queryset)
        self.reader = reader
        self.instead: tuple[tuple[str, str], ...] = ()

    def by_words(self, rows: QuerySet[Any], name: str, text: str) -> QuerySet[Any]:
        """What the find box finds of this kind."""
        del name
        keys, question = pks_matching(text, self.kind)
        self.instead = question.instead
        return rows.filter(pk__in=keys)

    def by_owner(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        del name
        if value == "mine":
            return rows.filter(**{self.owner_path: self.reader})
        if value == "team":
            team = self.reader.team if self.reader else ""
            mates = Q(**{f"{self.owner_path}__team": team}) if team else Q()
            return rows.filter(Q(**{self.owner_path: self.reader}) | mates)
        return rows.filter(**{f"{self.owner_path}__pk": int(value)})


def search_filter(label: str) -> Any:
    """The words field: what it finds is what the find box finds."""
    return filters.CharFilter(
        label=label,
        method="by_words",
        max_length=100,
        validators=[_findable],
        widget=forms.TextInput({"type": "search"}),
    )


def owner_filter(label: str = "Seller") -> Any:
    return choice_filter(label, sellers, method="by_owner", empty="Everybody")


def choice_filter(
    label: str,
    choices: Iterable[tuple[str, str]] | Callable[[], Iterable[tuple[str, str]]],
    *,
    method: str = "",
    path: str = "",
    empty: str = "All",
) -> Any:
    given = {"method": method} if method else {"field_name": path}
    words = {"invalid_choice": "It is none of the choices."}
    return filters.ChoiceFilter(
        label=label, choices=choices, empty_label=empty, error_messages=words, **given
    )


def day_filter(label: str, path: str, *, until: bool = False) -> Any:
    """From a day on, or until one, itself included; `path` is a date, or a time with `__date`."""
    return filters.DateFilter(label=label, field_name=path, lookup_expr="lte" if until else "gte", **DAY)


def money_filter(label: str, path: str, *, most: bool = False) -> Any:
    return filters.NumberFilter(
        label=label, field_name=path, lookup_expr="lte" if most else "gte", **MONEY_DIGITS
    )
