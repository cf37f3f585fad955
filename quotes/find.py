"""By what quotes are found."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from framing.common.find_index import FindKind, Found, find_register, find_watch, own_key
from framing.projects.find import BUILDER_FIELDS, PROJECT_FIELDS, SITE_FIELDS, job_words
from framing.projects.models import Builder, Project, Site
from quotes.models import Quote
from quotes.states import QuoteStage


def quotes_found(pks: Sequence[int] | None = None) -> Iterator[Found]:
    rows = Quote.objects.select_related("project__builder", "project__site").order_by("pk")
    for quote in rows if pks is None else rows.filter(pk__in=pks):
        note, phone, texts = job_words(quote.project)
        yield Found(quote.pk, quote.public_id, quote.number, note, quote.number, phone, texts)


def quote_stages(pks: Sequence[int]) -> dict[int, tuple[str, str]]:
    rows = Quote.objects.filter(pk__in=pks).values_list("pk", "stage")
    return {pk: (stage, QuoteStage(stage).label) for pk, stage in rows}


def _of(**where: object) -> Iterable[int]:
    return Quote.objects.filter(**where).order_by("pk").values_list("pk", flat=True)


def register() -> None:
    find_register(
        FindKind(
            "quote", "Quotes", ("quote", "read"), "quotes:quote_page", "quotes:quote_list", "search",
            quotes_found, quote_stages,
        )
    )  # fmt: skip
    find_watch(Quote, ("number", "project"), {"quote": own_key})
    find_watch(Builder, BUILDER_FIELDS, {"quote": lambda row: _of(project__builder=row)})
    find_watch(Site, SITE_FIELDS, {"quote": lambda row: _of(project__site=row)})
    find_watch(Project, PROJECT_FIELDS, {"quote": lambda row: _of(project=row)})
