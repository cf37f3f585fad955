"""The quote's PDF: sections from the store or laid out side by side, bound with heads, feet and sheet numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from django.conf import settings
from django.utils.translation import get_language

from framing.common.binding import Overlay, PaperHead, bind, in_order
from framing.common.section_store import FOLDER, SectionStore
from framing.common.sections import LaidOut, Piece, edition, lay_out, made, piece_of
from framing.drawing import svg_address
from quotes.documents.content import QuotePaper
from quotes.documents.parts import LETTER, body_sections, contents_of, letter_section
from quotes.documents.strips import filled

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

FRAME: Final = "pdf/quote/frame.html"
NUMBERS: Final = "pdf/quote/numbers.html"
FRAMES: Final = (
    "letter-no",
    "no",
    "wide-no",
)  # pages of the first template that are frames, as the second names them


@dataclass(frozen=True, slots=True)
class Leaf:
    """A sheet as far as its head and foot go."""

    wide: bool = False
    overlay: str = ""


def render_quote(paper: QuotePaper, store: SectionStore | None = None) -> RenderedPaper:
    """The PDF; equal papers give equal bytes. Sections are kept in the store beside the stored papers."""
    from framing.common.documents import RenderedPaper  # loads the PDF library: a second, and only here

    store = store or SectionStore(Path(settings.PAPERS_DIR) / FOLDER)
    sections = body_sections(paper)
    body = lay_out(sections, store)
    names = [section.name for section in sections]
    letter, overlay = _letter_and_overlay(paper, names, body, store)
    bound = in_order([LETTER, *names], [letter, *body])
    data = bind(bound, overlay, _head(paper))
    store.trim()
    return RenderedPaper(data, len(overlay.places))


def _letter_and_overlay(
    paper: QuotePaper, names: Sequence[str], body: Sequence[LaidOut], store: SectionStore
) -> tuple[LaidOut, Overlay]:
    """Both name the sheets' numbers, so they come last; a letter that is longer than it should be comes twice."""
    named = tuple(zip(names, body, strict=True))
    pages = 1
    while True:
        first = piece_of(letter_section(paper, contents_of(paper, named, pages)))
        leaves = [Leaf()] * pages + leaves_of(body)
        places = places_of(pages, leaves)
        shown = {"paper_size": paper.company.paper_size, "leaves": [FRAMES[frame] for frame, _ in places]}
        pieces = [first, _overlay(FRAME, frame_context(paper, leaves)), _overlay(NUMBERS, shown)]
        packed, frames, numbers = made(pieces, store)
        letter = LaidOut.unpacked(packed)
        if letter.pages <= pages:
            return letter, Overlay(frames, numbers, places)
        pages = letter.pages


def places_of(letter_pages: int, leaves: Sequence[Leaf]) -> tuple[tuple[int, int | None], ...]:
    """For each sheet its frame in the template (letter, upright, wide) and its drawing's strip, if it has one."""
    strip = count(len(FRAMES))
    return tuple(
        (
            0 if number < letter_pages else 2 if leaf.wide else 1,
            next(strip) if leaf.overlay else None,
        )
        for number, leaf in enumerate(leaves)
    )


def leaves_of(sections: Sequence[LaidOut]) -> list[Leaf]:
    """The sheets of sections in order."""
    return [
        Leaf(wide, overlay)
        for section in sections
        for wide, overlay in zip(section.wide, section.overlays, strict=True)
    ]


def _overlay(template: str, context: dict[str, Any]) -> Piece:
    """Frames are made once for a header, numbers once for a count of sheets."""
    key = sha256(f"{edition()}{template}{context!r}".encode()).hexdigest()

    def make() -> bytes:
        from framing.common.documents import render_overlay

        return render_overlay(template, context)

    return Piece(key, make)


def frame_context(paper: QuotePaper, leaves: Sequence[Leaf]) -> dict[str, Any]:
    """What stands on every sheet: who, which quote and revision, the day; and in each drawing's title strip."""
    header = paper.header
    words = {"date": f"{header.dated:%m/%d/%Y}", "revision": f"R{header.revision}"}
    strips = [
        svg_address(filled(leaf.overlay, words | {"sheet": f"{number} of {len(leaves)}"}))
        for number, leaf in enumerate(leaves, start=1)
        if leaf.overlay
    ]
    return {
        "strips": strips,
        "paper_size": paper.company.paper_size,
        "paper_name": "Quote" if header.issued_at else "Draft of a quote",
        "paper_number": header.number,
        "paper_revision": header.revision,
        "paper_date": header.dated,
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
