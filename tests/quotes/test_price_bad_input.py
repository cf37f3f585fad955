"""What can't be a price book, by every way that one comes in: CSV, workbook, the page's form, the API's document.

Each is refused at the row and column, or at the field, that it stands in, and nothing of it is stored.
"""

from __future__ import annotations

import csv
import io
import json
from copy import deepcopy
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
import xlsxwriter
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from framing.common.clock import database_now
from framing.common.errors import Clash, Refused
from framing.common.models import Role
from quotes import services
from quotes.models import PriceBook
from quotes.price_cells import document_of_rows
from quotes.price_columns import BOOK, BOOK_ROWS, PARTS, PriceRowsRefused, RawRow, document_rows
from quotes.price_documents import PriceBookDocument, PriceDocumentRefused, read_price_document
from quotes.price_files import csv_of, read_price_file
from quotes.price_grid import grid_of, grid_posted
from tests.factories import people, projects, quotes

D = Decimal
DRAFT = reverse("api:quotes_api:price_book_draft")
LONG = "9" * 30

# part, row (0 is the first; of the book by name), column, what is typed, and the words
CELLS = [
    ("item", 0, "price", "NaN", "is no number"),
    ("item", 0, "price", "Infinity", "is no number"),
    ("item", 0, "price", "inf", "is no number"),
    ("item", 0, "price", "1e400", "is no number"),
    ("item", 0, "price", "1e-400", "is no number"),
    ("item", 0, "price", "0x10", "is no number"),
    ("item", 0, "price", "٤٫٤٢", "is no number"),  # noqa: RUF001
    ("item", 0, "price", "4,42", "no number"),
    ("item", 0, "price", "4.42 USD", "is no number"),
    ("item", 0, "price", LONG, "more digits than a price has"),
    ("item", 0, "price", f"0.{LONG}", "more digits than a price has"),
    ("item", 0, "price", "123456789.5", "more than 8 digits before the point"),
    ("item", 0, "price", "1.23456", "more than 4 decimals"),
    ("item", 0, "price", "0", "must be over 0; it is 0"),
    ("item", 0, "price", "-0", "must be over 0; it is 0"),
    ("item", 0, "price", "-0.0", "must be over 0; it is 0"),
    ("item", 0, "price", "-4.42", "must be over 0; it is -4.42"),
    ("item", 0, "price", "", "is empty"),
    ("item", 0, "cost", "-0.01", "must be 0 or more; it is -0.01"),
    ("item", 0, "class", "freight", "material"),
    ("item", 0, "no charge because", "why not", "given at no charge too"),
    ("tier", 0, "discount %", "100", "must be under 100 %"),
    ("tier", 0, "discount %", "250 %", "must be under 100 %"),
    ("tier", 0, "discount %", "-1", "must be 0 or more"),
    ("tax", 0, "tax %", "100", "must be under 100 %"),
    ("tax", 0, "tax %", "nan", "is no number"),
    ("freight", 0, "price", "0", "must be over 0; it is 0"),
    ("freight", 0, "price", "-390", "must be over 0; it is -390"),
    ("freight", 0, "price", "390.005", "more than 2 decimals"),
    ("book", "valid from", "value", "2026-02-30", "is no day of the calendar"),
    ("book", "valid from", "value", "2026-13-01", "is no day of the calendar"),
    ("book", "valid from", "value", "2026-11-011", "is no day; write it like"),
    ("book", "valid from", "value", "20261101", "is no day; write it like"),
    ("book", "valid from", "value", "11/01/2026", "is no day; write it like"),
    ("book", "valid from", "value", "2026-W44-7", "is no day; write it like"),
    ("book", "margin floor %", "value", "100", "must be under 100 %"),
    ("book", "discount limit %", "value", "100.5", "must be under 100 %"),
    ("book", "days that offers hold", "value", "0", "must be 1 or more"),
    ("book", "days that offers hold", "value", "30.5", "no whole number"),
    ("book", "currency", "value", "usd", "three capital letters"),
]
Table = dict[str, list[dict[str, str]]]


def good() -> PriceBookDocument:
    return read_price_document(quotes.price_document())


def rows_of(document: PriceBookDocument) -> Table:
    found: Table = {part.code: [] for part in PARTS}
    for part, cells in document_rows(document):
        found[part.code].append({name: str(cell) for name, cell in cells.items()})
    return found


def spoilt(part: str, row: Any, column: str, text: str) -> tuple[Table, int]:
    """The rows of a good book with one cell typed otherwise, and that row's place among those of its part."""
    rows = rows_of(good())
    place = list(BOOK_ROWS).index(row) if isinstance(row, str) else row
    rows[part][place][column] = text
    return rows, place


def problems(read: Any) -> list[tuple[str, str]]:
    with pytest.raises(PriceRowsRefused) as caught:
        read()
    return list(caught.value.problems)


def csv_bytes(rows: Table, delimiter: str = ",") -> bytes:
    heads = next(csv.reader(io.StringIO(csv_of(good()).decode("utf-8-sig"))))
    stream = io.StringIO(newline="")
    writer = csv.DictWriter(stream, heads, restval="", delimiter=delimiter)
    writer.writeheader()
    for code, found in rows.items():
        writer.writerows({"part": code, **cells} for cells in found)
    return stream.getvalue().encode()


def xlsx_bytes(rows: Table) -> bytes:
    """A workbook of texts, as a program that knows no numbers would write it."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as book:
        for part in PARTS:
            sheet = book.add_worksheet(part.sheet)
            names = [column.name for column in part.columns]
            for number, cells in enumerate([dict(zip(names, names, strict=True)), *rows[part.code]]):
                for index, name in enumerate(names):
                    sheet.write_string(number, index, cells.get(name, ""))
    return out.getvalue()


@pytest.mark.parametrize(("part", "row", "column", "text", "words"), CELLS)
def test_a_cell_in_csv_is_told_by_row_and_column(
    part: str, row: Any, column: str, text: str, words: str
) -> None:
    rows, place = spoilt(part, row, column, text)
    above = 2  # the head, and rows are counted from 1
    for code in [p.code for p in PARTS]:
        if code == part:
            break
        above += len(rows[code])
    found = problems(lambda: read_price_file(csv_bytes(rows)))
    at = [message for where, message in found if where.startswith(f"row {above + place}, column ")]
    assert any(words in message for message in at), found
    if words != "given at no charge too":  # that stands at the price, which is one of both
        assert any(f"({column})" in where for where, _ in found)


WORKBOOK_CELLS = [case for case in CELLS if case[3] in ("NaN", "-0", "100", "2026-02-30", LONG, "1e400")]


@pytest.mark.parametrize(("part", "row", "column", "text", "words"), WORKBOOK_CELLS)
def test_a_cell_in_a_workbook_is_told_by_sheet_row_and_column(
    part: str, row: Any, column: str, text: str, words: str
) -> None:
    rows, place = spoilt(part, row, column, text)
    sheet = next(p.sheet for p in PARTS if p.code == part)
    ((where, message),) = problems(lambda: read_price_file(xlsx_bytes(rows)))
    assert where.startswith(f"{sheet}, row {place + 2}, column ")
    assert where.endswith(f"({column})")
    assert words in message


@pytest.mark.parametrize(("part", "row", "column", "text", "words"), CELLS)
def test_a_cell_of_the_form_is_told_at_its_input_and_stays_as_typed(
    part: str, row: Any, column: str, text: str, words: str
) -> None:
    posted = {
        box.name: box.value for table in grid_of(good()).tables for line in table.lines for box in line.boxes
    }
    place = list(BOOK_ROWS).index(row) if isinstance(row, str) else row
    columns = next(p.columns for p in PARTS if p.code == part)
    name = f"{part}-{place}-{[c.name for c in columns].index(column)}"
    grid = grid_posted(posted | {name: text}, number=1)
    assert grid.document is None
    boxes = {box.name: box for _, box in grid.wrong}
    assert any(words in said for box in boxes.values() for said in box.problems), (boxes, grid.problems)
    typed = next(b for t in grid.tables for li in t.lines for b in li.boxes if b.name == name)
    assert typed.value == text


def set_at(data: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    data = deepcopy(data)
    here: Any = data
    *way, last = path.split(".")
    for step in way:
        here = here[int(step)] if isinstance(here, list) else here[step]
    here[last] = value
    return data


DOCUMENTS: list[tuple[str, Any, str]] = [
    ("items.0.price", "NaN", "is no amount"),
    ("items.0.price", "-Infinity", "is no amount"),
    ("items.0.price", "1e400", "more than"),
    ("items.0.price", "1e-400", "more than"),
    ("items.0.price", LONG, "more than"),
    ("items.0.price", "four", "“four” is no number"),
    ("items.0.price", True, "must be a number; it is true"),
    ("items.0.price", None, "must be a number"),
    ("items.0.price", [], "must be a number"),
    ("items.0.price", "-0", "must be over 0; it is 0"),
    ("items.0.price", 0, "must be over 0; it is 0"),
    ("items.0.price", -1, "must be over 0; it is -1"),
    ("items.0.cost", "-0.01", "must be 0 or more"),
    ("items.0.code", 7, "must be a text"),
    ("items.0.code", "=cmd|' /C calc'!A0", "begins like a formula"),
    ("items.0.item_class", "freight", "must be 'material' or 'labour'; it is freight"),
    ("items.0.colour", "red", "is nothing that a price book holds"),
    ("tiers.regular", "1", "must be under 1"),
    ("tiers.regular", "1.01", "must be under 1"),
    ("taxes.OH.material", "Infinity", "is no amount"),
    ("freight.near.price", "0", "must be over 0; it is 0"),
    ("valid_from", "2026-02-30", "2026-02-30 is no day of the calendar"),
    ("valid_from", 0, "must be a day like 2027-01-31; it is 0"),
    ("valid_from", "2026-11-01T00:00:00", "must be a day like 2027-01-31"),
    ("valid_days", True, "must be a number; it is true"),
    ("valid_days", "30.5", "no whole number"),
    ("valid_days", LONG, "must be 365 or less"),
    ("valid_days", 0, "must be 1 or more"),
    ("margin_floor", "1", "must be under 1"),
    ("currency", "dollars", "three capital letters"),
    ("version", 2, "must be 1; it is 2"),
]


@pytest.mark.parametrize(("path", "value", "words"), DOCUMENTS)
def test_a_field_of_a_document_is_named_with_its_value(path: str, value: Any, words: str) -> None:
    with pytest.raises(PriceDocumentRefused) as caught:
        read_price_document(set_at(quotes.price_document(), path, value))
    places = dict(caught.value.problems)
    assert path in places
    assert words in places[path]


def test_two_prices_for_one_item_by_every_way() -> None:
    data = quotes.price_document()
    twice = data | {"items": [*data["items"], data["items"][0]]}
    with pytest.raises(PriceDocumentRefused, match="priced twice: "):
        read_price_document(twice)
    rows = rows_of(good())
    rows["item"].append(rows["item"][0])
    for read in (
        lambda: read_price_file(csv_bytes(rows)),
        lambda: read_price_file(xlsx_bytes(rows)),
        lambda: document_of_rows(
            RawRow(part, f"{part.code}-{n}", cells)
            for part in PARTS
            for n, cells in enumerate(rows[part.code])
        ),
    ):
        ((where, message),) = problems(read)
        assert "code" in where
        assert "one price for each item" in message


def test_decimal_commas_between_semicolons_are_never_read_as_thousands() -> None:
    """“1,234” there is more likely 1.234; it was once read as 1234."""
    for text in ("1,234", "4,42", "12,345,678"):
        rows, _ = spoilt("item", 0, "price", text)
        ((where, message),) = problems(lambda r=rows: read_price_file(csv_bytes(r, ";")))
        assert where == "row 10, column H (price)"
        assert "can be read in two ways" in message
    for text in ("1,234.50", "1234.5"):
        rows, _ = spoilt("item", 0, "price", text)
        assert read_price_file(csv_bytes(rows, ";")).items[0].price == D("1234.5")


@pytest.mark.parametrize(
    ("encoding", "row"), [("utf-16", 1), ("utf-16-le", 1), ("utf-16-be", 1), ("utf-32", 1), ("cp1252", 10)]
)
@pytest.mark.parametrize("delimiter", [",", ";"])
def test_another_encoding_is_told_where_it_is_first_seen(encoding: str, row: int, delimiter: str) -> None:
    rows, _ = spoilt("item", 0, "description", "Jöist; 10, “deep”")
    text = csv_bytes(rows, delimiter).decode()
    ((where, message),) = problems(lambda: read_price_file(text.encode(encoding)))
    assert where == (f"row {row}, column A" if row == 1 else "row 10, column E")
    assert "not in UTF-8" in message
    assert read_price_file(text.encode("utf-8-sig")).items[0].description == "Jöist; 10, “deep”"


def test_a_minus_before_nothing_is_kept_nowhere() -> None:
    data = set_at(quotes.price_document(surcharge_per_lb="-0", margin_floor="-0.0"), "items.0.cost", "-0.00")
    known = read_price_document(data)
    figures = (known.surcharge_per_lb, known.margin_floor, known.items[0].cost)
    assert [str(figure).startswith("-") for figure in figures] == [False] * 3


# --- through the page and the API, and what the days allow ---


@pytest.mark.django_db
def test_page_and_operations_refuse_with_places_and_store_nothing() -> None:
    client = people.client_of(Role.MANAGER)
    data = set_at(quotes.price_document(), "items.0.price", "NaN")
    answer = client.post(DRAFT, {"document": data}, "application/json")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["place"] == "items.0.price"
    raw = json.dumps({"document": quotes.price_document()}).replace('"3.96"', "1e400", 1)
    assert client.post(DRAFT, raw, "application/json").status_code in (400, 422)
    raw = raw.replace("1e400", "NaN")
    assert client.post(DRAFT, raw, "application/json").status_code in (400, 422)
    rows, _ = spoilt("item", 0, "price", "1e400")
    answer = client.post(
        reverse("quotes:price_book_new"), {"file": SimpleUploadedFile("prices.csv", csv_bytes(rows))}
    )
    assert answer.status_code == 422
    assert "row 10, column H (price)" in answer.content.decode()
    answer = client.post(reverse("api:quotes_api:price_file_draft"), csv_bytes(rows), "text/csv")
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["place"] == "row 10, column H (price)"
    assert not PriceBook.objects.exists()


@pytest.mark.django_db
def test_a_day_that_is_over_is_refused_by_page_operation_and_import() -> None:
    first = quotes.price_book()
    today = database_now().date()
    yesterday = (today - timedelta(days=1)).isoformat()
    boss, client = people.actor(Role.MANAGER), people.client_of(Role.MANAGER)
    draft = quotes.price_draft()
    services.price_book_send(actor=boss, book=draft, note="Up.", edit=1, at=projects.AT)
    body = {"valid_from": yesterday, "edit": 1}
    page = client.post(reverse("quotes:price_book_put_in_force", args=[draft.public_id]), body)
    assert page.status_code == 422
    assert "begins today" in page.content.decode()
    operation = reverse("api:quotes_api:price_book_put_in_force", args=[draft.public_id])
    answer = client.post(operation, body, "application/json")
    assert (answer.status_code, "begins today" in str(answer.json())) == (422, True)
    whole = {"document": quotes.price_document(name="Late", valid_from=yesterday)}
    answer = client.post(reverse("api:quotes_api:price_book_import"), whole, "application/json")
    assert (answer.status_code, f"{first} held from then on" in str(answer.json())) == (422, True)
    first.refresh_from_db()
    assert (first.valid_until, PriceBook.objects.filter(state="in_force").count()) == (None, 1)


@pytest.mark.django_db
def test_a_book_over_days_that_another_holds_is_refused_with_both_named() -> None:
    boss, today = people.actor(Role.MANAGER), projects.AT.date()
    quotes.price_book()

    def force(begin: int, end: int | None) -> PriceBook:
        draft = quotes.price_draft()
        services.price_book_send(actor=boss, book=draft, note="Up.", edit=1, at=projects.AT)
        return services.price_book_put_in_force(
            actor=boss,
            book=draft,
            valid_from=today + timedelta(days=begin),
            valid_until=None if end is None else today + timedelta(days=end),
            edit=1,
            at=projects.AT,
        )

    later = force(30, 60)
    for begin, end in ((10, None), (10, 31), (35, 40), (20, 45)):
        with pytest.raises(Clash, match=f"would lie over {later}"):
            force(begin, end)
    with pytest.raises(Refused, match="must end after it begins"):
        force(10, 10)
    assert force(10, 30).valid_until == later.valid_from


def test_every_column_of_a_book_is_tried() -> None:
    """A column that is added later wants its row in the table above."""
    tried = {(part, row if part == BOOK.code else column) for part, row, column, *_ in CELLS}
    figures = {
        (part.code, c.name)
        for part in PARTS
        for c in part.columns
        if c.kind in ("number", "percent") and c.name not in ("from mi", "to mi")
    }
    assert figures - tried <= {("freight", "cost")}
