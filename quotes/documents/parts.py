"""The sections of a quote's paper, each with all that it shows: what is equal is not laid out again.

Nothing here knows the revision's number or the day except the letter and the price with its terms, whose words
name them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from framing.common.cautions import QUOTE_CAUTIONS
from framing.common.sections import LaidOut, Section, Told
from framing.drawing import svg_address
from framing.engine.result import FloorResult
from quotes.documents.annex import annex_context
from quotes.documents.content import QuotePaper
from quotes.documents.floors import PaperFloor
from quotes.documents.materials import PaperLine
from quotes.documents.strips import sheet_parts

FOLDER: Final = "pdf/quote/"
LETTER: Final = "letter"
MOVED_MOST: Final = 12  # rows of what a change moves; more stand on the builder's page
TERMS: Final = "terms"  # an address inside the section of the price
MATERIALS: Final = "materials"  # a section, or an address inside the only floor's schedule
LETTER_TOP_FROM_PT: Final = (
    713.0  # what begins above is the first on its sheet: its top lies 62 pt under the edge
)
TOP_FROM_PT: Final = {"a4": 763.0}
Goods = tuple[tuple[str, tuple[PaperLine, ...]], ...]
INCLUDED: Final = {
    "members": "Joists, trimmers, headers and beams, cut to length, punched as drawn, each with its mark.",
    "hardware": "Clips, plates, strap and blocks of the connections that the drawings show.",
    "fasteners": "Screws and nails in whole boxes, with the allowance that the materials list.",
    "boards": "Rim board and backing, in the lengths of the cut list.",
    "sheathing": "Sheathing in whole sheets, with its adhesive.",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the letter's contents: the first section of its kind, and its sheets' numbers from 1."""

    name: str
    title: str
    first: int
    last: int


def body_sections(paper: QuotePaper) -> tuple[Section, ...]:
    """All sections but the letter, in the order of the paper."""
    results = [Told(result) for result in paper.results]  # each is drawn and calculated
    floors = tuple(enumerate(zip(paper.floors, results, strict=True), start=1))
    return (
        _scope(paper),
        *(_drawing(paper, number, shown, result) for number, (shown, result) in floors),
        *_lists(paper),
        _price(paper),
        *(_annex(paper, number, result) for number, (_, result) in floors),
    )


def letter_section(paper: QuotePaper, contents: tuple[Entry, ...]) -> Section:
    """The cover letter; it names the sheets of the others, so it is laid out last."""
    return Section(LETTER, f"{FOLDER}letter.html", letter_context, (_letter_facts(paper), contents))


def _letter_facts(paper: QuotePaper) -> dict[str, Any]:
    return {
        "paper_size": paper.company.paper_size,
        "company": paper.company,
        "header": paper.header,
        "total": paper.total,
        "tax": paper.tax,
        "trucks": paper.trucks,
        "weight": paper.weight,
        "floors": tuple((floor.name, floor.repeat) for floor in paper.floors),
    }


def letter_context(facts: Mapping[str, Any], contents: tuple[Entry, ...]) -> Mapping[str, Any]:
    floors = sum(repeat for _, repeat in facts["floors"])
    sheets = {entry.name: entry.first for entry in contents}
    return {**facts, "contents": contents, "floor_count": floors, "sheets": sheets}


def _scope(paper: QuotePaper) -> Section:
    header = paper.header
    facts = {
        "paper_size": paper.company.paper_size,
        "builder": header.builder,
        "contact": header.contact,
        "project": header.project,
        "site": header.site,
        "floors": tuple(_without_rows(floor) for floor in paper.floors),
        "groups": tuple(group.key for group in paper.groups if group.lines),
        "trucks": paper.trucks,
        "bundles": paper.bundles,
        "weight": paper.weight,
        "excluded": paper.excluded,
        "release_reason": header.release_reason,
        "engine_note": paper.engine_note,
        "change": header.change,
    }
    return Section("scope", f"{FOLDER}scope.html", scope_context, (facts,))


def _without_rows(floor: PaperFloor) -> dict[str, Any]:
    names = ("name", "level", "repeat", "framing", "loads", "members", "pieces", "weight", "cares")
    return {name: getattr(floor, name) for name in names}


def scope_context(facts: Mapping[str, Any]) -> Mapping[str, Any]:
    included = [words for key, words in INCLUDED.items() if key in facts["groups"]]
    change = facts["change"]
    moved = change.moved if change else ()
    return {
        **facts,
        "included": included,
        "cares": any(floor["cares"] for floor in facts["floors"]),
        "moved": moved[:MOVED_MOST],
        "moved_more": max(0, len(moved) - MOVED_MOST),
    }


def _drawing(paper: QuotePaper, number: int, floor: PaperFloor, result: Told) -> Section:
    company, project = paper.company, paper.header.project
    inputs = (company.paper_size, company.name, project, number, floor.framing, result)
    return Section(f"floor-{number}-drawing", f"{FOLDER}drawing.html", drawing_context, inputs, weight=30)


def drawing_context(
    paper_size: str, company: str, project: str, number: int, framing: str, floor: FloorResult
) -> Mapping[str, Any]:
    sheet, overlay = sheet_parts(floor, project, company, paper_size)
    return {
        "paper_size": paper_size,
        "number": number,
        "floor": floor.plan.name,
        "framing": framing,
        "address": svg_address(sheet),
        "overlays": (overlay,),
    }


def _lists(paper: QuotePaper) -> Iterator[Section]:
    """Schedules and materials; one floor has both in one section, on one sheet where they fit."""
    goods = tuple((group.title, group.lines) for group in paper.groups)
    built = sum(floor.repeat for floor in paper.floors)
    alone = len(paper.floors) == 1
    for number, floor in enumerate(paper.floors, start=1):
        inputs = (paper.company.paper_size, number, floor, *((goods, built) if alone else ((), 1)))
        name = f"floor-{number}-schedule"
        yield Section(name, f"{FOLDER}schedule.html", schedule_context, inputs, weight=len(floor.schedule))
    if not alone:
        inputs_ = (paper.company.paper_size, goods, built)
        rows = sum(len(lines) for _, lines in goods)
        yield Section(MATERIALS, f"{FOLDER}materials.html", materials_context, inputs_, weight=rows)


def schedule_context(
    paper_size: str, number: int, floor: PaperFloor, groups: Goods, floors: int
) -> Mapping[str, Any]:
    return {"number": number, "floor": floor, **materials_context(paper_size, groups, floors)}


def materials_context(paper_size: str, groups: Goods, floors: int) -> Mapping[str, Any]:
    return {"paper_size": paper_size, "groups": groups, "floors": floors}


def _price(paper: QuotePaper) -> Section:
    """Price, terms, cautions and acceptance: one sheet where they fit, for what is signed stands with its price."""
    header = paper.header
    facts = {
        "paper_size": paper.company.paper_size,
        "currency": header.currency,
        "groups": tuple((group.priced, group.amount) for group in paper.groups),
        "adjustments": paper.adjustments,
        "goods": paper.goods,
        "freight": paper.freight,
        "trucks": paper.trucks,
        "tax": paper.tax,
        "total": paper.total,
        "alternates": paper.alternates,
        "change": paper.header.change,
        "number": header.number,
        "revision": header.revision,
        "builder": header.builder,
        "issued": header.issued_at is not None,
        "terms": header.terms,
        "valid_until": header.valid_until,
        "lead_time_days": header.lead_time_days,
        "cautions": QUOTE_CAUTIONS,
    }
    return Section("price", f"{FOLDER}price.html", same_context, (facts,))


def same_context(facts: Mapping[str, Any]) -> Mapping[str, Any]:
    return facts


def _annex(paper: QuotePaper, number: int, result: Told) -> Section:
    inputs = (paper.company.paper_size, number, result, paper.practice)
    return Section(f"floor-{number}-annex", f"{FOLDER}annex.html", annex_context, inputs, weight=60)


def contents_of(
    paper: QuotePaper, names_and_sections: Iterable[tuple[str, LaidOut]], before: int
) -> tuple[Entry, ...]:
    """The contents: sections of one kind are one line; materials and terms have one of their own where they begin.

    `before` is the number of sheets of the letter.
    """
    titles = {
        "scope": "Scope",
        "drawing": "Drawings" if len(paper.floors) > 1 else "Drawing",
        "schedule": "Joist schedule",
        MATERIALS: "Materials",
        "price": "Price",
        TERMS: "Terms, cautions and acceptance",
        "annex": "Annex: calculation of the members that govern",
    }
    found: dict[str, Entry] = {}
    sheet = before
    for name, section in names_and_sections:
        kind = name.rsplit("-", 1)[-1]
        first = found[kind].first if kind in found else sheet + 1
        start = found[kind].name if kind in found else name
        last = sheet + section.pages
        found[kind] = Entry(start, titles[kind], first, last)
        for inner in (MATERIALS, TERMS):
            if inner in section.places and inner != kind:
                page, _, top_pt = section.places[inner]
                begins = sheet + 1 + page
                ends = begins - (top_pt > TOP_FROM_PT.get(paper.company.paper_size, LETTER_TOP_FROM_PT))
                found[kind] = Entry(start, titles[kind], first, max(first, ends))
                found[inner] = Entry(inner, titles[inner], begins, last)
        sheet = last
    return tuple(found.values())
