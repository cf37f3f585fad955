"""What a quote's paper shows (R43), gathered before anything is laid out. Cost and margin never enter.

A paper is built from a stored revision, or from an engine result and its prices without any database. Its floors
are gathered in `floors`, its materials in `materials`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from framing.common.company import Company, company
from framing.common.zones import day_in
from framing.engine import ENGINE_VERSION
from framing.engine.catalogue import load_catalogue
from framing.engine.practice import Practice
from framing.engine.result import FloorResult, PackageResult
from framing.projects.selectors import practice_of
from quotes.change_reads import agreed_before, change_money, change_named
from quotes.compare import compare
from quotes.compare_reads import offer_of
from quotes.documents.alternates import PaperAlternate, paper_alternates
from quotes.documents.floors import PaperFloor, paper_floor
from quotes.documents.materials import Line, PaperGroup, paper_groups
from quotes.models import QuoteRevision
from quotes.pricing import PricedPackage
from quotes.selectors import package_of

PAPER_KIND: Final = "quote"
WHOLE_FLOOR: Final = ("added", "removed")
EXCLUDED: Final = (
    "The engineer's review and seal, permits and inspections.",
    "Walls, beams, posts and foundations below the floor, unless they stand in the materials above.",
    "Unloading, setting and fastening on site.",
    "Holes other than those on the drawings; pipes, ducts and wiring.",
    "Ceilings, insulation, and what a fire or sound rating asks for.",
)


@dataclass(frozen=True, slots=True)
class PaperMoved:
    """One thing of one floor that a change moves, in words; `was` or `now` is "" where it was or is none."""

    floor: str
    what: str
    was: str
    now: str


@dataclass(frozen=True, slots=True)
class PaperChange:
    """What makes an offer a change order (R45): of which order, its price against what was agreed, what it moves."""

    number: int
    order: str
    was: str
    agreed: Decimal
    difference: Decimal
    moved: tuple[PaperMoved, ...] = ()


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
    difference, moved = revision.total - price.agreed, tuple(_moved(revision))
    return PaperChange(named.number, named.order, price.was, price.agreed, difference, moved)


def _moved(revision: QuoteRevision) -> Iterator[PaperMoved]:
    """What differs in the floors between what was agreed and a change's base offer."""
    before = agreed_before(revision)
    if before is None:
        return
    for floor in compare(offer_of(before.revision, before.alternate), offer_of(revision)).floors:
        yield from (PaperMoved(floor.name, kind, "", "") for kind in floor.kinds if kind in WHOLE_FLOOR)
        yield from (PaperMoved(floor.name, moved.name, moved.was, moved.now) for moved in floor.moved)


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
        floors=tuple(paper_floor(floor) for floor in result.floors),
        results=result.floors,
        practice=practice if _made_by_this_release(result) else None,
        groups=tuple(paper_groups(lines)),
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


def _made_by_this_release(result: PackageResult) -> bool:
    """Whether calculation sheets drawn up now show what the result was made by."""
    made = (result.engine_version, result.catalogue_version)
    return made == (ENGINE_VERSION, load_catalogue().version)
