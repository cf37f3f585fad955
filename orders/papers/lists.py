"""Cut lists and packing lists as pages show them, and as tables for workbooks and CSV."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import accumulate
from typing import TYPE_CHECKING, Any, Final

from framing.common.company import Company
from framing.common.zones import day_words
from framing.engine.units import format_length, inches
from framing.projects.takeoff_tables import Cell, Column, Table
from orders.papers.facts import AgainCut, CutBundle, CutRow, cut_from
from orders.selectors import counted_words

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

FOOT_16: Final = 192


@dataclass(frozen=True, slots=True)
class ShownRow:
    """A row of a cut list; `count` and `feet` run on through the list; `again` for a piece that was scrapped."""

    row: CutRow
    again: bool
    line_length: str
    holes: tuple[str, ...]
    count: int
    feet: str


@dataclass(frozen=True, slots=True)
class ShownBundle:
    """A bundle's turn with its rows."""

    bundle: CutBundle
    rows: tuple[ShownRow, ...]
    feet: str


def line_length(length_16: int) -> str:
    """Exact inches, as a line's control takes them: 165, 165.5, 165.0625."""
    return f"{inches(length_16):.4f}".rstrip("0").rstrip(".")


def feet_of(length_16: int) -> str:
    """Feet with one decimal and thousands."""
    return f"{length_16 / FOOT_16:,.1f}"


def shown_bundles(content: Mapping[str, Any]) -> tuple[ShownBundle, ...]:
    """The list with its running figures."""
    bundles = [cut_from(kept) for kept in content["bundles"]]
    rows = [(bundle, row, again) for bundle in bundles for row, again in _rows(bundle)]
    counts = list(accumulate(row.count for _, row, _ in rows))
    steel = list(accumulate(row.count * row.length_16 for _, row, _ in rows))
    shown = [
        ShownRow(
            row,
            again,
            line_length(row.length_16),
            tuple(_length(hole, bundle.units) for hole in row.holes_16),
            counts[index],
            feet_of(steel[index]),
        )
        for index, (bundle, row, again) in enumerate(rows)
    ]
    made = []
    for bundle in bundles:
        own = len(bundle.rows) + len(bundle.again)
        made.append(ShownBundle(bundle, tuple(shown[:own]), feet_of(bundle.length_16)))
        shown = shown[own:]
    return tuple(made)


def _rows(bundle: CutBundle) -> list[tuple[CutRow, bool]]:
    """The rows of a bundle, and after them each piece that is to be made once more."""
    return [*((row, False) for row in bundle.rows), *((_once(piece), True) for piece in bundle.again)]


def _once(piece: AgainCut) -> CutRow:
    return CutRow(piece.mark, piece.length_16, piece.holes_16, 1, piece.floor)


def _length(length_16: int, units: str) -> str:
    return format_length(length_16, "metric" if units == "metric" else "imperial")


def cut_title(content: Mapping[str, Any]) -> str:
    """Line and day, or order and project."""
    if "line" in content:
        return f"{content['line']}, {day_words(date.fromisoformat(content['day']))}"
    return f"{content['order']}, {content['project']}"


_CUTS: Final = (
    Column("Turn", "count", 7),
    Column("Starts", "words", 8),
    Column("Change-over", "words", 14),
    Column("Order", "words", 14),
    Column("Bundle", "words", 9),
    Column("Where", "words", 28),
    Column("Profile", "words", 16),
    Column("Mark", "words", 12),
    Column("Length", "words", 16),
    Column("Length in", "inches", 12),
    Column("Pieces", "count", 8),
    Column("Again", "words", 8),
    Column("Holes from the printed end", "words", 40),
    Column("Holes in", "words", 30),
    Column("Pieces so far", "count", 10),
    Column("Feet so far", "words", 11),
)


def cut_table(content: Mapping[str, Any]) -> Table:
    """The cut list as one table, a row for each kind of piece in its turn."""
    rows: list[tuple[Cell, ...]] = []
    for turn, shown in enumerate(shown_bundles(content), 1):
        bundle = shown.bundle
        for index, row in enumerate(shown.rows):
            first = index == 0
            rows.append(
                (
                    turn,
                    bundle.starts if first else "",
                    change_words(bundle) if first else "",
                    bundle.order,
                    str(bundle.number) if bundle.number else "pack",
                    bundle.place,
                    bundle.profile,
                    row.row.mark,
                    _length(row.row.length_16, bundle.units),
                    float(inches(row.row.length_16)),
                    row.row.count,
                    "again" if row.again else "",
                    "; ".join(row.holes),
                    "; ".join(line_length(hole) for hole in row.row.holes_16),
                    row.count,
                    row.feet,
                )
            )
    return Table("cut-list", "Cut list", _CUTS, tuple(rows))


def change_words(bundle: CutBundle) -> str:
    """“20 min”, “yes” where no plan says how long, "" where the line runs on."""
    if bundle.setup_minutes:
        return f"{bundle.setup_minutes} min"
    return "yes" if bundle.change else ""


_PACKS: Final = (
    Column("Carton", "words", 9),
    Column("Title", "words", 28),
    Column("What", "words", 44),
    Column("Count", "count", 10),
    Column("Unit", "words", 9),
    Column("Weight of the carton lb", "weight", 12),
)


def packing_table(content: Mapping[str, Any]) -> Table:
    """The packing list as one table, a row for each thing in each carton."""
    rows: list[tuple[Cell, ...]] = [
        (f"C{carton['number']}", carton["title"], str(what), int(count), str(unit), carton["weight_lb"])
        for carton in content["cartons"]
        for what, count, unit in carton["contents"]
    ]
    return Table("packing-list", "Packing list", _PACKS, tuple(rows))


_LABELS: Final = (
    Column("Kind", "words", 9),
    Column("Number", "words", 10),
    Column("Order", "words", 14),
    Column("Project", "words", 28),
    Column("Mark", "words", 12),
    Column("Length in", "inches", 12),
    Column("Profile", "words", 16),
    Column("Where", "words", 32),
    Column("Weight lb", "weight", 11),
    Column("Code", "words", 16),
)


def label_table(kind: str, content: Mapping[str, Any]) -> Table:
    """What the labels say as one table, a row a label, for printers with a program of their own."""
    make = {"piece_labels": _piece_cells, "bundle_tags": _tag_cells, "carton_labels": _carton_cells}[kind]
    return Table("labels", "Labels", _LABELS, tuple(make(label) for label in content["labels"]))


def _piece_cells(label: Mapping[str, Any]) -> tuple[Cell, ...]:
    place = f"{label['bundle']}/{label['place']}" if label["bundle"] else "pack"
    where = ", ".join(part for part in (label["floor"], label["zone"]) if part)
    return ("piece", place, label["order"], label["project"], label["mark"], float(inches(label["length_16"])),
            label["profile"], where, "", label["code"])  # fmt: skip


def _tag_cells(label: Mapping[str, Any]) -> tuple[Cell, ...]:
    marks = "; ".join(f"{mark['count']} {mark['mark']}" for mark in label["marks"])
    return ("bundle", str(label["number"]), label["order"], label["project"], marks, float(inches(label["length_16"])),
            label["profile"], label["place"], label["weight_lb"], label["code"])  # fmt: skip


def _carton_cells(label: Mapping[str, Any]) -> tuple[Cell, ...]:
    return ("carton", f"C{label['number']}", label["order"], label["project"], "", "", "", label["title"],
            label["weight_lb"], label["code"])  # fmt: skip


def list_render(kind: str, content: Mapping[str, Any], *, supplier: Company, at: datetime) -> RenderedPaper:
    """A cut list or packing list as PDF; equal content gives equal bytes."""
    context = _cut_context(content) if kind == "cut_list" else _packing_context(content)
    context |= {
        "paper_size": supplier.paper_size,
        "paper_date": at,
        "company_name": supplier.name,
        "company_lines": supplier.lines,
        "content": content,
    }
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper(f"pdf/{kind}.html", context, issued_at=at)


def _cut_context(content: Mapping[str, Any]) -> dict[str, Any]:
    bundles = shown_bundles(content)
    return {
        "paper_name": "Cut list",
        "paper_number": cut_title(content),
        "bundles": bundles,
        "pieces": sum(shown.bundle.pieces for shown in bundles),
        "feet": feet_of(sum(shown.bundle.length_16 for shown in bundles)),
        "changes": sum(shown.bundle.change for shown in bundles),
        "day": date.fromisoformat(content["day"]) if "day" in content else None,
    }


def _packing_context(content: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "paper_name": "Packing list",
        "paper_number": content["order"],
        "cartons": [carton | {"rows": _counted(carton["contents"])} for carton in content["cartons"]],
        "weight_lb": sum(carton["weight_lb"] for carton in content["cartons"]),
        "deliver_on": date.fromisoformat(content["deliver_on"]) if content["deliver_on"] else None,
    }


def _counted(contents: Sequence[Sequence[Any]]) -> list[tuple[str, str]]:
    """What lies in a carton, and how many of it, for who picks it."""
    return [(str(what), counted_words(int(count), str(unit))) for what, count, unit in contents]
