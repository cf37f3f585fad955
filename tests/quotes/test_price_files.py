"""Price books as files: our own come back unchanged, and what is wrong or dangerous is told by row and column."""

from __future__ import annotations

import csv
import io
import resource
import subprocess
import sys
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
import xlsxwriter

from framing.common import bounded
from quotes.price_changes import changes_between
from quotes.price_columns import BOOK, PARTS, document_rows
from quotes.price_documents import PriceBookDocument, read_price_document
from quotes.price_files import FILE_MOST, ROWS_MOST, PriceRowsRefused, csv_of, read_price_file, xlsx_of
from quotes.price_reads import demo_price_document
from quotes.price_workbook import read_workbook, rows_of

MADE = datetime(2026, 11, 2, 9, 30, tzinfo=UTC)
ZONES = {
    "near": {
        "price": "390.00",
        "cost": "305.00",
        "from_mi": "0",
        "to_mi": "60",
        "trucks": [{"truck": "Small", "most_lb": 6000, "price": "240.00", "cost": "180.00"}],
    },
    "lakes": {"price": "685.50", "cost": "540.25", "regions": ["OH", "Fallow"], "postal": ["440", "44-1"]},
}


@pytest.fixture
def book() -> PriceBookDocument:
    return read_price_document({**demo_price_document(), "freight": ZONES})


def text_of(book: PriceBookDocument) -> str:
    return csv_of(book).decode("utf-8-sig")


def problems_in(data: bytes) -> list[tuple[str, str]]:
    with pytest.raises(PriceRowsRefused) as caught:
        read_price_file(data)
    return list(caught.value.problems)


def replaced(book: PriceBookDocument, old: str, new: str) -> bytes:
    text = text_of(book)
    assert old in text
    return text.replace(old, new, 1).encode()


def test_our_own_files_change_nothing(book: PriceBookDocument) -> None:
    for data in (csv_of(book), xlsx_of(book, made_at=MADE)):
        again = read_price_file(data)
        assert changes_between(book, again) == ()
        assert again.valid_from == book.valid_from
        assert again.freight["near"].trucks == book.freight["near"].trucks
        assert again.freight["lakes"].postal == ("440", "44-1")


def test_equal_books_give_equal_bytes(book: PriceBookDocument) -> None:
    assert csv_of(book) == csv_of(book)
    assert xlsx_of(book, made_at=MADE) == xlsx_of(book, made_at=MADE)


def test_a_changed_cell_is_one_change(book: PriceBookDocument) -> None:
    changed = read_price_file(replaced(book, ",3.96,2.73,", ",4.158,2.73,"))
    (change,) = changes_between(book, changed)
    assert (change.part, change.kind, change.key) == ("items", "changed", "800S162-54")
    (moved,) = change.moved
    assert (moved.field, moved.old, moved.new) == ("price", Decimal("3.96"), Decimal("4.158"))
    # 0.198 of 3.96
    assert moved.percent == Decimal(5)


def test_csv_with_semicolons_thousands_and_per_cent_signs_is_read(book: PriceBookDocument) -> None:
    rows = list(csv.reader(io.StringIO(text_of(book))))
    price = rows[0].index("price")
    rows[9][price] = "1,003.96"
    next(row for row in rows if row[1] == "margin floor %")[2] = "18 %"
    stream = io.StringIO(newline="")
    csv.writer(stream, delimiter=";").writerows(rows)
    again = read_price_file(stream.getvalue().encode())
    assert again.items[0].price == Decimal("1003.96")
    assert again.margin_floor == Decimal("0.18")


@pytest.mark.parametrize(
    ("encoding", "place"),
    [("latin-1", "row 10, column E"), ("utf-16", "row 1, column A"), ("cp1252", "row 10, column E")],
)
def test_another_encoding_is_told_by_row_and_column(
    book: PriceBookDocument, encoding: str, place: str
) -> None:
    text = text_of(book).replace("Joist 800S162-54", "Jöist 800S162-54", 1)
    ((where, message),) = problems_in(text.encode(encoding))
    assert where == place
    assert "UTF-8" in message


@pytest.mark.parametrize("sign", ["=1+1", "=cmd|' /C calc'!A0", "+1", "@SUM(A1)", "\t5", "-2+3", "＝1"])  # noqa: RUF001
def test_a_formula_in_a_number_is_told_by_row_and_column(book: PriceBookDocument, sign: str) -> None:
    ((where, message),) = problems_in(replaced(book, ",3.96,2.73,", f',"{sign}",2.73,'))
    assert where == "row 10, column H (price)"
    assert "formula" in message


@pytest.mark.parametrize("sign", ["=1+1", "+joist", "-joist", "@joist", "\tjoist"])
def test_a_formula_in_a_text_is_told_by_row_and_column(book: PriceBookDocument, sign: str) -> None:
    ((where, message),) = problems_in(replaced(book, '"Joist 800S162-54, 50 ksi"', f'"{sign}"'))
    assert where == "row 10, column E (description)"
    assert "formula" in message


def test_an_apostrophe_before_a_formula_is_taken_off_and_the_formula_refused(book: PriceBookDocument) -> None:
    ((where, message),) = problems_in(replaced(book, '"Joist 800S162-54, 50 ksi"', '"\'=1+1"'))
    assert (where, "formula" in message) == ("row 10, column E (description)", True)


def test_exports_escape_what_a_spreadsheet_would_run(book: PriceBookDocument) -> None:
    """Such a text can't be stored through the services; should a row hold one, it leaves as text all the same."""
    item = book.items[0].model_copy(update={"description": "=HYPERLINK(1)"})
    poisoned = book.model_copy(update={"items": (item, *book.items[1:])})
    rows = list(csv.DictReader(io.StringIO(text_of(poisoned))))
    assert rows[8]["description"] == "'=HYPERLINK(1)"
    with zipfile.ZipFile(io.BytesIO(xlsx_of(poisoned, made_at=MADE))) as archive:
        assert all(b"<f>" not in archive.read(name) for name in archive.namelist())


def test_two_prices_for_one_item_name_both_rows(book: PriceBookDocument) -> None:
    lines = text_of(book).splitlines()
    twice = "\r\n".join([*lines, lines[9]]).encode()
    assert problems_in(twice) == [
        (
            f"row {len(lines) + 1}, column D (code)",
            "800S162-54 has a price already in row 10; one price for each item",
        )
    ]


@pytest.mark.parametrize(
    ("old", "new", "where", "words"),
    [
        (",3.96,2.73,", ",0,2.73,", "row 10, column H (price)", "must be over 0; it is 0"),
        (",3.96,2.73,", ",-4,2.73,", "row 10, column H (price)", "must be over 0; it is -4"),
        (",3.96,2.73,", ",3.96,-1,", "row 10, column I (cost)", "must be 0 or more; it is -1"),
        (",3.96,2.73,", ",,2.73,", "row 10, column H (price)", "is empty"),
        (",3.96,2.73,", ",1.23456,2.73,", "row 10, column H (price)", "more than 4 decimals"),
        (",3.96,2.73,", ",dear,2.73,", "row 10, column H (price)", "is no number"),
        (",3.96,2.73,", ",1e3,2.73,", "row 10, column H (price)", "is no number"),
        (",ft,material,", ",ft,steel,", "row 10, column G (class)", "is no class"),
        ("discount limit %,5,", "discount limit %,120,", "row 7, column C (value)", "under 100 %"),
        ("regular,3,", "regular,101,", ", column K (discount %)", "under 100 %"),
        ("currency,USD", "currency,dollars", "row 3, column C (value)", "three capital letters"),
        ("valid from,2026-01-01", "valid from,soon", "row 4, column C (value)", "is no day"),
        (
            "days that offers hold,30",
            "days that offers hold,2.5",
            "row 9, column C (value)",
            "no whole number",
        ),
        ("book,currency,USD", "book,colour,USD", "row 3, column B (name)", "is none of"),
        ("Small,6000,", "Small,,", "(up to lb)", "up to what load"),
    ],
)
def test_a_wrong_cell_is_told_by_row_and_column(
    book: PriceBookDocument, old: str, new: str, where: str, words: str
) -> None:
    found = problems_in(replaced(book, old, new))
    assert where in found[0][0]
    assert words in found[0][1]


def test_all_wrong_cells_are_told_at_once(book: PriceBookDocument) -> None:
    text = text_of(book).replace(",3.96,", ",dear,", 1).replace(",4.71,", ",0,", 1)
    assert [where for where, _ in problems_in(text.encode())] == [
        "row 10, column H (price)",
        "row 11, column H (price)",
    ]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "it is empty"),
        (b"   \n", "it is empty"),
        (b"\xd0\xcf\x11\xe0" + b"0" * 600, "old kind or one with a password"),
        (b"PK\x03\x04 and no more", "damaged"),
        (b"a,b\n1,2\n", "the column “part” is missing"),
        (b"x" * (FILE_MOST + 1), "bytes; at most"),
    ],
)
def test_what_is_no_price_book_is_refused_in_words(data: bytes, words: str) -> None:
    assert words in problems_in(data)[0][1]


def test_a_head_that_is_misspelt_unknown_or_twice(book: PriceBookDocument) -> None:
    found = dict(problems_in(replaced(book, ",cost,", ",price,")))
    assert found["row 1"] == "the column “cost” is missing"
    assert found["row 1, column I"] == "the column “price” stands twice"
    assert (
        "no column of a price book"
        in dict(problems_in(replaced(book, ",cost,", ",costs,")))["row 1, column I"]
    )


def test_too_many_rows_are_refused(book: PriceBookDocument) -> None:
    tier = "tier" + "," * 8 + "t{},1" + "," * 9
    text = text_of(book) + "\r\n".join(tier.format(n) for n in range(ROWS_MOST))
    assert "more than" in problems_in(text.encode())[0][1]


def test_costs_stay_out_for_those_who_may_not_see_them(book: PriceBookDocument) -> None:
    assert "cost" not in csv_of(book, costs=False).decode("utf-8-sig").splitlines()[0].split(",")
    found = problems_in(csv_of(book, costs=False))
    assert found == [("row 1", "the column “cost” is missing")]
    assert "the column “cost” is missing" in problems_in(xlsx_of(book, made_at=MADE, costs=False))[0][1]


# --- workbooks that somebody made ---


def rebuilt(book: PriceBookDocument, change: Callable[[str, bytes], bytes]) -> bytes:
    """Our workbook with some of its parts changed."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(xlsx_of(book, made_at=MADE))) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
    return out.getvalue()


def in_items(old: bytes, new: bytes) -> Callable[[str, bytes], bytes]:
    def change(name: str, content: bytes) -> bytes:
        if not name.endswith("sheet2.xml"):
            return content
        assert old in content
        return content.replace(old, new, 1)

    return change


def zipped(parts: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def test_a_formula_cell_is_told_by_sheet_row_and_column(book: PriceBookDocument) -> None:
    found = problems_in(rebuilt(book, in_items(b"<v>3.96</v>", b"<f>1+2.96</f><v>3.96</v>")))
    assert found == [("Items, row 2, column E", "the cell holds a formula; put its value there instead")]


def test_a_far_off_cell_is_refused_before_anybody_makes_room_for_it(book: PriceBookDocument) -> None:
    found = problems_in(rebuilt(book, in_items(b'<c r="E2"', b'<c r="XFD1048576"')))
    assert found[0][0] == "Items"
    assert "beyond row" in found[0][1]


def test_entities_that_grow_without_end_are_refused(book: PriceBookDocument) -> None:
    """Ten letters, each ten of the one before: ten thousand million of them, of which nothing is unpacked."""
    entities = "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in pairwise("abcdefghijk"))
    declared = f'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY a "lol">{entities}]>'.encode()
    old = b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'

    def change(name: str, content: bytes) -> bytes:
        if not name.endswith("sheet2.xml"):
            return content
        return content.replace(old, declared, 1).replace(b"<v>3.96</v>", b"<v>&k;</v>", 1)

    assert "xl/worksheets/sheet2.xml is damaged" in problems_in(rebuilt(book, change))[0][1]


def test_a_bomb_ends_its_own_process_and_is_told_in_words() -> None:
    """A thousand to one: 0.7 MB that unpacks to 700 MB; this process keeps its size."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        archive.writestr("xl/workbook.xml", "<a/>")
        with archive.open("xl/worksheets/sheet1.xml", "w") as part:
            for _ in range(700):
                part.write(b" " * 2**20)
    bomb = out.getvalue()
    assert len(bomb) < FILE_MOST
    before = peak_kb()
    assert problems_in(bomb) == [("workbook", bounded.BIG)]
    assert peak_kb() - before < 50_000


def peak_kb() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


@pytest.mark.parametrize(("state", "words"), [("slow", bounded.SLOW), ("died", bounded.DIED)])
def test_what_was_stopped_or_broke_off_is_told_in_words(state: Any, words: str) -> None:
    with pytest.raises(PriceRowsRefused) as caught:
        list(rows_of(bounded.Outcome(state, words)))
    assert caught.value.problems == (("workbook", words),)


def test_two_parts_of_one_name_are_refused() -> None:
    """What is looked through would not be what is read."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("xl/workbook.xml", "<a/>")
        with pytest.warns(UserWarning, match="Duplicate"):
            archive.writestr("xl/workbook.xml", "<b/>")
    assert "two parts of one name" in problems_in(out.getvalue())[0][1]


def test_the_job_reads_what_we_export_and_loads_no_web(book: PriceBookDocument) -> None:
    facts, blobs = read_workbook(xlsx_of(book, made_at=MADE), {})
    assert (facts["problems"], blobs) == ([], [])
    assert facts["rows"][0][:2] == ["book", "Book, row 2"]
    script = "import sys, quotes.price_workbook; sys.exit('django' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0


def test_a_directory_that_lies_about_its_sizes_unpacks_no_more_than_it_says(book: PriceBookDocument) -> None:
    data = bytearray(zipped({"xl/worksheets/sheet1.xml": b"<a>" + b"x" * 3_000_000 + b"</a>"}))
    place = data.rfind(b"PK\x01\x02") + 24
    data[place : place + 4] = (1000).to_bytes(4, "little")
    assert "damaged" in problems_in(bytes(data))[0][1]


def test_figures_in_the_spreadsheets_per_cent_format_mean_what_they_show(book: PriceBookDocument) -> None:
    """Typing 7.25 % into a cell leaves 0.0725 in it; that is 7.25 % and not a hundredth of it."""
    text = [part for part in document_rows(book) if part[0].code in ("tax", "tier", "book")]
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as workbook:
        percent, fine = (workbook.add_format({"num_format": style}) for style in ("0%", '0.00##" of it"%'))
        sheets = {part.code: workbook.add_worksheet(part.sheet) for part in PARTS}
        for part in PARTS:
            sheets[part.code].write_row(0, 0, [column.name for column in part.columns])
        for number, (part, cells) in enumerate(text):
            row = 1 + [p.code for p, _ in text[:number]].count(part.code)
            for index, column in enumerate(part.columns):
                cell = cells.get(column.name, "")
                in_book = part is BOOK and str(cells["name"]).endswith("%")
                if isinstance(cell, Decimal) and (column.kind == "percent" or in_book):
                    sheets[part.code].write_number(
                        row, index, float(cell / 100), fine if row % 2 else percent
                    )
                else:
                    sheets[part.code].write(row, index, str(cell))
    again = read_price_file(out.getvalue())
    assert (again.taxes, again.tiers) == (book.taxes, book.tiers)
    assert (again.margin_floor, again.discount_limit) == (book.margin_floor, book.discount_limit)


def test_a_missing_sheet_and_column_are_named() -> None:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as workbook:
        for name in ("Book", "Items", "Tiers", "Freight"):
            workbook.add_worksheet(name).write_row(0, 0, ["name", "value"])
    assert problems_in(out.getvalue()) == [("workbook", "the sheet “Taxes” is missing")]
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as workbook:
        for name in ("Book", "Items", "Tiers", "Freight", "Taxes"):
            workbook.add_worksheet(name).write_row(0, 0, ["name", "value"])
    found = problems_in(out.getvalue())
    assert ("Items, row 1", "the column “price” is missing") in found
    assert ("Items, row 1, column B", "“value” is no column of this sheet") in found


def test_numbers_and_days_typed_as_such_are_read(book: PriceBookDocument) -> None:
    """A code that is all digits comes as a number, the day as a day."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as workbook:
        day = workbook.add_format({"num_format": "yyyy-mm-dd"})
        sheets = {
            name: workbook.add_worksheet(name) for name in ("Book", "Items", "Tiers", "Freight", "Taxes")
        }
        sheets["Book"].write_row(0, 0, ["name", "value"])
        pairs: list[tuple[str, Any]] = [
            ("name", "List"),
            ("currency", "USD"),
            ("steel surcharge per lb", 0.035),
        ]
        pairs += [("margin floor %", 18), ("discount limit %", 5), ("line discount limit %", 10)]
        pairs += [("days that offers hold", 30)]
        for number, pair in enumerate(pairs, 1):
            sheets["Book"].write_row(number, 0, pair)
        sheets["Book"].write(9, 0, "valid from")
        sheets["Book"].write_datetime(9, 1, datetime(2027, 1, 31), day)  # noqa: DTZ001  # a cell knows no zone
        sheets["Items"].write_row(0, 0, ["code", "description", "sold by", "class", "price", "cost"])
        sheets["Items"].write_row(1, 0, [1200, "A thing", "piece", "shop work", 4.42, 3])
        sheets["Tiers"].write_row(0, 0, ["tier", "discount %"])
        heads = ["zone", "truck", "up to lb", "price", "cost", "regions", "postal codes", "from mi", "to mi"]
        sheets["Freight"].write_row(0, 0, heads)
        sheets["Taxes"].write_row(0, 0, ["place", "class", "tax %"])
        sheets["Taxes"].write_row(1, 0, ["Town", "material", 7.25])
    found = read_price_file(out.getvalue())
    assert found.valid_from == date(2027, 1, 31)
    assert (found.items[0].code, found.items[0].item_class, found.items[0].price) == (
        "1200",
        "labour",
        Decimal("4.42"),
    )
    assert found.taxes["Town"]["material"] == Decimal("0.0725")


# --- zones ---


@pytest.mark.parametrize(
    ("zones", "words"),
    [
        (
            {"a": {"from_mi": "0", "to_mi": "60"}, "b": {"from_mi": "59.9", "to_mi": "90"}},
            "overlap between 59.9 and 60",
        ),
        ({"a": {"regions": ["OH"]}, "b": {"regions": ["oh"]}}, "the region oh stands twice (a and b)"),
        ({"a": {"postal": ["44 0"]}, "b": {"postal": ["440"]}}, "postal codes from 440 stands twice"),
        ({"a": {"from_mi": "10", "to_mi": "10"}}, "not after its begin"),
        ({"a": {"from_mi": "10"}}, "needs both"),
        ({"85 mi": {}}, "can't name a zone"),
        ({"by place": {}}, "can't name a zone"),
    ],
)
def test_zones_in_which_a_site_would_lie_twice_are_refused(zones: dict[str, Any], words: str) -> None:
    freight = {name: {"price": "1.00", "cost": "1.00"} | more for name, more in zones.items()}
    with pytest.raises(ValueError, match=r"overlap|twice|begin|both|can.t name") as caught:
        read_price_document({**demo_price_document(), "freight": freight})
    assert words in str(caught.value)
