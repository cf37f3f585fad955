"""The quote as a paper (R43): all that it shows is gathered first, then rendered. Cost never enters.

A paper is built from a stored revision, or from an engine result and its prices without any database.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final, Protocol

from framing.common.cautions import QUOTE_CAUTIONS
from framing.common.company import Company, company
from framing.common.templatetags.figures import ratio
from framing.drawing import Paper, SheetInfo, plan_svg, svg_address
from framing.engine.members import MemberKind
from framing.engine.result import FloorResult, PackageResult, ScheduleLine
from framing.engine.units import format_length
from quotes.models import QuoteRevision
from quotes.pricing import GROUP_NAMES, GROUPS, PricedPackage
from quotes.selectors import package_of

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

PAPER_KIND: Final = "quote"
TEMPLATE: Final = "pdf/quote.html"
SHEET: Final = Paper(254.0, 185.0)  # mm: the free part of a Letter or A4 sheet on its side
KINDS: Final = {
    MemberKind.JOIST: "joist",
    MemberKind.TRIMMER: "trimmer",
    MemberKind.HEADER: "header",
    MemberKind.BEAM: "beam",
    MemberKind.BLOCK: "block",
}
EXCLUDED: Final = (
    "The engineer's review and seal, permits and inspections.",
    "Walls, beams, posts and foundations below the floor, unless they stand in the materials above.",
    "Unloading, setting and fastening on site.",
    "Holes other than those on the drawings; pipes, ducts and wiring.",
    "Ceilings, insulation, and what a fire or sound rating asks for.",
)


class Line(Protocol):
    """What the paper reads of a price line, stored or not."""

    @property
    def group(self) -> str: ...
    @property
    def code(self) -> str: ...
    @property
    def description(self) -> str: ...
    @property
    def quantity(self) -> Decimal: ...
    @property
    def sold_by(self) -> str: ...
    @property
    def extension(self) -> Decimal: ...


@dataclass(frozen=True, slots=True)
class QuoteHeader:
    """Who offers what to whom, until when. `issued_at` None marks a draft, which is no offer."""

    number: str
    revision: int
    issued_at: datetime | None
    printed_at: datetime
    valid_until: datetime | None
    builder: str
    contact: str
    project: str
    site: str
    currency: str
    lead_time_days: int
    terms: str
    prepared_by: str
    release_reason: str = ""


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    mark: str
    kind: str
    profile: str
    plies: int
    length: str
    members: int
    pieces: int
    holes: int
    weight: str


@dataclass(frozen=True, slots=True)
class PaperFloor:
    """One floor on the paper; counts are for one floor, `repeat` says how many are built alike."""

    name: str
    level: str
    repeat: int
    framing: str
    loads: str
    pieces: int
    drawing: str
    schedule: tuple[ScheduleRow, ...]
    cares: tuple[str, ...]

    @property
    def drawing_address(self) -> str:
        """The drawing as an address that the paper may load."""
        return svg_address(self.drawing)


@dataclass(frozen=True, slots=True)
class PaperLine:
    description: str
    quantity: str
    unit: str


@dataclass(frozen=True, slots=True)
class PaperGroup:
    """One group of materials with the sum of its lines."""

    title: str
    lines: tuple[PaperLine, ...]
    amount: Decimal


@dataclass(frozen=True, slots=True)
class QuotePaper:
    """Everything the quote's PDF shows."""

    header: QuoteHeader
    company: Company
    floors: tuple[PaperFloor, ...]
    groups: tuple[PaperGroup, ...]
    adjustments: tuple[tuple[str, Decimal], ...]
    goods: Decimal
    freight: Decimal
    trucks: int
    tax: Decimal
    total: Decimal
    weight: str
    bundles: int
    engine_note: str
    excluded: tuple[str, ...] = field(default=EXCLUDED)

    @property
    def reference(self) -> str:
        return f"{self.header.number}-R{self.header.revision}"

    @property
    def file_name(self) -> str:
        return f"{self.reference}.pdf"


def quote_paper_of_revision(revision: QuoteRevision, printed_at: datetime) -> QuotePaper:
    """The paper of a stored revision; `printed_at` dates a draft only."""
    project = revision.quote.project
    header = QuoteHeader(
        number=revision.quote.number,
        revision=revision.number,
        issued_at=revision.issued_at,
        printed_at=revision.issued_at or printed_at,
        valid_until=revision.valid_until,
        builder=project.builder.name,
        contact=project.builder.contact_name,
        project=project.name,
        site=str(project.site),
        currency=revision.currency,
        lead_time_days=revision.lead_time_days,
        terms=revision.terms,
        prepared_by=revision.issued_by or revision.quote.owner.name,
        release_reason=revision.release_reason,
    )
    sums = (revision.goods, revision.freight, revision.tax, revision.total)
    return _build(header, package_of(revision), list(revision.lines.all()), sums)


def quote_paper_of_package(result: PackageResult, priced: PricedPackage, header: QuoteHeader) -> QuotePaper:
    """The paper of a priced result, without a database."""
    return _build(header, result, priced.lines, (priced.goods, priced.freight, priced.tax, priced.total))


def render_quote(paper: QuotePaper) -> RenderedPaper:
    """The PDF; equal papers give equal bytes."""
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper(TEMPLATE, _context(paper), issued_at=paper.header.printed_at)


def _context(paper: QuotePaper) -> dict[str, Any]:
    return {
        "paper": paper,
        "header": paper.header,
        "paper_size": paper.company.paper_size,
        "paper_name": "Quote" if paper.header.issued_at else "Draft of a quote",
        "paper_number": paper.header.number,
        "paper_revision": paper.header.revision,
        "paper_date": paper.header.printed_at,
        "company_name": paper.company.name,
        "company_lines": paper.company.lines,
        "cautions": QUOTE_CAUTIONS,
        "engine_note": paper.engine_note,
    }


def _build(
    header: QuoteHeader,
    result: PackageResult,
    lines: Sequence[Line],
    sums: tuple[Decimal, Decimal, Decimal, Decimal],
) -> QuotePaper:
    goods, freight, tax, total = sums
    weight = sum(load.weight_lb for load in result.loads)
    return QuotePaper(
        header=header,
        company=company(),
        floors=tuple(
            _floor(floor, number, len(result.floors), header)
            for number, floor in enumerate(result.floors, start=1)
        ),
        groups=tuple(_groups(lines)),
        adjustments=tuple((line.description, line.extension) for line in lines if line.group == "discount"),
        goods=goods,
        freight=freight,
        trucks=sum(int(line.quantity) for line in lines if line.group == "freight"),
        tax=tax,
        total=total,
        weight=f"{round(weight):,} lb" if weight else "",
        bundles=len(result.bundles),
        engine_note=(
            f"Laid out by engine {result.engine_version}, catalogue {result.catalogue_version}, practice set"
            f" {result.practice_name} {result.practice_version}."
        ),
    )


def _groups(lines: Sequence[Line]) -> Iterable[PaperGroup]:
    for group in GROUPS:
        found = [line for line in lines if line.group == group]
        if found and group not in ("discount", "freight"):
            rows = tuple(
                PaperLine(line.description, shown_quantity(line.quantity), line.sold_by) for line in found
            )
            yield PaperGroup(GROUP_NAMES[group], rows, sum((line.extension for line in found), Decimal(0)))


def shown_quantity(quantity: Decimal) -> str:
    """A quantity without idle zeros."""
    text = f"{quantity:,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _floor(floor: FloorResult, number: int, count: int, header: QuoteHeader) -> PaperFloor:
    plan = floor.plan
    sheet = SheetInfo(
        project=header.project,
        floor=plan.name,
        date=f"{header.printed_at:%m/%d/%Y}",
        revision=f"R{header.revision}",
        number=number,
        count=count,
        paper=SHEET,
    )
    return PaperFloor(
        name=plan.name,
        level=plan.level,
        repeat=plan.repeat,
        framing=framing_words(floor),
        loads=f"{plan.load_case.live_psf:g} psf live, {plan.load_case.dead_psf:g} psf dead",
        pieces=len(floor.pieces),
        drawing=plan_svg(floor, sheet, spots=False),
        schedule=tuple(_row(line, floor) for line in floor.schedule),
        cares=(*(warning.message for warning in floor.warnings), *_failing(floor)),
    )


def framing_words(floor: FloorResult) -> str:
    """Profile and spacing of each bay, as “1000S162-54 at 16 in”."""
    words = (f"{bay.profile} at {float(bay.bay.spacing_16) / 16:g} in" for bay in floor.bays)
    return ", ".join(dict.fromkeys(words))


def _failing(floor: FloorResult) -> Iterable[str]:
    for check in floor.checks:
        if not check.passes:
            worst = check.checks[check.governing]
            yield f"{check.title} ({check.profile}): {worst.name} at {ratio(worst.ratio)} of what is allowed."


def _row(line: ScheduleLine, floor: FloorResult) -> ScheduleRow:
    return ScheduleRow(
        mark=line.mark,
        kind=KINDS[line.kind],
        profile=line.profile,
        plies=line.plies,
        length=format_length(line.length_16, floor.plan.units),
        members=line.members,
        pieces=line.pieces,
        holes=len(line.holes_16),
        weight=f"{line.weight_lb:,.0f}",
    )
