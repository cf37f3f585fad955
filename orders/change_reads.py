"""What would change on an order if it followed its project's floors as they are saved now (R45); nothing is written."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import Any, Final

from django.db.models import QuerySet

from framing.common.errors import NotThere
from orders.change_facts import BEGUN, Found, change_found, pieces_of, spare_pieces
from orders.changes import Difference, PlacedPiece, difference, take_up
from orders.models import ChangeOrder, Order, Piece
from quotes.change_reads import ChangeMoney, agreed_offer, change_money
from quotes.models import Acceptance
from quotes.selectors import package_of, revision_by_pk
from quotes.services.changing import design_agreed

FORMAT: Final = "spanyard.change"
TENTH: Final = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """Equal changes together: `verb` is added, removed, changed or taken_up; the last two have both sides.

    A piece that is taken up was flagged by an earlier change and is of use again.
    """

    verb: str
    floor: str
    before: str
    after: str
    before_16: int
    after_16: int
    count: int
    rolled: int

    @property
    def other_holes(self) -> bool:
        """Whether a changed piece differs in its holes alone: profile and length are as they were."""
        profiles = {words.rpartition(" ")[2] for words in (self.before, self.after)}
        return self.verb == "changed" and len(profiles) == 1 and self.before_16 == self.after_16


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
    """Design the project's floors as saved now, framed as was picked, and compare with what was accepted.

    Raises Refused: no floor any more, or one that can't be built.
    """
    revision = revision_by_pk(order.revision_id)
    now = design_agreed(revision.quote, at)
    was = agreed_offer(revision)
    package = package_of(was)
    names = {entry["floor"]: entry["name"] for entry in (*was.floors, *now.floors)}
    titles = {
        str(entry["floor"]): floor.plan.name[:80]
        for entry, floor in zip(was.floors, package.floors, strict=True)
    }
    hand = _begun(order)
    placed = pieces_of(was.floors, package)
    begun = {piece for piece in placed if (titles[piece.floor], piece.copy, piece.id) in hand}
    first = sorted(placed, key=lambda piece: piece not in begun)
    spare = spare_pieces(order, {title: floor for floor, title in titles.items()})
    found = take_up(difference(first, pieces_of(now.floors, now.result)), spare)
    rolled = begun.intersection(found.gone)
    return FloorsNow(
        rows=_rows(found, names, rolled),
        kept=len(found.kept),
        marks_moved=sum(before.mark != after.mark for before, after in found.kept),
        rolled=len(rolled),
        practice=str(now.practice_set),
    )


def _begun(order: Order) -> set[tuple[str, int, str]]:
    """Pieces whose bundle was begun."""
    rows = Piece.objects.filter(BEGUN, order=order, dropped_by=None)
    return set(rows.values_list("floor", "copy", "piece_id"))


def _rows(found: Difference, names: Mapping[str, str], rolled: set[PlacedPiece]) -> tuple[ChangeRow, ...]:
    """Equal changes as one row, in the order of floors and marks."""
    sides: list[tuple[str, PlacedPiece | None, PlacedPiece | None]] = [
        *(("changed", before, after) for before, after in found.changed),
        *(("removed", piece, None) for piece in found.removed),
        *(("added", None, piece) for piece in found.added),
        *(("taken_up", before, after) for before, after in found.taken_up),
    ]
    counts: Counter[tuple[str, str, str, str, int, int]] = Counter()
    begun: Counter[tuple[str, str, str, str, int, int]] = Counter()
    for verb, before, after in sides:
        one = after or before
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


# --- change orders ---


@dataclass(frozen=True, slots=True)
class ChangeShown:
    """What a change does to an order's steel; lengths in sixteenths.

    `rolled` are pieces in begun bundles that are needed no more, with their length and weight.
    """

    rows: tuple[ChangeRow, ...]
    kept: int
    marks_moved: int
    rolled: int
    rolled_16: int
    rolled_lb: Decimal

    @property
    def is_nothing(self) -> bool:
        return not self.rows

    @property
    def rolled_ft(self) -> Decimal:
        """Feet to a tenth."""
        return (Decimal(self.rolled_16) / 192).quantize(TENTH, ROUND_HALF_UP)

    @property
    def added(self) -> int:
        """Pieces to roll that were not to be rolled before."""
        return self._count("added", "changed")

    @property
    def removed(self) -> int:
        """Pieces that are needed no more."""
        return self._count("removed", "changed")

    @property
    def taken_up(self) -> int:
        """Flagged pieces of earlier changes that are needed again."""
        return self._count("taken_up")

    def _count(self, *verbs: str) -> int:
        return sum(row.count for row in self.rows if row.verb in verbs)


def shown_of(found: Found) -> ChangeShown:
    """The figures of a change that is not in the order yet."""
    gone = [piece for piece in found.difference.gone if piece in found.begun]
    return ChangeShown(
        rows=_rows(found.difference, found.names, set(gone)),
        kept=len(found.difference.kept),
        marks_moved=sum(before.mark != after.mark for before, after in found.difference.kept),
        rolled=len(gone),
        rolled_16=sum(piece.length_16 for piece in gone),
        rolled_lb=sum((found.rows[piece].weight_lb for piece in gone), Decimal("0.00")),
    )


def difference_json(shown: ChangeShown) -> dict[str, Any]:
    """As a change order keeps it once it is in the order."""
    return {"format": FORMAT, "version": 1} | asdict(shown) | {"rolled_lb": str(shown.rolled_lb)}


def change_shown(change: ChangeOrder) -> ChangeShown:
    """What a change does: as it was put into the order, else as it would be now."""
    kept = change.difference
    if not kept:
        return shown_of(change_found(change))
    return ChangeShown(
        rows=tuple(ChangeRow(**row) for row in kept["rows"]),
        rolled_lb=Decimal(kept["rolled_lb"]),
        **{name: kept[name] for name in ("kept", "marks_moved", "rolled", "rolled_16")},
    )


def change_list(order: Order) -> QuerySet[ChangeOrder]:
    """The changes of an order, newest first, with what their state is read from."""
    return _changes().filter(order=order).order_by("-number")


def change_get(order: Order, number: int) -> ChangeOrder:
    """One change of this order by its number. Raises NotThere."""
    found = change_list(order).filter(number=number).first()
    if found is None:
        raise NotThere()
    return found


def changes_open() -> QuerySet[ChangeOrder]:
    """Changes that are neither in their order nor taken back, the longest waiting first."""
    return _changes().filter(applied_at=None, withdrawn_at=None).order_by("created_at", "id")


def _changes() -> QuerySet[ChangeOrder]:
    joined = (
        "revision__quote__project__builder",
        "revision__acceptance",
        "order__owner",
        "was__quote",
        "asked_by",
    )
    big = [f"{name}__{column}" for name in ("revision", "was") for column in ("result", "floors")]
    return ChangeOrder.objects.select_related(*joined).defer(*big)


class ChangeState(StrEnum):
    """Where a change stands."""

    DRAFT = "draft"
    OFFERED = "offered"
    OVER = "over"
    ACCEPTED = "accepted"
    APPLIED = "applied"
    WITHDRAWN = "withdrawn"


STATE_WORDS = {
    ChangeState.DRAFT: "To finish and issue",
    ChangeState.OFFERED: "Waits for the builder",
    ChangeState.OVER: "Not answered in time",
    ChangeState.ACCEPTED: "Accepted, to put into the order",
    ChangeState.APPLIED: "In the order",
    ChangeState.WITHDRAWN: "Taken back",
}


def change_state(change: ChangeOrder, at: datetime) -> ChangeState:
    """Where a change of `change_list` stands at a time."""
    if change.withdrawn_at is not None:
        return ChangeState.WITHDRAWN
    if change.applied_at is not None:
        return ChangeState.APPLIED
    revision = change.revision
    if acceptance_of(change) is not None:
        return ChangeState.ACCEPTED
    if revision.issued_at is None:
        return ChangeState.DRAFT
    return ChangeState.OVER if revision.valid_until and revision.valid_until <= at else ChangeState.OFFERED


def acceptance_of(change: ChangeOrder) -> Acceptance | None:
    """The builder's yes to a change."""
    found: Acceptance | None = getattr(change.revision, "acceptance", None)
    return found


def change_price(change: ChangeOrder) -> ChangeMoney | None:
    """Old total, new total and difference of a change, with freight and tax."""
    return change_money(change.revision)
