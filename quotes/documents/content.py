"""What a quote's paper shows (R43), gathered before anything is laid out. Cost and margin never enter.

A paper is built from a stored revision, or from an engine result and its prices without any database.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Final, Protocol

from framing.common.company import Company, company
from framing.common.templatetags.figures import ratio
from framing.common.zones import day_in
from framing.engine import ENGINE_VERSION
from framing.engine.catalogue import load_catalogue
from framing.engine.floor import Units
from framing.engine.members import MemberKind
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, PackageResult, ScheduleLine
from framing.engine.units import format_length
from framing.projects.selectors import practice_of
from quotes.change_reads import change_money, change_named
from quotes.documents.alternates import PaperAlternate, paper_alternates
from quotes.models import QuoteRevision
from quotes.pricing import GROUP_NAMES, GROUPS, SURCHARGE, PricedPackage
from quotes.selectors import package_of

PAPER_KIND: Final = "quote"
KINDS: Final = {
    MemberKind.JOIST: "joist",
    MemberKind.TRIMMER: "trimmer",
    MemberKind.HEADER: "header",
    MemberKind.BEAM: "beam",
    MemberKind.BLOCK: "block",
}
TENTH: Final = Decimal("0.1")
WITH_SURCHARGE: Final = ", with the steel surcharge"
UNITS_OF_MANY: Final = {
    unit: f"{unit}es" if unit == "box" else f"{unit}s"
    for unit in ("piece", "box", "stick", "sheet", "tube", "hole")
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
    def exact(self) -> Decimal: ...
    @property
    def exact_unit(self) -> str: ...
    @property
    def quantity(self) -> Decimal: ...
    @property
    def sold_by(self) -> str: ...
    @property
    def extension(self) -> Decimal: ...


@dataclass(frozen=True, slots=True)
class PaperChange:
    """What makes an offer a change order (R45): of which order, and its price against what was agreed."""

    number: int
    order: str
    was: str
    agreed: Decimal
    difference: Decimal


@dataclass(frozen=True, slots=True)
class QuoteHeader:
    """Who offers what to whom, until when. `issued_at` None marks a draft, which is no offer.

    `day` is the paper's date at the site, where `valid_until` ends too; None for that of `printed_at`.
    """

    number: str
    revision: int
    issued_at: datetime | None
    printed_at: datetime
    valid_until: date | None
    builder: str
    contact: str
    project: str
    site: str
    currency: str
    lead_time_days: int
    terms: str
    prepared_by: str
    release_reason: str = ""
    day: date | None = None
    change: PaperChange | None = None

    @property
    def dated(self) -> date:
        return self.day or self.printed_at.date()


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
    members: int
    pieces: int
    weight: str
    schedule: tuple[ScheduleRow, ...]
    cares: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One material: what the floors need, in pieces or feet, and what comes: boxes, sticks, whole feet.

    `needed` is "" where just that comes.
    """

    description: str
    needed: str
    quantity: str
    unit: str


@dataclass(frozen=True, slots=True)
class PaperGroup:
    """One group of materials with the sum of its lines.

    A surcharge counts in the sum and is no material; `priced` is the title of the sum and says so.
    """

    key: str
    title: str
    priced: str
    lines: tuple[PaperLine, ...]
    amount: Decimal


@dataclass(frozen=True, slots=True)
class QuotePaper:
    """Everything the quote's PDF shows.

    `results` are the floors as designed, for drawings and calculation; `practice` is None where the calculation
    sheets cannot be drawn up again as they were (another engine or catalogue since).
    """

    header: QuoteHeader
    company: Company
    floors: tuple[PaperFloor, ...]
    results: tuple[FloorResult, ...] = field(repr=False)
    practice: Practice | None = field(repr=False)
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
    alternates: tuple[PaperAlternate, ...] = ()

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
        valid_until=revision.valid_day,
        builder=project.builder.name,
        contact=project.builder.contact_name,
        project=project.name,
        site=str(project.site),
        currency=revision.currency,
        lead_time_days=revision.lead_time_days,
        terms=revision.terms,
        prepared_by=revision.issued_by or revision.quote.owner.name,
        release_reason=revision.release_reason,
        day=day_in(revision.issued_at or printed_at, revision.valid_zone or project.site.time_zone),
        change=_change(revision),
    )
    sums = (revision.goods, revision.freight, revision.tax, revision.total)
    practice = practice_of(revision.practice_set)
    paper = _build(header, package_of(revision), list(revision.lines.all()), sums, practice)
    return replace(paper, alternates=paper_alternates(revision))


def _change(revision: QuoteRevision) -> PaperChange | None:
    """What a change after booking says of itself; the price is the base offer's, as on the rest of the paper."""
    named, price = change_named(revision), change_money(revision)
    if named is None or price is None:
        return None
    return PaperChange(named.number, named.order, price.was, price.agreed, revision.total - price.agreed)


def quote_paper_of_package(
    result: PackageResult, priced: PricedPackage, header: QuoteHeader, practice: Practice | None = None
) -> QuotePaper:
    """The paper of a priced result, without a database; without a practice set the annex lists the checks only."""
    sums = (priced.goods, priced.freight, priced.tax, priced.total)
    return _build(header, result, priced.lines, sums, practice)


def _build(
    header: QuoteHeader,
    result: PackageResult,
    lines: Sequence[Line],
    sums: tuple[Decimal, Decimal, Decimal, Decimal],
    practice: Practice | None,
) -> QuotePaper:
    goods, freight, tax, total = sums
    weight = sum(load.weight_lb for load in result.loads)
    return QuotePaper(
        header=header,
        company=company(),
        floors=tuple(_floor(floor) for floor in result.floors),
        results=result.floors,
        practice=practice if _made_by_this_release(result) else None,
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
            rows = tuple(_material(line) for line in found if line.code != SURCHARGE)
            priced = GROUP_NAMES[group] + (WITH_SURCHARGE if len(rows) < len(found) else "")
            amount = sum((line.extension for line in found), Decimal(0))
            yield PaperGroup(group, GROUP_NAMES[group], priced, rows, amount)


def _material(line: Line) -> PaperLine:
    """What is needed stands only where something else comes: sheets and sticks are counted as they come."""
    comes = _counted(line.quantity, line.sold_by)
    needed = _counted(line.exact, line.exact_unit)
    unit = line.sold_by if line.quantity == 1 else UNITS_OF_MANY.get(line.sold_by, line.sold_by)
    if needed == comes and line.exact_unit in (line.sold_by, "piece"):
        needed = ""
    elif line.exact_unit == "ft":
        needed += " ft"
    return PaperLine(line.description, needed, comes, unit)


def _counted(quantity: Decimal, unit: str) -> str:
    """Whole things as they are, feet to a tenth: the price line holds them to the sixteenth of an inch."""
    if unit == "ft" and quantity != quantity.to_integral_value():
        return f"{quantity.quantize(TENTH, ROUND_HALF_UP):,f}"
    return shown_quantity(quantity)


def shown_quantity(quantity: Decimal) -> str:
    """A quantity without idle zeros."""
    text = f"{quantity:,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _made_by_this_release(result: PackageResult) -> bool:
    """Whether calculation sheets drawn up now show what the result was made by."""
    made = (result.engine_version, result.catalogue_version)
    return made == (ENGINE_VERSION, load_catalogue().version)


def _floor(floor: FloorResult) -> PaperFloor:
    plan = floor.plan
    return PaperFloor(
        name=plan.name,
        level=plan.level,
        repeat=plan.repeat,
        framing=framing_words(floor),
        loads=f"{plan.load_case.live_psf:g} psf live, {plan.load_case.dead_psf:g} psf dead",
        members=sum(line.members for line in floor.schedule),
        pieces=len(floor.pieces),
        weight=f"{sum(line.weight_lb for line in floor.schedule):,.0f}",
        schedule=tuple(_row(line, floor) for line in floor.schedule),
        cares=(*(warning.message for warning in floor.warnings), *_failing(floor)),
    )


def framing_words(floor: FloorResult) -> str:
    """Profile and spacing of each bay in the floor's units, as “1000S162-54 at 16 in” or “at 406 mm”."""
    words = (f"{bay.profile} at {_spacing(bay.bay.spacing_16, floor.plan.units)}" for bay in floor.bays)
    return ", ".join(dict.fromkeys(words))


def _spacing(spacing_16: Fraction, units: Units) -> str:
    return format_length(round(spacing_16), units) if units == "metric" else f"{float(spacing_16) / 16:g} in"


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
