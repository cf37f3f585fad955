"""The quote's PDF: sections from the store or laid out side by side, bound with heads, feet and sheet numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
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
    frames = (0,) * letter.pages + tuple(2 if leaf.wide else 1 for leaf in leaves_of(body))
    data = bind(bound, Overlay(overlay, frames), _head(paper))
    store.trim()
    return RenderedPaper(data, len(frames))


def _letter_and_overlay(
    paper: QuotePaper, names: Sequence[str], body: Sequence[LaidOut], store: SectionStore
) -> tuple[LaidOut, bytes]:
    """Both name the sheets' numbers, so they come last; a letter that is longer than it should be comes twice."""
    counted = tuple((name, section.pages) for name, section in zip(names, body, strict=True))
    pages = 1
    while True:
        first = piece_of(letter_section(paper, contents_of(paper, counted, pages)))
        leaves = [Leaf()] * pages + leaves_of(body)
        packed, overlay = made([first, _overlay(paper, leaves)], store)
        letter = LaidOut.unpacked(packed)
        if letter.pages <= pages:
            return letter, overlay
        pages = letter.pages


def leaves_of(sections: Sequence[LaidOut]) -> list[Leaf]:
    """The sheets of sections in order."""
    return [
        Leaf(wide, overlay)
        for section in sections
        for wide, overlay in zip(section.wide, section.overlays, strict=True)
    ]


def _overlay(paper: QuotePaper, leaves: Sequence[Leaf]) -> Piece:
    """Heads, feet and numbers: made once for a header and a count of sheets."""
    context = frame_context(paper, leaves)
    key = sha256(f"{edition()}{FRAME}{context!r}".encode()).hexdigest()

    def make() -> bytes:
        from framing.common.documents import render_overlay

        return render_overlay(FRAME, context)

    return Piece(key, make)


def frame_context(paper: QuotePaper, leaves: Sequence[Leaf]) -> dict[str, Any]:
    """What stands on every sheet: who, which quote and revision, the day, and sheet x of y."""
    header = paper.header
    words = {"date": f"{header.printed_at:%m/%d/%Y}", "revision": f"R{header.revision}"}
    shown = []
    for number, leaf in enumerate(leaves, start=1):
        sheet = f"{number} of {len(leaves)}"
        drawn = filled(leaf.overlay, words | {"sheet": sheet}) if leaf.overlay else ""
        shown.append({"wide": leaf.wide, "sheet": sheet, "drawn": svg_address(drawn) if drawn else ""})
    return {
        "leaves": shown,
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
