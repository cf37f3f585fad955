"""Thin shells for the worker: papers of the projects app, each made and stored once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

from framing.common.clock import database_now
from framing.common.outbox import outbox_handler
from framing.common.papers import paper_get, paper_store
from framing.projects import selectors
from framing.projects.drawing_documents import DrawingsPaper, drawings_paper_of, render_drawings
from framing.projects.drawing_sheets import floor_drawings
from framing.projects.models import SpanTableAsk
from framing.projects.plan_reading import plan_file_settle
from framing.projects.plan_selectors import READ_WORK
from framing.projects.sheet_documents import CalculationPaper, calculation_paper_of, render_calculation
from framing.projects.sheets import floor_sheets
from framing.projects.versions import (
    CALCULATION_PAPER,
    DRAWINGS_PAPER,
    VersionBasis,
    VersionPaper,
    version_basis,
)

if TYPE_CHECKING:
    from framing.common.documents import RenderedPaper

Content = TypeVar("Content", CalculationPaper, DrawingsPaper)


@outbox_handler(CALCULATION_PAPER.work)
def calculation_paper(payload: Mapping[str, Any]) -> None:
    """Render and store the calculation sheets of a floor's version, by the practice set that was asked for."""
    _make(
        CALCULATION_PAPER,
        payload,
        lambda basis: calculation_paper_of(floor_sheets(basis), database_now()),
        render_calculation,
    )


@outbox_handler(DRAWINGS_PAPER.work)
def drawings_paper(payload: Mapping[str, Any]) -> None:
    """Render and store the drawings of a floor's version, by the practice set that was asked for."""
    _make(
        DRAWINGS_PAPER,
        payload,
        lambda basis: drawings_paper_of(floor_drawings(basis), database_now()),
        render_drawings,
    )


def _make(
    paper: VersionPaper,
    payload: Mapping[str, Any],
    gather: Callable[[VersionBasis], Content],
    render: Callable[[Content], RenderedPaper],
) -> None:
    version = selectors.floor_version_by_pk(payload["version"])
    basis = version_basis(version, selectors.practice_set_by_pk(payload["practice"]))
    kind = paper.stored_kind(basis)
    if paper_get(kind, version) is not None:
        return
    content = gather(basis)
    made = render(content)
    paper_store(kind, version, data=made.data, pages=made.pages, file_name=content.file_name)


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


@outbox_handler(READ_WORK)
def plan_file_read(payload: Mapping[str, Any]) -> None:
    """Read a file that somebody brought to a project."""
    plan_file_settle(payload["plan_file"])
