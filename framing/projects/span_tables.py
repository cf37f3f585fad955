"""A span table as pages, papers and the API show it; the engine's table is asked for in one place here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from math import floor
from typing import TYPE_CHECKING, Any, Final

from framing.common.cautions import BRACING, SIZING
from framing.common.company import company
from framing.engine.catalogue import Catalogue, JoistProfile, load_catalogue
from framing.engine.pipeline import ENGINE_VERSION
from framing.engine.practice import Practice
from framing.engine.sizing.span_table import SpanCase, SpanCell, SpanRow, SpanTable, span_table, table_csv
from framing.engine.units import MM_PER_INCH, SIXTEENTHS_PER_INCH, format_length
from framing.projects.models import SpanTableAsk
from framing.projects.selectors import practice_of
from framing.projects.span_asks import SpanAsk, SpanBasis, ask_digest, ask_json, ask_reference, read_ask

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

PAPER_KIND: Final = "span_table"
TEMPLATE: Final = "pdf/span_table.html"
CAUTIONS: Final = (SIZING, BRACING)
CODE_LIVE_LIMIT, CODE_TOTAL_LIMIT = 360, 240
GLYPH_EDGE_IN, GLYPH_LIP_IN, GLYPH_MM_PER_IN = 0.1, 0.6, 1.5
NO_SPAN: Final = "\N{EN DASH}"


@dataclass(frozen=True, slots=True)
class Governs:
    """What holds a span back: a letter in the cell, the words in the key."""

    letter: str
    words: str


GOVERNS: Final[dict[str, Governs]] = {
    "local": Governs("B", "bending, local buckling"),
    "distortional": Governs("D", "bending, distortional buckling"),
    "lateral": Governs("F", "bending, free flange at the inner bearing"),
    "shear": Governs("V", "shear"),
    "bending with shear": Governs("M", "bending with shear at the inner bearing"),
    "live deflection": Governs("L", "deflection under live load"),
    "total deflection": Governs("T", "deflection under total load"),
    "1 kN": Governs("P", "deflection under 1 kN at midspan"),
    "longest piece": Governs("C", "longest piece that is rolled"),
}
SIGNS: Final = ("*", "\N{DAGGER}", "\N{DOUBLE DAGGER}", "\N{SECTION SIGN}")


@dataclass(frozen=True, slots=True)
class ShownCell:
    """One span in the table's units; `text` is a dash where none holds. `signs` refer to the key's remarks."""

    spacing: str
    text: str
    span_in: float
    governs: Governs | None
    signs: str = ""


@dataclass(frozen=True, slots=True)
class ShownRow:
    """One profile; `signs` are the remarks that hold at every spacing."""

    profile: JoistProfile
    cells: tuple[ShownCell, ...]
    signs: str = ""


@dataclass(frozen=True, slots=True)
class ShownGroup:
    """Profiles of one depth, lightest first; `outline` draws the depth's C in inches, lips and all."""

    depth_in: float
    rows: tuple[ShownRow, ...]

    @property
    def depth(self) -> str:
        return f"{self.depth_in:g} in"

    @property
    def outline(self) -> str:
        low = self.depth_in - GLYPH_EDGE_IN
        lip = GLYPH_EDGE_IN + GLYPH_LIP_IN
        return f"M1.8 {lip:g}V{GLYPH_EDGE_IN:g}H.1V{low:g}H1.8V{low - GLYPH_LIP_IN:g}"

    @property
    def glyph_mm(self) -> tuple[str, str]:
        """Width and height of the drawn C on paper: all depths to one scale."""
        return f"{2 * GLYPH_MM_PER_IN:g}", f"{self.depth_in * GLYPH_MM_PER_IN:g}"


@dataclass(frozen=True, slots=True)
class SpanSheet:
    """All that a page or a paper tells of a table; `at` is the day on it."""

    ask: SpanAsk
    basis: SpanBasis
    digest: str
    at: datetime
    spacings: tuple[str, ...]
    groups: tuple[ShownGroup, ...]
    key: tuple[Governs, ...]
    remarks: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    cares: tuple[str, ...]

    @property
    def reference(self) -> str:
        return ask_reference(self.digest)

    @property
    def rows(self) -> tuple[ShownRow, ...]:
        return tuple(row for group in self.groups for row in group.rows)

    @property
    def columns(self) -> int:
        """Columns of the page's table: profile, yield, weight, and a span for each spacing."""
        return 3 + len(self.spacings)

    @property
    def cautions(self) -> tuple[str, ...]:
        return CAUTIONS

    @property
    def asked(self) -> dict[str, Any]:
        return ask_json(self.ask)

    @property
    def unit(self) -> str:
        """What the spans are written in."""
        return "mm" if self.ask.units == "metric" else "feet and inches"

    @property
    def spans_found(self) -> bool:
        """Whether any profile spans anything under these loads."""
        return any(cell.governs for row in self.rows for cell in row.cells)

    @property
    def engine_note(self) -> str:
        practice = self.basis.practice
        return (
            f"Computed by engine {self.basis.engine_version}, catalogue {self.basis.catalogue_version}, practice"
            f" set {practice.name} {practice.version}."
        )


def span_basis(practice: Practice) -> SpanBasis:
    """What a table made now rests on."""
    return SpanBasis(ENGINE_VERSION, load_catalogue().version, practice)


def engine_table(ask: SpanAsk, practice: Practice) -> SpanTable:
    """The engine's table. Raises LoadRefused where the engine takes no such load or limit."""
    case = SpanCase(
        dead_psf=ask.dead_psf,
        live_psf=ask.live_psf,
        partition_psf=ask.partition_psf,
        live_limit=ask.live_limit,
        total_limit=ask.total_limit,
        spans=ask.spans,
        spacings_in=ask.spacings_in,
        method=ask.method,
        vibration_point_load=ask.point_load,
    )
    return span_table(asked_profiles(ask, load_catalogue()), case, practice)


def asked_profiles(ask: SpanAsk, catalogue: Catalogue) -> tuple[JoistProfile, ...]:
    """The catalogue's profiles of the asked depths, by depth and weight."""
    chosen = (row for row in catalogue.profiles if not ask.depths_in or row.depth_in in ask.depths_in)
    return tuple(sorted(chosen, key=lambda row: (row.depth_in, row.weight_plf, row.designator)))


def span_sheet(ask: SpanAsk, practice: Practice, at: datetime) -> SpanSheet:
    """The table of an ask, ready to be shown. Raises LoadRefused as `engine_table`."""
    basis, table = span_basis(practice), engine_table(ask, practice)
    remarks = _remarks(table)
    rows = tuple(_row(row, ask, remarks) for row in table.rows)
    found = {cell.governs.letter: cell.governs for row in rows for cell in row.cells if cell.governs}
    return SpanSheet(
        ask=ask,
        basis=basis,
        digest=ask_digest(ask, basis),
        at=at,
        spacings=tuple(_spacing(value, ask) for value in ask.spacings_in),
        groups=_groups(rows),
        key=tuple(found[letter] for letter in sorted(found)),
        remarks=tuple((sign, words) for words, sign in remarks.items()),
        notes=table.notes,
        facts=_facts(ask),
        cares=tuple(_cares(ask)),
    )


def sheet_of(row: SpanTableAsk) -> SpanSheet:
    """The table of a stored ask, dated by it."""
    return span_sheet(read_ask(row.case), practice_of(row.practice), row.asked_at)


def render_span_table(sheet: SpanSheet) -> RenderedPaper:
    """The table as a PDF; equal sheets give equal bytes."""
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    supplier = company()
    context = {
        "sheet": sheet,
        "paper_size": supplier.paper_size,
        "paper_name": "Span table",
        "paper_number": sheet.reference,
        "paper_date": sheet.at,
        "company_name": supplier.name,
        "company_lines": supplier.lines,
        "cautions": CAUTIONS,
    }
    return render_paper(TEMPLATE, context, issued_at=sheet.at)


def sheet_csv(sheet: SpanSheet) -> str:
    """The table as CSV, spans in whole inches."""
    return table_csv(engine_table(sheet.ask, sheet.basis.practice))


def file_name(sheet: SpanSheet, suffix: str) -> str:
    return f"span-table-{sheet.reference}.{suffix}"


def length_text(span_in: float, units: str) -> str:
    """A span for people, feet and inches or whole millimetres, never rounded up."""
    if units == "metric":
        return f"{floor(Fraction(span_in) * MM_PER_INCH)}"
    return format_length(floor(span_in) * SIXTEENTHS_PER_INCH, "imperial")


def _warnings(cell: SpanCell) -> tuple[str, ...]:
    return tuple(words for words in cell.warning.split("; ") if words)


def _remarks(table: SpanTable) -> dict[str, str]:
    """A sign for each of the engine's warnings, in the order of the table."""
    words = dict.fromkeys(found for row in table.rows for cell in row.cells for found in _warnings(cell))
    return dict(zip(words, SIGNS, strict=False))


def _row(row: SpanRow, ask: SpanAsk, remarks: dict[str, str]) -> ShownRow:
    everywhere = set.intersection(*(set(_warnings(cell)) for cell in row.cells))
    pairs = zip(ask.spacings_in, row.cells, strict=True)
    return ShownRow(
        row.profile,
        tuple(
            _cell(spacing, cell, ask, _signs(set(_warnings(cell)) - everywhere, remarks))
            for spacing, cell in pairs
        ),
        _signs(everywhere, remarks),
    )


def _signs(words: set[str], remarks: dict[str, str]) -> str:
    return "".join(sign for known, sign in remarks.items() if known in words)


def _cell(spacing_in: float, cell: SpanCell, ask: SpanAsk, signs: str) -> ShownCell:
    spacing = _spacing(spacing_in, ask)
    if cell.span_in <= 0:
        return ShownCell(spacing, NO_SPAN, 0.0, None, signs)
    text = length_text(cell.span_in, ask.units)
    return ShownCell(spacing, text, cell.span_in, GOVERNS[cell.governs], signs)


def _spacing(spacing_in: float, ask: SpanAsk) -> str:
    if ask.units == "metric":
        return f"{spacing_in * float(MM_PER_INCH):.0f} mm"
    return f"{spacing_in:g} in"


def _groups(rows: tuple[ShownRow, ...]) -> tuple[ShownGroup, ...]:
    depths = sorted({row.profile.depth_in for row in rows})
    return tuple(
        ShownGroup(depth, tuple(row for row in rows if row.profile.depth_in == depth)) for depth in depths
    )


def _facts(ask: SpanAsk) -> tuple[tuple[str, str], ...]:
    partitions = f" + {ask.partition_psf:g} psf partitions" if ask.partition_psf else ""
    layers = f" ({', '.join(ask.layers)})" if ask.layers else ""
    point = ", 1 kN at midspan" if ask.point_load else ""
    return (
        ("Use", ask.use or "Own live load"),
        ("Live load", f"{ask.live_psf:g} psf{partitions}"),
        ("Dead load", f"{ask.dead_psf:g} psf{layers}"),
        ("Deflection", f"live L/{ask.live_limit}, total L/{ask.total_limit}{point}"),
        ("Joists", "one span" if ask.spans == "single" else "two equal spans, in one piece"),
        ("Strength by", f"AISI S100, {ask.method.value}"),
    )


def _cares(ask: SpanAsk) -> Iterator[str]:
    if ask.live_limit < CODE_LIVE_LIMIT:
        yield f"Live load at L/{ask.live_limit}: codes ask floors for L/{CODE_LIVE_LIMIT} at least."
    if ask.total_limit < CODE_TOTAL_LIMIT:
        yield f"Total load at L/{ask.total_limit}: codes ask floors for L/{CODE_TOTAL_LIMIT} at least."
