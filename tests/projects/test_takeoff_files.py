"""Files of a take-off: numbers by hand, nothing that a spreadsheet would run, the same bytes each time."""

from __future__ import annotations

import csv
import io
import zipfile
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from functools import cache
from xml.etree import ElementTree as ET

import pytest

from framing.engine import Practice, design_floor, load_catalogue, to_plan
from framing.engine.document import rectangle_document
from framing.engine.floor import Units
from framing.engine.result import FloorResult
from framing.projects.takeoff_files import (
    TakeoffSubject,
    csv_bytes,
    plan_bytes,
    takeoff_files,
    workbook_bytes,
)
from framing.projects.takeoff_tables import TABLES, Column, Table, takeoff_tables

AT = datetime(2026, 11, 2, 15, 0, 0, 77, tzinfo=UTC)
SUBJECT = TakeoffSubject("Shed", 2, "Alder Court", "Engine 0", AT)
MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"


@cache
def shed(units: Units = "imperial") -> FloorResult:
    """8 ft by 10 ft, joists along y at 16 in: 5 joists, each 10 ft less 2 x (1 1/8 + 3/8) in = 117 in."""
    document = rectangle_document(name="Shed", width="8'", depth="10'", direction="y", spacing="16")
    plan = replace(to_plan(document, Practice()), units=units)
    return design_floor(plan, load_catalogue(), Practice())


def read(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def tables() -> dict[str, Table]:
    return {table.code: table for table in takeoff_tables(shed(), Practice())}


def test_materials_by_hand() -> None:
    """585 in of joists are 48.75 ft; 10 bearing clips take 4 screws in each leg (8 in deep, R20); 40 wood screws and
    5 % are 42: one box of 250."""
    rows = {row["Code"]: row for row in read(csv_bytes(tables()["materials"]))}
    joists = rows["800S200-43"]
    assert (joists["Exact"], joists["Unit"], joists["Bought"], joists["Sold by"]) == (
        "585.0",
        "in",
        "49",
        "ft",
    )
    assert joists["Derivation"] == (
        "48'-9\" = 48'-9\" (5 × 1J01, joists, R4). 48.75 ft, up to whole feet: 49 ft."  # noqa: RUF001
    )
    assert (rows["bearing_clip:800"]["Exact"], rows["bearing_clip:800"]["Bought"]) == ("10", "10")
    screws = rows["wood_screw"]
    assert [screws[name] for name in ("Group", "Exact", "Unit", "Bought", "Sold by", "Pack")] == [
        "Fasteners", "40", "piece", "1", "box", "250",
    ]  # fmt: skip
    assert screws["Derivation"].startswith("40 = 40 (bearing clip, leg on rim or ledger, R20).")
    assert screws["Derivation"].endswith("40 and 5 % allowance are 42: 1 box of 250, 250 in all.")
    assert len(rows) == len(shed().bill)


def test_schedule_and_cut_list_by_hand() -> None:
    """Holes every 24 in, the first 22 1/2 in from the printed end: 24 in from the outline."""
    (line,) = read(csv_bytes(tables()["schedule"]))
    assert list(line.values()) == [
        "1J01", "Joist", "800S200-43", "1", "9'-9\"", "117.0", "5", "5", "22.5; 46.5; 70.5; 94.5",
        f"{shed().schedule[0].weight_lb}",
    ]  # fmt: skip
    (cut,) = read(csv_bytes(tables()["cuts"]))
    assert list(cut.values()) == [
        "1", "5", "1J01", "800S200-43", "9'-9\"", "117.0", "5", "22.5; 46.5; 70.5; 94.5",
    ]  # fmt: skip


def test_words_follow_the_floors_units_and_inches_stay_exact() -> None:
    cuts = takeoff_tables(shed("metric"), Practice())[2]
    (cut,) = read(csv_bytes(cuts))
    assert (cut["Length"], cut["Length in"]) == ("2972 mm", "117.0")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r", "\n", " =", "\uff1d"])
def test_no_cell_starts_a_formula(start: str) -> None:
    text = f"{start}HYPERLINK(A1)"
    table = Table(
        "cuts", "Cut list", (Column("Mark", "words", 9), Column("Pieces", "count", 9)), ((text, -3),)
    )
    (row,) = read(csv_bytes(table))
    assert row == {"Mark": f"'{text}", "Pieces": "-3"}
    cells = sheet_cells(workbook_bytes([table], SUBJECT), 1)
    assert cells["A2"] == text
    assert cells["B2"] == -3


def test_a_workbook_holds_what_the_tables_hold() -> None:
    data = workbook_bytes(list(tables().values()), SUBJECT)
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        root = ET.fromstring(book.read("xl/workbook.xml"))  # noqa: S314 - our own output
        assert [sheet.attrib["name"] for sheet in root.iter(f"{MAIN}sheet")] == list(TABLES.values())
        core = book.read("docProps/core.xml").decode()
        assert "Shed, version 2" in core
        assert "2026-11-02T15:00:00Z" in core
    for number, table in enumerate(tables().values(), 1):
        cells = sheet_cells(data, number)
        for down, row in enumerate((tuple(column.name for column in table.columns), *table.rows), 1):
            told = [cells.get(f"{chr(ord('A') + across)}{down}", "") for across in range(len(row))]
            assert told == [pytest.approx(cell) if isinstance(cell, float) else cell for cell in row]


def sheet_cells(data: bytes, number: int) -> dict[str, str | float]:
    """Texts and numbers of a sheet by address; its head is frozen and it has no formula."""
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        root = ET.fromstring(book.read(f"xl/worksheets/sheet{number}.xml"))  # noqa: S314 - our own output
        strings = [
            "".join(node.itertext()).replace("_x000D_", "\r")  # how a workbook writes that sign
            for node in ET.fromstring(book.read("xl/sharedStrings.xml"))  # noqa: S314 - our own output
        ]
    pane = next(root.iter(f"{MAIN}pane"))
    assert (pane.attrib["ySplit"], pane.attrib["state"]) == ("1", "frozen")
    assert next(root.iter(f"{MAIN}f"), None) is None
    cells: dict[str, str | float] = {}
    for cell in root.iter(f"{MAIN}c"):
        value = cell.find(f"{MAIN}v")
        if value is not None and value.text is not None:
            shared = cell.attrib.get("t") == "s"
            cells[cell.attrib["r"]] = strings[int(value.text)] if shared else float(value.text)
    return cells


def test_a_text_too_long_for_a_cell_says_where_it_goes_on() -> None:
    table = Table("cuts", "Cut list", (Column("Mark", "words", 9),), (("x" * 40_000,),))
    text = sheet_cells(workbook_bytes([table], SUBJECT), 1)["A2"]
    assert isinstance(text, str)
    assert len(text) < 32_767
    assert text.endswith("(whole in the CSV)")
    assert len(read(csv_bytes(table))[0]["Mark"]) == 40_000


def test_equal_input_gives_equal_bytes() -> None:
    first = takeoff_files(shed(), Practice(), SUBJECT)
    elsewhere = replace(SUBJECT, made_at=AT.astimezone(timezone(timedelta(hours=-5))))
    assert takeoff_files(shed(), Practice(), elsewhere) == first
    assert list(first) == ["plan.dxf", "takeoff.xlsx", "materials.csv", "schedule.csv", "cuts.csv"]
    later = takeoff_files(shed(), Practice(), replace(SUBJECT, made_at=AT + timedelta(days=1)))
    assert [name for name in first if later[name] != first[name]] == ["takeoff.xlsx"]


def test_the_drawing_carries_project_floor_version_and_basis() -> None:
    text = plan_bytes(shed(), SUBJECT).decode()
    for words in ("Alder Court", "Shed, version 2", "Engine 0"):
        assert f"\n{words}\n" in text
