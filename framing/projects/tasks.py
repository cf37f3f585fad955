"""Thin shells for the worker: papers of the projects app, each made and stored once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from framing.common.clock import database_now
from framing.common.outbox import outbox_handler
from framing.common.papers import paper_get, paper_store
from framing.projects import selectors
from framing.projects.drawing_documents import drawings_paper_of, render_drawings
from framing.projects.drawing_sheets import DRAWING_WORK, drawings_kind, floor_drawings
from framing.projects.models import SpanTableAsk
from framing.projects.sheet_documents import calculation_paper_of, render_calculation
from framing.projects.sheets import PAPER_WORK, floor_sheets, sheet_basis


@outbox_handler(PAPER_WORK)
def calculation_paper(payload: Mapping[str, Any]) -> None:
    """Render and store the calculation sheets of a floor's version, by the practice set that was asked for."""
    version = selectors.floor_version_by_pk(payload["version"])
    basis = sheet_basis(version, selectors.practice_set_by_pk(payload["practice"]))
    if paper_get(basis.paper_kind, version) is not None:
        return
    paper = calculation_paper_of(floor_sheets(basis), database_now())
    made = render_calculation(paper)
    paper_store(basis.paper_kind, version, data=made.data, pages=made.pages, file_name=paper.file_name)


@outbox_handler(DRAWING_WORK)
def drawings_paper(payload: Mapping[str, Any]) -> None:
    """Render and store the drawings of a floor's version, by the practice set that was asked for."""
    version = selectors.floor_version_by_pk(payload["version"])
    basis = sheet_basis(version, selectors.practice_set_by_pk(payload["practice"]))
    if paper_get(drawings_kind(basis), version) is not None:
        return
    paper = drawings_paper_of(floor_drawings(basis), database_now())
    made = render_drawings(paper)
    paper_store(drawings_kind(basis), version, data=made.data, pages=made.pages, file_name=paper.file_name)


@outbox_handler("span_table_paper")
def span_table_paper(payload: Mapping[str, Any]) -> None:
    """Render and store the paper of a span table."""
    from framing.projects.span_tables import PAPER_KIND, file_name, render_span_table, sheet_of

    row = SpanTableAsk.objects.select_related("practice").get(pk=payload["ask"])
    if paper_get(PAPER_KIND, row) is not None:
        return
    sheet = sheet_of(row)
    made = render_span_table(sheet)
    paper_store(PAPER_KIND, row, data=made.data, pages=made.pages, file_name=file_name(sheet, "pdf"))
