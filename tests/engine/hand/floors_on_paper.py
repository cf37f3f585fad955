"""Reading a designed floor back in inches, for the three floors worked on paper."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any

from framing.engine.catalogue import load_catalogue
from framing.engine.document import read_document, to_plan
from framing.engine.pipeline import design_floor
from framing.engine.placement import Item, Placed
from framing.engine.practice import Practice

if TYPE_CHECKING:
    from framing.engine.members import Member, MemberKind
    from framing.engine.result import FloorResult

LIVING = {
    "occupancy": "Rooms other than sleeping rooms",
    "live_psf": 40,
    "layers": [{"name": "Floor and ceiling", "psf": 10}],
}


def designed(**entries: Any) -> FloorResult:
    """The floor of a document with these entries; lengths are typed as strings of inches."""
    document = {"format": "spanyard.floor", "version": 1, "load_case": LIVING, **entries}
    return design_floor(to_plan(read_document(document), Practice()), load_catalogue(), Practice())


def inches(value_16: float) -> float:
    return value_16 / 16


def members(floor: FloorResult, kind: MemberKind, line: int | None = None) -> list[Member]:
    """In order of place: line, across, along."""
    found = [m for m in floor.members if m.kind is kind and line in (None, m.line)]
    return sorted(found, key=lambda m: (m.line, m.centre_16, m.low_16))


def cut(found: list[Member]) -> list[tuple[float, float, float]]:
    """(centre, low end, high end) of each member in inches."""
    return [(inches(m.centre_16), inches(m.low_16), inches(m.high_16)) for m in found]


def pieces(floor: FloorResult) -> Counter[tuple[str, float]]:
    """C-sections to roll by mark and length in inches."""
    return Counter((piece.mark, inches(piece.length_16)) for piece in floor.pieces)


def placed(floor: FloorResult, item: Item) -> list[Placed]:
    return [thing for thing in floor.placed if thing.item is item]


def count(floor: FloorResult, item: Item) -> dict[str, int]:
    """Quantity of an item by size."""
    total: Counter[str] = Counter()
    for thing in placed(floor, item):
        total[thing.size] += thing.quantity
    return dict(total)


def spots(floor: FloorResult, item: Item) -> list[tuple[float, float]]:
    """Plan positions in inches (x, y), the middle of what has two ends, sorted."""
    ends = [(t.at, t.to or t.at) for t in placed(floor, item)]
    return sorted((inches(a.x_16 + b.x_16) / 2, inches(a.y_16 + b.y_16) / 2) for a, b in ends)


def lengths(floor: FloorResult, item: Item) -> list[float]:
    """Lengths of placed long things in inches, sorted."""
    return sorted(inches(thing.quantity) for thing in placed(floor, item))


def line(floor: FloorResult, code: str) -> tuple[int, int]:
    """(exact, bought) of a bill line."""
    (found,) = [entry for entry in floor.bill if entry.code == code]
    return found.exact, found.bought


def panels(floor: FloorResult) -> int:
    return sum(count(floor, Item.SHEATHING_PANEL).values())


def holes(member: Member) -> list[float]:
    """Along-coordinates of a member's holes in inches."""
    return [inches(member.low_16 + hole) for hole in member.holes_16]
