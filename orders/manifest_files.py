"""The manifest of a load as PDF, CSV and JSON: stored once when its truck is loaded, a draft before that (R48)."""

from __future__ import annotations

import json
from typing import Final

from django.http import HttpResponse
from django.utils import translation

from framing.common.errors import NotThere
from framing.common.papers import paper_get, paper_response, paper_store
from framing.projects.takeoff_files import CSV_TYPE, csv_bytes
from framing.projects.takeoff_tables import Column, Table
from orders.documents import manifest_render
from orders.manifest_facts import (
    CSV_HEAD,
    Manifest,
    load_rows,
    manifest_csv_rows,
    manifest_json,
    manifest_of,
)
from orders.models import TruckLoad

PAPER: Final = "manifest"
_NUMBERS: Final = (
    "off",
    "number",
    "count",
    "length_16",
    "bundle_length_16",
    "lift_16",
    "weight_lb",
    "lane",
    "tier",
)


def manifest_store(load_pk: int) -> None:
    """Make and store the manifest of a loaded truck, once; one that was unloaded from the plan leaves none."""
    load = load_rows().filter(pk=load_pk).first()
    if load is None or load.loaded_at is None or paper_get(PAPER, load) is not None:
        return
    facts = manifest_of(load)
    made = manifest_render([facts])
    paper_store(PAPER, load, data=made.data, pages=made.pages, file_name=f"manifest-{facts.number}.pdf")


def manifest_response(load: TruckLoad, form: str) -> HttpResponse:
    """pdf, csv or json. Raises NotThere for another form.

    The PDF of a loaded truck is the stored one; until the worker has stored it, and before loading, it is a draft.
    All of them are in English, whoever asks: one paper goes with the load.
    """
    with translation.override("en"):
        return _response(load, form)


def _response(load: TruckLoad, form: str) -> HttpResponse:
    facts = manifest_of(load)
    if form == "json":
        return _file(json.dumps(manifest_json(facts), indent=1).encode(), "application/json", facts, form)
    if form == "csv":
        return _file(manifest_csv(facts), CSV_TYPE, facts, form)
    if form != "pdf":
        raise NotThere()
    paper = paper_get(PAPER, load)
    if paper is not None:
        return paper_response(paper)
    return _file(manifest_render([facts]).data, "application/pdf", facts, form)


def manifest_csv(facts: Manifest) -> bytes:
    """The rows as CSV; no cell starts a formula."""
    columns = tuple(Column(name, "count" if name in _NUMBERS else "words", 12) for name in CSV_HEAD)
    return csv_bytes(Table("manifest", facts.number, columns, tuple(manifest_csv_rows(facts))))


def _file(data: bytes, kind: str, facts: Manifest, form: str) -> HttpResponse:
    response = HttpResponse(data, content_type=kind)
    draft = "-draft" if facts.draft else ""
    response["Content-Disposition"] = f'attachment; filename="manifest-{facts.number}{draft}.{form}"'
    response["Cache-Control"] = "private, no-store"
    return response
