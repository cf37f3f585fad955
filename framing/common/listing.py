"""Lists one lives in: filters, order and columns stand in the address, and what can't be read there is said.

Each app registers its lists; pages, files, the API and saved filters all read an address by `list_read`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final
from urllib.parse import urlencode

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import QueryDict
from django_tables2.rows import BoundRow

from framing.common.access import may
from framing.common.errors import NotThere
from framing.common.listing_columns import ListTable, Words
from framing.common.listing_filters import ListFilters
from framing.common.models import User

PAGE_ROWS: Final = 50
SORTS_MOST: Final = 3
SAID_MOST: Final = 8
SHOWN_MOST: Final = 40
WIDE_FROM: Final = 7
ALL: Final = "all"  # in an address: the whole list, whatever the reader begins with
OURS: Final = ("sort", "cols", "page", ALL)


@dataclass(frozen=True, slots=True)
class ListSpec:
    """A list.

    Args:
        key: kept in saved filters, never changed afterwards.
        act: object and verb of the access table that a reader needs.
        page: route of the page; `files` that of its files, which takes the form.
        rows: the things, before any filter.
        order: what the database sorts by where nobody chose.
        begins: values of filters that hold where the address names none.
    """

    key: str
    title: str
    act: tuple[str, str]
    page: str
    files: str
    rows: Callable[[], QuerySet[Any]]
    table: type[ListTable]
    filters: type[ListFilters]
    order: tuple[str, ...] = ("-pk",)
    begins: Mapping[str, str] = field(default_factory=dict)

    def columns(self, audience: str) -> dict[str, Words]:
        """The columns that this role may see, by name."""
        named: dict[str, Words] = self.table.base_columns
        return {
            name: one for name, one in named.items() if one.act is None or may(audience, *one.act, own=False)
        }

    def usual(self, audience: str) -> tuple[str, ...]:
        """The columns that are shown where nobody chose any."""
        return tuple(name for name in self.columns(audience) if name in self.table.usual)


LISTS: dict[str, ListSpec] = {}


def list_register(spec: ListSpec) -> None:
    LISTS[spec.key] = spec


def list_named(key: str) -> ListSpec:
    """Raises NotThere."""
    if key not in LISTS:
        raise NotThere()
    return LISTS[key]


@dataclass(slots=True)
class Asked:
    """An address, read: `query` is what of it holds, `said` tells what was left out and why."""

    spec: ListSpec
    audience: str
    filters: ListFilters
    columns: tuple[str, ...]
    sorts: tuple[tuple[str, bool], ...]
    said: list[str]
    page: str = ""

    @property
    def query(self) -> str:
        """The address in its shortest form, without the page."""
        return self.with_sort(",".join(("-" if falls else "") + name for name, falls in self.sorts))

    def with_sort(self, sort: str) -> str:
        columns = self.columns if self.columns != self.spec.usual(self.audience) else ()
        pairs = [*self.filtered, ("sort", sort), ("cols", ",".join(columns))]
        return urlencode(
            [(name, value) for name, value in pairs if value or name in self.spec.begins], safe=","
        )

    @property
    def filtered(self) -> list[tuple[str, str]]:
        """Filters by name and typed value; those that hold anyway are left out."""
        form = self.filters.form
        values = ((name, str(self.filters.data.get(name, "")).strip()) for name in form.fields)
        return [
            (name, value)
            for name, value in values
            if name not in form.errors and value != self.spec.begins.get(name, "")
        ]

    @property
    def words(self) -> list[str]:
        """What the address asks for, in words: “Stage: Issued”."""
        known, fields = self.spec.columns(self.audience), self.filters.form.fields
        said = [f"{fields[name].label}: {_chosen(fields[name], value)}" for name, value in self.filtered]
        order = ", then ".join(
            f"{known[name].label}{', falling' if falls else ''}" for name, falls in self.sorts
        )
        said += [f"order: {order}"] if order else []
        if self.columns != self.spec.usual(self.audience):
            said.append(f"columns: {', '.join(known[name].label for name in self.columns)}")
        return said

    def rows(self) -> QuerySet[Any]:
        """The things of the list, all pages, each with what its columns need."""
        rows: QuerySet[Any] = self.filters.qs  # puts the question, and knows then what was taken for it
        self.said += [f"Nothing has “{asked}”; “{other}” was taken." for asked, other in self.filters.instead]
        known = self.spec.columns(self.audience)
        needed = [*self.columns, *(name for name, _ in self.sorts)]
        needs = {name: made for column in needed for name, made in known[column].needs.items()}
        order: list[Any] = [known[name].ordering(falls=falls) for name, falls in self.sorts]
        ordered: QuerySet[Any] = rows.annotate(**needs).order_by(*(order or self.spec.order), "-pk")
        return ordered

    def table(self) -> ListTable:
        """The chosen columns in their order, without rows."""
        hidden = [name for name in self.spec.table.base_columns if name not in self.columns]
        return self.spec.table([], sequence=self.columns, exclude=hidden)


def list_read(spec: ListSpec, params: QueryDict, *, audience: str, reader: User | None) -> Asked:
    """Read an address. Nothing in it is an error: what can't be used is left out and said."""
    data = params.copy()
    for name, value in spec.begins.items():
        if name not in data:
            data[name] = value
    filters = spec.filters(data, queryset=spec.rows(), reader=reader)
    said = [*_unknown(params, filters), *_unfit(filters)]
    columns, no_columns = _columns(spec, params, audience)
    sorts, no_sorts = _sorts(spec, params, audience)
    said = [*said, *no_columns, *no_sorts]
    if len(said) > SAID_MOST:
        said[SAID_MOST:] = [f"{len(said) - SAID_MOST} more were left out."]
    return Asked(spec, audience, filters, columns, sorts, said, params.get("page", ""))


def _chosen(field: Any, value: str) -> str:
    choices = {str(key): str(label) for key, label in getattr(field, "choices", ())}
    return choices.get(value, value) or "all"


def shown(value: str) -> str:
    """What somebody typed, short enough to be said."""
    clean = value.replace("\x00", "?")
    return clean if len(clean) <= SHOWN_MOST else f"{clean[:SHOWN_MOST]}…"


def _unknown(params: QueryDict, filters: ListFilters) -> Iterator[str]:
    for name in params:
        if name not in OURS and name not in filters.base_filters:
            yield f"“{shown(name)}” is no filter of this list and was left out."


def _unfit(filters: ListFilters) -> Iterator[str]:
    form = filters.form
    for name, errors in form.errors.items():
        label = form.fields[name].label if name in form.fields else name
        value = shown(str(filters.data.get(name, "")))
        yield f"{label} “{value}” was left out. {' '.join(str(error) for error in errors)}"


def _split(params: QueryDict, name: str) -> list[str]:
    asked = (part.strip() for value in params.getlist(name) for part in value.split(","))
    return list(dict.fromkeys(filter(None, asked)))


def _columns(spec: ListSpec, params: QueryDict, audience: str) -> tuple[tuple[str, ...], list[str]]:
    known = spec.columns(audience)
    asked = _split(params, "cols")
    chosen = [name for name in asked if name in known]
    said = [
        f"There is no column “{shown(name)}” here; it was left out." for name in asked if name not in known
    ]
    first = next(iter(known))  # leads to the thing's page
    if chosen and chosen[0] != first:
        chosen = [first, *(name for name in chosen if name != first)]
    return tuple(chosen) or spec.usual(audience), said


def _sorts(
    spec: ListSpec, params: QueryDict, audience: str
) -> tuple[tuple[tuple[str, bool], ...], list[str]]:
    known = {name: one for name, one in spec.columns(audience).items() if one.sort_path}
    sorts: list[tuple[str, bool]] = []
    said: list[str] = []
    for part in _split(params, "sort"):
        name, falls = part.removeprefix("-"), part.startswith("-")
        if name in known and name not in dict(sorts):
            sorts.append((name, falls))
        else:
            said.append(f"This list can't be sorted by “{shown(part)}”; it was left out.")
    return tuple(sorts[:SORTS_MOST]), said


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a row, or the head of a column; `sorts` is the address that sorts by it."""

    text: Any
    label: str
    css: str
    unit: str = ""
    sorts: str = ""
    sorted: str = ""  # "ascending", "descending"


@dataclass(frozen=True, slots=True)
class Choice:
    name: str
    label: str
    chosen: bool
    usual: bool = False


@dataclass(frozen=True, slots=True)
class ListPage:
    """What the template of a list shows."""

    asked: Asked
    page: Page[Any]
    heads: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]
    columns: tuple[Choice, ...]
    sorts: tuple[Choice, ...]
    fields: tuple[Any, ...]
    more: tuple[Any, ...]
    more_open: bool

    @property
    def query(self) -> str:
        return self.asked.query

    @property
    def wide(self) -> bool:
        """More columns than a sheet of usual width holds."""
        return len(self.heads) > WIDE_FROM

    @property
    def whole(self) -> bool:
        """Nothing is filtered away."""
        return not self.asked.filtered


def list_page(asked: Asked) -> ListPage:
    """One page of a list, ready to be shown."""
    rows = asked.rows()
    pages = Paginator(rows, PAGE_ROWS)
    page = pages.get_page(asked.page)
    if asked.page and str(page.number) != asked.page:
        asked.said.append(f"There is no page “{shown(asked.page)}”; this is page {page.number}.")
    table = asked.table()
    known = asked.spec.columns(asked.audience)
    form, more = asked.filters.form, asked.filters.more
    typed = {name for name, _ in asked.filtered} | set(form.errors)
    return ListPage(
        asked=asked,
        page=page,
        heads=tuple(_head(asked, name, known[name]) for name in asked.columns),
        rows=tuple(tuple(_cells(asked, known, BoundRow(record, table=table))) for record in page),
        columns=tuple(
            Choice(name, one.label, name in asked.columns, name in asked.spec.table.usual)
            for name, one in known.items()
        ),
        sorts=tuple(_sort_choices(asked, known)),
        fields=tuple(form[name] for name in form.fields if name not in more),
        more=tuple(form[name] for name in form.fields if name in more),
        more_open=bool(typed & set(more)),
    )


def _head(asked: Asked, name: str, column: Words) -> Cell:
    now = dict(asked.sorts[:1]).get(name)
    turned = name if now is None or now else f"-{name}"
    return Cell(
        column.label,
        column.label,
        column.css,
        column.unit,
        f"?{asked.with_sort(turned)}" if column.sort_path else "",
        "" if now is None else "descending" if now else "ascending",
    )


def _cells(asked: Asked, known: Mapping[str, Words], row: BoundRow) -> Iterator[Cell]:
    for name in asked.columns:
        yield Cell(row.get_cell(name), known[name].label, known[name].css)


def _sort_choices(asked: Asked, known: Mapping[str, Words]) -> Iterator[Choice]:
    now = ",".join(("-" if falls else "") + name for name, falls in asked.sorts)
    offered = {
        key: f"{one.label}{', falling' if falls else ''}"
        for name, one in known.items()
        if one.sort_path
        for key, falls in ((name, False), (f"-{name}", True))
    }
    if now and now not in offered:
        offered[now] = ", then ".join(offered[part] for part in now.split(","))
    yield Choice("", "As usual", not now)
    for key, label in offered.items():
        yield Choice(key, label, key == now)
