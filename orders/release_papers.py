"""The drawings of an order for approval: every floor of the accepted snapshot on sheets, as one paper."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING, Any, Final

from framing.common.company import company
from framing.drawing import SMALL, SheetInfo, plan_svg, svg_address
from framing.drawing.details import detail_sheets, details_svg, floor_details
from framing.drawing.elevation import elevation_sheets, elevations_svg
from framing.engine.catalogue import Catalogue, load_catalogue
from framing.engine.practice import Practice
from framing.engine.result import FloorResult
from framing.projects.selectors import practice_of
from orders.models import DrawingSet
from orders.selectors import accepted_package

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

TEMPLATE: Final = "pdf/order_drawings.html"
MARKUP_TEMPLATE: Final = "pdf/markup.html"


def drawings_name(drawing_set: DrawingSet) -> str:
    """The paper's file name."""
    return f"drawings-{drawing_set.order.number}-{drawing_set.number}.pdf"


def drawings_render(drawing_set: DrawingSet) -> RenderedPaper:
    """The set as PDF; nothing is designed anew, so it shows what was accepted. Equal sets give equal bytes."""
    at = drawing_set.created_at
    context = _context(drawing_set, "Drawings for approval", at)
    context["sheets"] = [(name, svg_address(svg)) for name, svg in _sheets(drawing_set, at)]
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper(TEMPLATE, context, issued_at=at)


def markup_name(drawing_set: DrawingSet) -> str:
    """The file name of a marked-up set."""
    return f"marked-up-{drawing_set.order.number}-{drawing_set.number}.pdf"


def markup_render(drawing_set: DrawingSet, pictures: Iterable[bytes]) -> RenderedPaper:
    """What the builder marked up, as a PDF of our own pictures (PNG) of its pages."""
    at = drawing_set.answered_at or drawing_set.created_at
    context = _context(drawing_set, "Marked-up drawings", at)
    context["pictures"] = [f"data:image/png;base64,{b64encode(one).decode()}" for one in pictures]
    from framing.common.documents import render_paper  # loads the PDF library: a second, and only here

    return render_paper(MARKUP_TEMPLATE, context, issued_at=at)


def _context(drawing_set: DrawingSet, name: str, at: datetime) -> dict[str, Any]:
    firm, order = company(), drawing_set.order
    return {
        "order": order,
        "set": drawing_set,
        "project": order.revision.quote.project,
        "paper_size": firm.paper_size,
        "paper_name": name,
        "paper_number": f"{order.number} / {drawing_set.number}",
        "paper_date": at,
        "company_name": firm.name,
        "company_lines": firm.lines,
    }


def _sheets(drawing_set: DrawingSet, at: datetime) -> Iterator[tuple[str, str]]:
    """Floor by floor the plan, the elevations and the details, each floor's sheets numbered through."""
    order = drawing_set.order
    practice, catalogue = practice_of(order.revision.practice_set), load_catalogue()
    for floor in accepted_package(order).floors:
        info = SheetInfo(
            project=order.revision.quote.project.name,
            floor=floor.plan.name,
            date=f"{at:%m/%d/%Y}",
            revision=f"R{drawing_set.revision.number}",
            company=company().name,
            paper=SMALL,
        )
        for svg in _floor_sheets(floor, info, catalogue, practice):
            yield floor.plan.name, svg


def _floor_sheets(
    floor: FloorResult, info: SheetInfo, catalogue: Catalogue, practice: Practice
) -> tuple[str, ...]:
    details = detail_sheets(floor_details(floor, catalogue, practice), info)
    info = replace(info, count=1 + len(elevation_sheets(floor, info, catalogue)) + len(details))
    elevations = elevations_svg(floor, replace(info, number=2), catalogue)
    rest = replace(info, number=2 + len(elevations))
    return (
        plan_svg(floor, info, spots=False),
        *elevations,
        *details_svg(floor, rest, catalogue, practice),
    )
