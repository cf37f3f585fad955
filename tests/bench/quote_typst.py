"""A quote's content set by another typesetter: the yardstick of the paper's bench.

The same words, tables, drawings and diagrams, with head, foot, bookmarks and tags, from the same `QuotePaper`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from django.contrib.staticfiles import finders
from fontTools.ttLib import TTFont

from framing.common.cautions import QUOTE_CAUTIONS
from framing.common.templatetags.figures import money, ratio
from framing.drawing import significant
from quotes.documents import QuotePaper
from quotes.documents.annex import annex_context
from quotes.documents.parts import INCLUDED
from quotes.documents.strips import filled, sheet_parts

FACES = ("next-latin-400", "next-latin-600", "mono-latin-400", "mono-latin-600")
PREAMBLE = """
#set document(title: {title})
#set page(paper: "us-letter", margin: (x: 15mm, top: 22mm, bottom: 27mm), header: {head}, footer: context [
  #{foot} #h(1fr) Sheet #counter(page).display("1 of 1", both: true)])
#set text(font: "Atkinson Hyperlegible Next", size: 9.5pt, lang: "en")
#set table(stroke: (x, y) => (bottom: 0.3pt), inset: (x: 2mm, y: 0.6mm))
"""


def quoted(value: object) -> str:
    """A text as a string of the other language."""
    return json.dumps(str(value), ensure_ascii=False)


@dataclass
class Sheets:
    """Source and files of one document."""

    folder: Path
    lines: list[str]
    count: int = 0

    def say(self, text: str) -> None:
        self.lines.append(f"#par({quoted(text)})")

    def head(self, text: str, level: int = 1, *, new: bool = False) -> None:
        if new:
            self.lines.append("#pagebreak()")
        self.lines.append(f"#heading(level: {level}, {quoted(text)})")

    def table(self, heads: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
        top = f"table.header({', '.join(quoted(head) for head in heads)})"
        cells = "".join(f"{', '.join(quoted(value) for value in row)},\n" for row in rows)
        self.lines.append(f"#table(columns: {len(heads)}, {top},\n{cells})")

    def picture(self, svg: str, words: str, width: str) -> None:
        self.count += 1
        (self.folder / f"{self.count}.svg").write_text(svg)
        self.lines.append(f'#image("{self.count}.svg", width: {width}, alt: {quoted(words)})')

    def items(self, words: Iterable[str]) -> None:
        self.lines += [f"- #{quoted(word)}" for word in words]


@lru_cache(maxsize=1)
def font_folder() -> str:
    """Our fonts unpacked, for the other typesetter reads no packed ones."""
    folder = Path(mkdtemp(prefix="fonts-"))
    for face in FACES:
        found = finders.find(f"framing/fonts/atkinson-hyperlegible-{face}-normal.woff2")
        font = TTFont(found)
        font.flavor = None
        font.save(folder / f"{face}.ttf")
    return str(folder)


def source_of(paper: QuotePaper, folder: Path) -> Path:
    """Write the whole source with its pictures to a folder; returns the source's file."""
    header = paper.header
    title = f"{header.number}, revision {header.revision}"
    lines = [
        PREAMBLE.format(title=quoted(title), head=quoted(paper.company.name), foot=quoted(f"Quote {title}"))
    ]
    sheets = Sheets(folder, lines)
    _letter(sheets, paper)
    _scope(sheets, paper)
    _drawings(sheets, paper)
    _schedules(sheets, paper)
    _money(sheets, paper)
    _annexes(sheets, paper)
    path = folder / "quote.typ"
    path.write_text("\n\n".join(lines))
    return path


def compiled(path: Path) -> bytes:
    """The PDF, tagged."""
    import typst

    data: bytes = typst.compile(str(path), font_paths=[font_folder()], ignore_system_fonts=True)
    return data


def _letter(sheets: Sheets, paper: QuotePaper) -> None:
    header = paper.header
    sheets.head(f"Quote {header.number}, revision {header.revision}")
    sheets.items(paper.company.lines)
    for text in (header.contact, header.builder, header.site, f"Dear {header.contact},"):
        sheets.say(text)
    sheets.say(
        f"We offer the steel for {len(paper.floors)} floors of {header.project}, {paper.weight} in all."
    )
    sheets.table(
        ("Total", "Prices hold until", "Lead time"),
        [(paper.total, header.valid_until, header.lead_time_days)],
    )
    sheets.lines.append("#outline(depth: 1)")


def _scope(sheets: Sheets, paper: QuotePaper) -> None:
    sheets.head("Scope", new=True)
    rows = [(f.name, f.framing, f.loads, f.members, f.pieces, f.weight, f.repeat) for f in paper.floors]
    sheets.table(("Floor", "Framing", "Loads", "Members", "Rolled pieces", "Weight", "Built"), rows)
    sheets.items(INCLUDED.values())
    sheets.items(paper.excluded)
    for floor in paper.floors:
        sheets.items(floor.cares)


def _drawings(sheets: Sheets, paper: QuotePaper) -> None:
    for number, result in enumerate(paper.results, start=3):
        sheet, overlay = sheet_parts(result, paper.header.project, paper.company.name)
        strip = filled(overlay, {"date": "11/25/2026", "revision": "R3", "sheet": f"{number} of 23"})
        whole = sheet.replace("</svg>", strip[strip.index(">") + 1 :])
        sheets.lines.append("#page(flipped: true, margin: 12mm)[")
        sheets.picture(whole, f"Framing plan of {result.plan.name}", "100%")
        sheets.lines.append("]")


def _schedules(sheets: Sheets, paper: QuotePaper) -> None:
    heads = ("Mark", "Is a", "Profile", "Plies", "Length", "Places", "Pieces", "Holes", "Weight")
    for floor in paper.floors:
        sheets.head(f"Joist schedule {floor.name}", new=True)
        rows = [
            (r.mark, r.kind, r.profile, r.plies, r.length, r.members, r.pieces, r.holes, r.weight)
            for r in floor.schedule
        ]
        sheets.table(heads, rows)


def _money(sheets: Sheets, paper: QuotePaper) -> None:
    currency = paper.header.currency
    sheets.head("Materials", new=True)
    for group in paper.groups:
        sheets.table(
            (group.title, "Quantity", "Unit"), [(r.description, r.quantity, r.unit) for r in group.lines]
        )
    sheets.head("Price", new=True)
    sums = [(group.title, group.amount) for group in paper.groups] + list(paper.adjustments)
    sums += [("Goods", paper.goods), ("Freight", paper.freight), ("Tax", paper.tax), ("Total", paper.total)]
    sheets.table(("Part", "Amount"), [(words, money(amount, currency)) for words, amount in sums])
    sheets.head("Terms", new=True)
    sheets.say(paper.header.terms)
    sheets.items(QUOTE_CAUTIONS)


def _annexes(sheets: Sheets, paper: QuotePaper) -> None:
    for number, result in enumerate(paper.results, start=1):
        found: Any = annex_context("letter", number, result, paper.practice)
        sheets.head(f"Annex Calculation of {found['floor']}", new=True)
        rows = [
            (
                r.reference + " " + r.check.title,
                r.members,
                r.check.profile,
                r.governing.name,
                ratio(r.governing.ratio),
            )
            for r in found["rows"]
        ]
        sheets.table(("Case", "Members", "Profile", "Governing check", "Ratio"), rows)
        for part in found["cases"]:
            _case(sheets, part)


def _case(sheets: Sheets, part: Any) -> None:
    case = part.case
    sheets.head(f"{case.reference} {case.sheet.check.title}", 2, new=True)
    sheets.table(("Input", "Value"), case.inputs)
    sheets.picture(case.svg, f"Diagrams of {case.reference}", "90mm")
    rows = [
        (
            r.check.name,
            significant(r.check.demand),
            significant(r.check.capacity),
            ratio(r.check.ratio),
            r.check.clause,
        )
        for r in case.required
    ]
    sheets.table(("Check", "Demand", "Capacity", "Ratio", "Clause"), rows)
    sheets.items(case.sheet.check.notes)
    if part.working:
        sheets.say(part.working.formula)
        steps = [(v.words, v.symbol, significant(v.value), v.unit, v.source) for v in part.working.values]
        sheets.table(("Step", "Symbol", "Number", "Unit", "Source"), steps)
