"""The pipeline's page: open quotes by stage with what each waits for, and what was answered lately."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_GET

from framing.common.access import grants
from framing.common.clock import database_now
from framing.common.errors import Refused
from quotes.figures_asked import PIPELINE, pipeline_asked, words_of
from quotes.figures_files import pipeline_workbook
from quotes.figures_forms import PipelineForm
from quotes.figures_shapes import DECIDED, Tally
from quotes.figures_views import file_answer
from quotes.figures_whose import whose_offered
from quotes.pipeline_facts import PipelineRow, pipeline_rows
from quotes.pipeline_reads import LATELY_DAYS, pipeline_list, pipeline_sums
from quotes.states import QuoteStage
from quotes.views import actor_of

PAGE = 100
FILE_MOST = 5000


@dataclass(frozen=True, slots=True)
class Group:
    """Quotes of one stage on this page; `sums` are those of the whole stage, also of other pages."""

    stage: str
    label: str
    count: int
    sums: tuple[tuple[str, Tally], ...]
    rows: tuple[PipelineRow, ...]
    lately: bool


@grants("quote", "read")
@require_GET
def pipeline(request: HttpRequest) -> HttpResponse:
    """Open quotes and what was answered lately, by stage."""
    at, offered = database_now(), whose_offered()
    words = words_of(request.GET, PIPELINE)
    form = PipelineForm(words, offered)
    try:
        chosen = pipeline_asked(request.GET, offered)
    except Refused as error:
        form.refuse(error)
        return render(request, "quotes/pipeline.html", {"form": form}, status=422)
    rows = pipeline_list(actor_of(request), chosen, at)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    context = {
        "form": form,
        "page": page,
        "query": urlencode(words),
        "filtered": bool(words),
        "groups": grouped(pipeline_rows(page.object_list, at), pipeline_sums(rows)),
        "lately_days": LATELY_DAYS,
    }
    return render(request, "quotes/pipeline.html", context)


def grouped(rows: list[PipelineRow], sums: dict[str, list[tuple[str, Tally]]]) -> list[Group]:
    """The rows of a page by stage, with the whole stages' sums."""
    found = []
    for stage, same in groupby(rows, lambda row: row.quote.stage):
        own = tuple(sums.get(stage, ()))
        count = sum(tally.count for _, tally in own)
        label = str(QuoteStage(stage).label)
        found.append(Group(stage, label, count, own, tuple(same), stage in DECIDED))
    return found


@grants("quote", "read")
@require_GET
def pipeline_xlsx(request: HttpRequest) -> HttpResponse:
    """The pipeline as filtered, as a workbook."""
    at = database_now()
    chosen = pipeline_asked(request.GET, None)
    rows = pipeline_list(actor_of(request), chosen, at)
    found: list[Any] = list(rows[: FILE_MOST + 1])
    if len(found) > FILE_MOST:
        raise Refused(f"A file holds at most {FILE_MOST:,} quotes. Narrow the filter, then ask again.")
    return file_answer(pipeline_workbook(pipeline_rows(found, at), at), "pipeline.xlsx")
