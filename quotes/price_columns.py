"""The tables of a price book as people keep them in files and forms: parts, columns, and cells of a document. Pure.

It loads little: a process that reads a stranger's workbook begins with it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, Final, Literal

if TYPE_CHECKING:  # the reader of workbooks starts without it
    from quotes.price_documents import PriceBookDocument

Kind = Literal["text", "number", "percent", "whole", "list", "day"]
Cell = str | Decimal | int
HUNDRED: Final = Decimal(100)
CENT: Final = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its head, the document's field, how it is read, whether each row needs it.

    A file may lack the column altogether where it is `optional`.
    """

    name: str
    field: str
    kind: Kind = "text"
    needed: bool = True
    width: int = 14
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """One table: its word in a CSV file, its sheet in a workbook."""

    code: str
    sheet: str
    columns: tuple[Column, ...]


_FREE: Final = Column("no charge because", "no_charge", needed=False, width=30, optional=True)
BOOK: Final = Part(
    "book", "Book", (Column("name", "name", width=34), Column("value", "value", width=30, needed=False))
)
ITEMS: Final = Part(
    "item",
    "Items",
    (
        Column("code", "code", width=26),
        Column("description", "description", width=48),
        Column("sold by", "sold_by"),
        Column("class", "item_class"),
        Column("price", "price", "number"),
        Column("cost", "cost", "number"),
        _FREE,
    ),
)
TIERS: Final = Part(
    "tier", "Tiers", (Column("tier", "tier", width=22), Column("discount %", "share", "percent"))
)
FREIGHT: Final = Part(
    "freight",
    "Freight",
    (
        Column("zone", "zone", width=22),
        Column("truck", "truck", needed=False, width=22),
        Column("up to lb", "most_lb", "whole", needed=False),
        Column("price", "price", "number"),
        Column("cost", "cost", "number"),
        Column("regions", "regions", "list", needed=False, width=30),
        Column("postal codes", "postal", "list", needed=False, width=30),
        Column("from mi", "from_mi", "number", needed=False),
        Column("to mi", "to_mi", "number", needed=False),
        _FREE,
    ),
)
TAXES: Final = Part(
    "tax",
    "Taxes",
    (
        Column("place", "place", width=34),
        Column("class", "item_class"),
        Column("tax %", "share", "percent"),
    ),
)
PARTS: Final = (BOOK, ITEMS, TIERS, FREIGHT, TAXES)
MARGIN_ROW: Final = "margin floor %"
BOOK_ROWS: Final[Mapping[str, Column]] = {
    "name": Column("value", "name"),
    "currency": Column("value", "currency"),
    "valid from": Column("value", "valid_from", "day"),
    "steel surcharge per lb": Column("value", "surcharge_per_lb", "number"),
    MARGIN_ROW: Column("value", "margin_floor", "percent"),
    "discount limit %": Column("value", "discount_limit", "percent"),
    "line discount limit %": Column("value", "line_discount_limit", "percent"),
    "days that offers hold": Column("value", "valid_days", "whole"),
}
CLASS_WORDS: Final[Mapping[str, str]] = {"material": "material", "labour": "shop work", "freight": "freight"}


PROBLEMS_MOST: Final = 100


class PriceRowsRefused(ValueError):
    """Rows that make no price book; `problems` holds (place, message) pairs, the first hundred."""

    def __init__(self, problems: Sequence[tuple[str, str]]) -> None:
        self.problems = tuple(problems[:PROBLEMS_MOST])
        super().__init__("; ".join(f"{place}: {message}" for place, message in self.problems))


@dataclass(frozen=True, slots=True)
class RawRow:
    """One row as somebody wrote it: cells by column name; `place` names it, `letters` its columns.

    `comma_decimal`: it comes from where a comma may well be the sign before the decimals.
    """

    part: Part
    place: str
    cells: Mapping[str, str]
    letters: Mapping[str, str] = field(default_factory=dict)
    comma_decimal: bool = False

    def at(self, column: str) -> str:
        """Where a cell stands, as “Items, row 7, column E (price)”."""
        letter = self.letters.get(column)
        return f"{self.place}, column {letter} ({column})" if letter else f"{self.place}, {column}"


def document_rows(document: PriceBookDocument) -> Iterator[tuple[Part, dict[str, Cell]]]:
    """Every row of a document by part, in a file's order; cells that stay empty are left out."""
    for name, column in BOOK_ROWS.items():
        value = getattr(document, column.field)
        yield BOOK, {"name": name, "value": _cell(value, column.kind)}
    for item in document.items:
        words: dict[str, Cell] = {column.name: getattr(item, column.field) for column in ITEMS.columns}
        words |= {"price": rate(item.price), "cost": rate(item.cost)}
        words["class"] = CLASS_WORDS[item.item_class]
        words = {name: cell for name, cell in words.items() if cell != ""}
        yield ITEMS, words
    for tier, share in document.tiers.items():
        yield TIERS, {"tier": tier, "discount %": plain(share * HUNDRED)}
    yield from _freight_rows(document)
    for place, rates in document.taxes.items():
        for kind, share in rates.items():
            yield TAXES, {"place": place, "class": CLASS_WORDS[kind], "tax %": plain(share * HUNDRED)}


def _freight_rows(document: PriceBookDocument) -> Iterator[tuple[Part, dict[str, Cell]]]:
    for zone, entry in document.freight.items():
        row: dict[str, Cell] = {"zone": zone, "price": entry.price, "cost": entry.cost}
        row |= {_FREE.name: entry.no_charge} if entry.no_charge else {}
        for column, values in (("regions", entry.regions), ("postal codes", entry.postal)):
            row |= {column: ", ".join(values)} if values else {}
        if entry.from_mi is not None and entry.to_mi is not None:
            row |= {"from mi": plain(entry.from_mi), "to mi": plain(entry.to_mi)}
        yield FREIGHT, row
        for small in entry.trucks:
            less: dict[str, Cell] = {"zone": zone, "truck": small.truck, "up to lb": small.most_lb}
            less |= {"price": small.price, "cost": small.cost}
            less |= {_FREE.name: small.no_charge} if small.no_charge else {}
            yield FREIGHT, less


def _cell(value: object, kind: Kind) -> Cell:
    if isinstance(value, Decimal):
        return plain(value * HUNDRED) if kind == "percent" else rate(value)
    return value if isinstance(value, int) else str(value)


def rate(number: Decimal) -> Decimal:
    """A price with cents at least, and no idle zeros after them."""
    short = plain(number)
    return short if short.as_tuple().exponent < -2 else number.quantize(CENT)  # type: ignore[operator]


def plain(number: Decimal) -> Decimal:
    """A number without idle zeros, never in the short form with an exponent."""
    short = number.normalize()
    return short.quantize(Decimal(1)) if short == short.to_integral_value() else short


def letter_of(index: int) -> str:
    """A column's letters, A for 0."""
    letters = ""
    while index >= 0:
        letters = chr(ord("A") + index % 26) + letters
        index = index // 26 - 1
    return letters
