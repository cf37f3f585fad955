"""Thin shells for the worker: the quote's paper, quotes whose validity is over, and reminders before that."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from celery import shared_task

from framing.common.clock import database_now
from framing.common.outbox import outbox_handler
from framing.common.papers import paper_get, paper_store
from quotes import services
from quotes.documents import PAPER_KIND, quote_paper_of_revision, render_quote
from quotes.models import QuoteRevision
from quotes.selectors import revision_by_pk


@outbox_handler("quote_paper")
def quote_paper(payload: Mapping[str, Any]) -> None:
    """Render and store the paper of an issued revision, once."""
    revision: QuoteRevision = revision_by_pk(payload["revision"])
    if paper_get(PAPER_KIND, revision) is not None:
        return
    paper = quote_paper_of_revision(revision, database_now())
    rendered = render_quote(paper)
    paper_store(PAPER_KIND, revision, data=rendered.data, pages=rendered.pages, file_name=paper.file_name)


@shared_task(name="quotes.tasks.quotes_lapse_due", ignore_result=True)
def quotes_lapse_due() -> None:
    """Let lapse what was not answered in time, by the database's clock."""
    services.quotes_lapse_due(at=database_now())


@shared_task(name="quotes.tasks.reminders_due", ignore_result=True)
def reminders_due() -> None:
    """Write the reminders of offers that end soon, by the database's clock."""
    services.reminders_due(at=database_now())
