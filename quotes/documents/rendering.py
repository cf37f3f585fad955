"""The quote's PDF: sections from the store or laid out side by side, bound with heads, feet and sheet numbers."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from django.conf import settings
from django.utils.translation import get_language

from framing.common.binding import Bound, Overlay, PaperHead, bind, in_order
from framing.common.section_store import FOLDER, SectionStore
from framing.common.sections import LaidOut, lay_out
from framing.drawing import svg_address
from quotes.documents.content import QuotePaper
from quotes.documents.parts import LETTER, body_sections, contents_of, letter_section
from quotes.documents.strips import filled

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

FRAME: Final = "pdf/quote/frame.html"


def render_quote(paper: QuotePaper, store: SectionStore | None = None) -> RenderedPaper:
    """The PDF; equal papers give equal bytes. Sections are kept in the store beside the stored papers."""
    from framing.common.documents import RenderedPaper, render_overlay  # loads the PDF library, and only here

    store = store or SectionStore(Path(settings.PAPERS_DIR) / FOLDER)
    sections = body_sections(paper)
    body = lay_out(sections, store)
    names = [section.name for section in sections]
    letter = _letter(paper, names, body, store)
    bound = in_order([LETTER, *names], [letter, *body])
    overlay = Overlay(render_overlay(FRAME, frame_context(paper, bound)), _frames(bound))
    data = bind(bound, overlay, _head(paper))
    store.trim()
    return RenderedPaper(data, sum(section.pages.pages for section in bound))


def _letter(paper: QuotePaper, names: Sequence[str], body: Sequence[LaidOut], store: SectionStore) -> LaidOut:
    """The letter names the sheets of the others, which begin after it; it is of one sheet, or laid out again."""
    counted = tuple((name, section.pages) for name, section in zip(names, body, strict=True))
    (letter,) = lay_out([letter_section(paper, contents_of(paper, counted, before=1))], store)
    if letter.pages > 1:
        (letter,) = lay_out([letter_section(paper, contents_of(paper, counted, letter.pages))], store)
    return letter


def _frames(bound: Sequence[Bound]) -> tuple[int, ...]:
    """For each sheet the number of its frame in the template: the letter's, upright, wide."""
    return tuple(
        0 if section.name == LETTER else 2 if wide else 1 for section in bound for wide in section.pages.wide
    )


def frame_context(paper: QuotePaper, bound: Sequence[Bound]) -> dict[str, Any]:
    """What stands on every sheet: who, which quote and revision, the day, and sheet x of y."""
    header = paper.header
    count = sum(section.pages.pages for section in bound)
    words = {"date": f"{header.printed_at:%m/%d/%Y}", "revision": f"R{header.revision}"}
    leaves = []
    for section in bound:
        for number, wide in enumerate(section.pages.wide):
            sheet = f"{section.first + number + 1} of {count}"
            overlay = section.pages.overlays[number]
            drawn = filled(overlay, words | {"sheet": sheet}) if overlay else ""
            leaves.append({"wide": wide, "sheet": sheet, "drawn": svg_address(drawn) if drawn else ""})
    return {
        "leaves": leaves,
        "paper_size": paper.company.paper_size,
        "paper_name": "Quote" if header.issued_at else "Draft of a quote",
        "paper_number": header.number,
        "paper_revision": header.revision,
        "paper_date": header.printed_at,
        "project": header.project,
        "company_name": paper.company.name,
        "company_lines": paper.company.lines,
    }


def _head(paper: QuotePaper) -> PaperHead:
    header = paper.header
    return PaperHead(
        title=f"{paper.reference}, {header.project}",
        author=paper.company.name,
        subject=f"Steel floor-joist package for {header.builder}",
        language=get_language() or "en",
        dated=header.printed_at,
    )
