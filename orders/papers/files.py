"""A paper of the shop as PDF, as a workbook and as CSV; equal papers give equal bytes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from django.http import HttpResponse

from framing.common.company import company
from framing.common.errors import NotThere
from framing.projects.takeoff_files import CSV_TYPE, XLSX_TYPE, TakeoffSubject, csv_bytes, workbook_bytes
from framing.projects.takeoff_tables import Table
from orders.models import ShopPaper
from orders.papers.lists import cut_table, cut_title, label_table, list_render, packing_table
from orders.papers.sheets import labels_render
from orders.states import LABEL_PAPERS, ShopPaperKind

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

TYPES: Final = {"xlsx": XLSX_TYPE, "csv": CSV_TYPE}


def paper_render(paper: ShopPaper) -> RenderedPaper:
    """The PDF of a paper."""
    supplier = company()
    if paper.kind in LABEL_PAPERS:
        return labels_render(
            paper.kind, paper.content, title=str(paper), company=supplier.name, at=paper.created_at
        )
    return list_render(paper.kind, paper.content, supplier=supplier, at=paper.created_at)


def paper_table(paper: ShopPaper) -> Table:
    """What stands on a paper as a table."""
    if paper.kind == ShopPaperKind.CUT_LIST:
        return cut_table(paper.content)
    if paper.kind == ShopPaperKind.PACKING_LIST:
        return packing_table(paper.content)
    return label_table(paper.kind, paper.content)


def table_bytes(paper: ShopPaper, form: str) -> bytes:
    """The table as workbook or CSV; no cell starts a formula."""
    table = paper_table(paper)
    if form == "csv":
        return csv_bytes(table)
    subject = TakeoffSubject(
        floor=str(paper),
        version=None,
        project=_about(paper),
        basis="",
        made_at=paper.created_at,
    )
    return workbook_bytes([table], subject)


def _about(paper: ShopPaper) -> str:
    return cut_title(paper.content) if paper.kind == ShopPaperKind.CUT_LIST else str(paper.order)


def file_name(paper: ShopPaper, form: str) -> str:
    """Such as `piece-labels-O-2026-0004.pdf` or `cut-list-line-1-2026-11-30.csv`."""
    of = paper.order.number if paper.order else f"{paper.line}-{paper.day}"
    return f"{paper.kind}-{of}.{form}".replace("_", "-").replace(" ", "-").lower()


def table_response(paper: ShopPaper, form: str) -> HttpResponse:
    """The table as a download. Raises NotThere for a form that there is not."""
    if form not in TYPES:
        raise NotThere()
    response = HttpResponse(table_bytes(paper, form), content_type=TYPES[form])
    safe = "".join(sign if sign.isalnum() or sign in ".-" else "-" for sign in file_name(paper, form))
    response["Content-Disposition"] = (
        f'attachment; filename="{safe.encode("ascii", "replace").decode().replace("?", "-")}"'
    )
    response["Cache-Control"] = "private, no-store"
    return response
