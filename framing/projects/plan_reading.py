"""The worker's part of plan files: reading one in bounded processes and keeping what was found."""

from __future__ import annotations

import logging
import re
import struct
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from django.db import transaction

from framing.common.bounded import DIED, Outcome, run_bounded
from framing.projects.models import PlanFile, PlanPage, PlanState
from framing.projects.plan_store import PICTURES, file_bytes
from framing.projects.reading import READERS

RUNS_MOST: Final = 4
"""A PDF of many pages is read in so many bounded runs at most."""
MESSAGE_MOST: Final = 1000
_PNG_HEAD: Final = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
_NO_TEXT: Final = re.compile("[\x00\ud800-\udfff]")
logger = logging.getLogger(__name__)


def plan_file_settle(pk: int) -> None:
    """Read a waiting file in bounded processes and keep what was found; for the worker, safe to run twice."""
    waiting = PlanFile.objects.filter(pk=pk, state=PlanState.WAITING).first()
    if waiting is None:
        return
    outcome = _read(waiting)
    with transaction.atomic():
        row = PlanFile.objects.select_for_update().filter(pk=pk, state=PlanState.WAITING).first()
        if row is None:  # taken away meanwhile
            return
        if outcome.state == "done":
            row.state, row.facts = PlanState.READ, outcome.facts
            _keep_pages(row, outcome)
        else:
            row.state, row.message = PlanState.REFUSED, (outcome.words or DIED)[:MESSAGE_MOST]
        row.save(update_fields=["state", "facts", "message"])


def _read(row: PlanFile) -> Outcome:
    """What the reader of its kind says; of a PDF of many pages, what several runs together say."""
    data = file_bytes(row)
    found = _run(row, data, {"name": row.name})
    for _ in range(RUNS_MOST - 1):
        first = found.facts.get("next")
        if found.state != "done" or not isinstance(first, int):
            break
        more = _run(row, data, {"name": row.name, "first": first})
        if more.state != "done":
            break
        found = _joined(found, more)
    if found.facts.get("next"):
        found.facts["notes"].append(
            f"Pages from {found.facts['next']} on were left out: reading them took too long."
        )
    return found


def _run(row: PlanFile, data: bytes, options: Mapping[str, Any]) -> Outcome:
    outcome = read_bounded(row.kind, data, options)
    if outcome.state in ("slow", "big", "died"):
        logger.warning("plan file %s (%s): %s %s", row.public_id, row.kind, outcome.state, outcome.fault)
    return outcome


def _joined(one: Outcome, more: Outcome) -> Outcome:
    known = one.facts["notes"]
    facts = {
        **one.facts,
        "pictures": [*one.facts["pictures"], *more.facts["pictures"]],
        "notes": [*known, *(note for note in more.facts["notes"] if note not in known)],
        "next": more.facts["next"],
    }
    return Outcome("done", facts=facts, blobs=(*one.blobs, *more.blobs))


def read_bounded(kind: str, data: bytes, options: Mapping[str, Any]) -> Outcome:
    """What the reader of a kind says of a file, from a bounded process; its pictures are PNG of the size it tells."""
    return _checked(run_bounded(READERS[kind], data, options))


def _checked(outcome: Outcome) -> Outcome:
    """The outcome with texts that a column takes, or one that died where its pictures are not what it says.

    Its process read a stranger's file, so what it says is not trusted.
    """
    facts = _storable(outcome.facts)
    try:
        told = [(picture["width_px"], picture["height_px"]) for picture in facts.get("pictures", [])]
    except (KeyError, TypeError):
        told = [(0, 0)]
    if told != [_png_size(blob) for blob in outcome.blobs]:
        return Outcome("died", DIED, fault="its pictures are not as told")
    return replace(outcome, facts=facts, words=_storable(outcome.words))


def _storable(value: Any) -> Any:
    if isinstance(value, str):
        return _NO_TEXT.sub("\N{REPLACEMENT CHARACTER}", value)
    if isinstance(value, list):
        return [_storable(inner) for inner in value]
    if isinstance(value, dict):
        return {_storable(name): _storable(inner) for name, inner in value.items()}
    return value


def _png_size(blob: bytes) -> tuple[int, int] | None:
    if not blob.startswith(_PNG_HEAD) or len(blob) < len(_PNG_HEAD) + 8:
        return None
    width_px, height_px = struct.unpack_from(">II", blob, len(_PNG_HEAD))
    return width_px, height_px


def _keep_pages(row: PlanFile, outcome: Outcome) -> None:
    if outcome.blobs:
        PICTURES.hold()
    PlanPage.objects.bulk_create(
        PlanPage(
            plan_file=row,
            number=picture["number"],
            sha256=PICTURES.write(blob),
            width_px=picture["width_px"],
            height_px=picture["height_px"],
        )
        for picture, blob in zip(outcome.facts.get("pictures", []), outcome.blobs, strict=True)
    )
