"""Rows as somebody wrote them into a price book document; what is wrong is told by row and column. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from quotes.price_columns import (
    BOOK,
    BOOK_ROWS,
    CLASS_WORDS,
    FREIGHT,
    HUNDRED,
    ITEMS,
    PARTS,
    TAXES,
    TIERS,
    Column,
    PriceRowsRefused,
    RawRow,
)
from quotes.price_documents import PriceBookDocument, PriceDocumentRefused, read_price_document
from quotes.price_fields import DAY_SHAPE, FORMULA_SIGNS

_NUMBER: Final = re.compile(r"-?(\d{1,12}|\d{1,3}(,\d{3}){1,3})(\.\d{1,8})?", re.ASCII)
_TOO_LONG: Final = re.compile(r"-?[\d,]{13,}(\.\d*)?|-?[\d,]+\.\d{9,}", re.ASCII)
FIGURES: Final = frozenset({"number", "percent", "whole"})
_CLASSES: Final = {words: kind for kind, words in CLASS_WORDS.items()} | {kind: kind for kind in CLASS_WORDS}
_PERCENT_FIELDS: Final = frozenset({"share", "margin_floor", "discount_limit", "line_discount_limit"})


def document_of_rows(rows: Iterable[RawRow], *, number: int = 1) -> PriceBookDocument:
    """The document that the rows make. Raises PriceRowsRefused with every wrong cell."""
    reading = _Reading(number)
    for row in rows:
        reading.take(row)
    return reading.document()


class _Reading:
    """Collects the document's parts, and where each of them was written."""

    def __init__(self, number: int) -> None:
        self.problems: list[tuple[str, str]] = []
        self.data: dict[str, Any] = {"format": "spanyard.price_book", "version": 1, "number": number}
        self.data |= {"items": [], "tiers": {}, "freight": {}, "taxes": {}}
        self.written: dict[tuple[Any, ...], RawRow] = {}
        self._takes = {
            BOOK.code: self._book,
            ITEMS.code: self._item,
            TIERS.code: self._tier,
            FREIGHT.code: self._freight,
            TAXES.code: self._tax,
        }

    def take(self, row: RawRow) -> None:
        self._takes[row.part.code](row)

    def document(self) -> PriceBookDocument:
        for name, column in BOOK_ROWS.items():
            if column.field not in self.data and not self._is_wrong(name):
                self.problems.append((BOOK.sheet, f"the row “{name}” is missing"))
        try:
            document = read_price_document(self.data)
        except PriceDocumentRefused as error:
            told = [
                problem for problem in error.problems if not (self.problems and problem[1] == "is missing")
            ]
            self.problems += [self._placed(*problem) for problem in told]
        if self.problems:
            raise PriceRowsRefused(self.problems)
        return document

    def _is_wrong(self, name: str) -> bool:
        return any(row.cells.get("name", "").strip().lower() == name for row in self._wrong_book_rows)

    @property
    def _wrong_book_rows(self) -> list[RawRow]:
        return [row for key, row in self.written.items() if key[0] == "wrong"]

    # --- one row of each part ---

    def _book(self, row: RawRow) -> None:
        name = row.cells.get("name", "").strip().lower()
        column = BOOK_ROWS.get(name)
        if column is None:
            known = ", ".join(BOOK_ROWS)
            self.problems.append((row.at("name"), f"“{name[:40]}” is none of: {known}"))
        elif (column.field,) in self.written:
            self.problems.append((row.at("name"), f"“{name}” stands twice"))
        else:
            value = self._value(row, column)
            self.written[(column.field,) if value is not None else ("wrong", name)] = row
            if value is not None:
                self.data[column.field] = value

    def _item(self, row: RawRow) -> None:
        values = self._values(row)
        if values is None:
            return
        first = self.written.get(("item", values["code"]))
        if first is not None:
            message = f"{values['code']} has a price already in {first.place}; one price for each item"
            self.problems.append((row.at("code"), message))
            return
        self.written["item", values["code"]] = self.written["items", len(self.data["items"])] = row
        self.data["items"].append(values)

    def _tier(self, row: RawRow) -> None:
        values = self._values(row)
        if values is not None and self._first(row, ("tiers", values["tier"]), "tier"):
            self.data["tiers"][values["tier"]] = values["share"]

    def _tax(self, row: RawRow) -> None:
        values = self._values(row)
        if values is None:
            return
        place, kind = values["place"], values["item_class"]
        if self._first(row, ("taxes", place, kind), "place"):
            self.data["taxes"].setdefault(place, {})[kind] = values["share"]

    def _freight(self, row: RawRow) -> None:
        values = self._values(row)
        if values is None:
            return
        zone, truck = values.pop("zone"), values.pop("truck", None)
        zones = self.data["freight"]
        if truck is None:
            if self._first(row, ("freight", zone), "zone"):
                trucks = zones.get(zone, {}).get("trucks", [])
                zones[zone] = {**values, "trucks": trucks} if trucks else values
            return
        alone = sorted({"regions", "postal", "from_mi", "to_mi"} & values.keys())
        if alone:
            message = "where a zone is stands in the row of its full truck, the one without a truck's name"
            self.problems.append((row.at("truck"), message))
        elif "most_lb" not in values:
            self.problems.append((row.at("up to lb"), "say up to what load this truck goes"))
        elif self._first(row, ("freight", zone, truck), "truck"):
            zones.setdefault(zone, {}).setdefault("trucks", []).append({"truck": truck, **values})

    def _first(self, row: RawRow, key: tuple[Any, ...], column: str) -> bool:
        """Whether nothing of this key stands above; tells where it does."""
        above = self.written.setdefault(key, row)
        if above is not row:
            self.problems.append((row.at(column), f"{', '.join(key[1:])} stands in {above.place} already"))
        return above is row

    # --- one cell ---

    def _values(self, row: RawRow) -> dict[str, Any] | None:
        """The row's fields; None where a cell is wrong."""
        before = len(self.problems)
        found = {column.field: self._value(row, column) for column in row.part.columns}
        if len(self.problems) > before:
            return None
        return {name: value for name, value in found.items() if value is not None}

    def _value(self, row: RawRow, column: Column) -> Any:
        text = row.cells.get(column.name, "").strip(" ")
        problem = ""
        value: Any = None
        if not text:
            problem = "is empty" if column.needed else ""
        elif text.startswith(FORMULA_SIGNS) and not (column.kind != "text" and _NUMBER.fullmatch(text)):
            problem = f"“{text[:20]}” begins like a formula; type the value itself"
        elif row.comma_decimal and column.kind in FIGURES and "," in text and "." not in text:
            problem = (
                f"“{text[:20]}” has a comma, which can be read in two ways; write it like 1234.5, without one"
            )
        else:
            try:
                value = _READ[column.kind](text)
            except ValueError as error:
                problem = str(error)
            if column.field == "item_class" and value is not None:
                value, problem = _class(value)
        if problem:
            self.problems.append((row.at(column.name), problem))
        return value

    def _placed(self, place: str, message: str) -> tuple[str, str]:
        """A problem of the document, at the row and column that it came from."""
        parts = place.split(".")
        keys = (tuple(parts[:3]), tuple(parts[:2]), tuple(parts[:1]))
        if parts[0] == "items" and len(parts) > 1 and parts[1].isdigit():
            keys = (("items", int(parts[1])),)  # type: ignore[assignment]
        row = next((self.written[key] for key in keys if key in self.written), None)
        if row is None:
            sheet = next((part.sheet for part in PARTS if part.sheet.lower() == parts[0]), place)
            return sheet, message
        if row.part is BOOK:
            column = BOOK_ROWS[row.cells["name"].strip().lower()]
            return row.at("value"), _in_percent(column.field, message)
        name = next((c for c in row.part.columns if c.field == parts[-1]), row.part.columns[0])
        if row.part in (TIERS, TAXES) and parts[-1] != "[key]":
            name = row.part.columns[-1]
        return row.at(name.name), _in_percent(name.field, message)


def _in_percent(field: str, message: str) -> str:
    if field in _PERCENT_FIELDS and "under 1" in message:
        return "must be under 100 %"
    return message


def _class(text: str) -> tuple[str | None, str]:
    kind = _CLASSES.get(text.lower())
    return kind, "" if kind else f"“{text[:20]}” is no class; the classes are material, shop work and freight"


def _number(text: str) -> Decimal:
    if _TOO_LONG.fullmatch(text):
        raise ValueError(f"“{text[:20]}…” has more digits than a price has")
    if not _NUMBER.fullmatch(text):
        raise ValueError(f"“{text[:20]}” is no number; write it like 4.42")
    try:
        return Decimal(text.replace(",", ""))
    except InvalidOperation as error:  # pragma: no cover  # the pattern lets only numbers pass
        raise ValueError(f"“{text[:20]}” is no number") from error


def _percent(text: str) -> Decimal:
    return _number(text.removesuffix("%").rstrip()) / HUNDRED


def _whole(text: str) -> int:
    number = _number(text)
    if number != number.to_integral_value():
        raise ValueError(f"“{text[:20]}” is no whole number")
    return int(number)


def _day(text: str) -> date:
    try:
        if DAY_SHAPE.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError as error:
        raise ValueError(f"“{text}” is no day of the calendar") from error
    raise ValueError(f"“{text[:20]}” is no day; write it like 2027-01-31")


def _list(text: str) -> tuple[str, ...]:
    return tuple(word for word in (part.strip() for part in text.split(",")) if word)


_READ: Mapping[str, Any] = {
    "text": str,
    "number": _number,
    "percent": _percent,
    "whole": _whole,
    "day": _day,
    "list": _list,
}
