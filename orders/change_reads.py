"""What would change on an order if it followed its project's floors as they are saved now (R45); nothing is written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from framing.engine.result import PackageResult
from orders.changes import Difference, PlacedPiece, difference, placed_pieces
from orders.models import Order, Piece
from quotes.selectors import alternate_picked, package_accepted, revision_by_pk
from quotes.services.designing import design_project


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """Equal changes together: `verb` is added, removed or changed; a changed row has both sides."""

    verb: str
    floor: str
    before: str
    after: str
    before_16: int
    after_16: int
    count: int
    rolled: int


@dataclass(frozen=True, slots=True)
class FloorsNow:
    """The difference between what was accepted and the floors as saved now.

    `rolled` counts pieces that would be needed no more and whose bundle was begun already.
    """

    rows: tuple[ChangeRow, ...]
    kept: int
    marks_moved: int
    rolled: int
    practice: str

    @property
    def is_nothing(self) -> bool:
        return not self.rows


def floors_now(order: Order, at: datetime) -> FloorsNow:
    """Design the project's floors as saved now and compare with what was accepted.

    Raises Refused: no floor any more, or one that can't be built.
    """
    revision = revision_by_pk(order.revision_id)
    now = design_project(revision.quote.project, at=at)
    was, package = alternate_picked(revision) or revision, package_accepted(revision)
    names = {entry["floor"]: entry["name"] for entry in (*was.floors, *now.floors)}
    found = difference(_pieces(was.floors, package), _pieces(now.floors, now.result))
    begun = _begun(order)
    titles = {
        str(entry["floor"]): floor.plan.name[:80]
        for entry, floor in zip(was.floors, package.floors, strict=True)
    }
    rolled = {piece for piece in found.gone if (titles[piece.floor], piece.copy, piece.id) in begun}
    return FloorsNow(
        rows=_rows(found, names, rolled),
        kept=len(found.kept),
        marks_moved=sum(before.mark != after.mark for before, after in found.kept),
        rolled=len(rolled),
        practice=str(now.practice_set),
    )


def _pieces(entries: Iterable[Mapping[str, Any]], package: PackageResult) -> list[PlacedPiece]:
    """Floors of an offer and of its package stand in the same order."""
    pairs = zip(entries, package.floors, strict=True)
    return [piece for entry, floor in pairs for piece in placed_pieces(str(entry["floor"]), floor)]


def _begun(order: Order) -> set[tuple[str, int, str]]:
    """Pieces whose bundle was begun."""
    rows = Piece.objects.filter(order=order, bundle__started_at__isnull=False, dropped_by=None)
    return set(rows.values_list("floor", "copy", "piece_id"))


def _rows(found: Difference, names: Mapping[str, str], rolled: set[PlacedPiece]) -> tuple[ChangeRow, ...]:
    """Equal changes as one row, in the order of floors and marks."""
    sides: list[tuple[str, PlacedPiece | None, PlacedPiece | None]] = [
        *(("changed", before, after) for before, after in found.changed),
        *(("removed", piece, None) for piece in found.removed),
        *(("added", None, piece) for piece in found.added),
    ]
    counts: Counter[tuple[str, str, str, str, int, int]] = Counter()
    begun: Counter[tuple[str, str, str, str, int, int]] = Counter()
    for verb, before, after in sides:
        one = before or after
        if one is None:
            continue
        key = (
            names[one.floor], verb, _words(before), _words(after),
            before.length_16 if before else 0, after.length_16 if after else 0,
        )  # fmt: skip
        counts[key] += 1
        begun[key] += before in rolled
    return tuple(
        ChangeRow(verb, floor, was, now, was_16, now_16, counts[key], begun[key])
        for key in sorted(counts)
        for floor, verb, was, now, was_16, now_16 in [key]
    )


def _words(piece: PlacedPiece | None) -> str:
    return f"{piece.mark} {piece.profile}" if piece else ""
