"""What pages show of a comparison: drawings beside the rows, figures in words."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from framing.drawing import compare_svg
from framing.engine.floor import Units
from framing.engine.members import MemberKind
from framing.engine.units import format_length
from quotes.compare_shapes import Comparison, FloorMembers, MaterialRow
from quotes.documents import shown_quantity
from quotes.pricing import CENT, GROUP_NAMES, GROUPS, margin_of

KINDS = {
    MemberKind.JOIST: "Joist",
    MemberKind.TRIMMER: "Trimmer",
    MemberKind.HEADER: "Header",
    MemberKind.BEAM: "Beam",
    MemberKind.BLOCK: "Block",
}
COUNTED = ("box", "stick", "sheet", "tube")


@dataclass(frozen=True, slots=True)
class Drawing:
    """One floor drawn with what changed, and the counts in words."""

    name: str
    svg: str
    words: str


@dataclass(frozen=True, slots=True)
class JoistWords:
    """A row of members as one reads it."""

    what: str
    length: str
    was: int
    now: int
    difference: str


@dataclass(frozen=True, slots=True)
class MaterialWords:
    """A row of the bill as one reads it; `counted` is what was counted where packing hides the difference."""

    description: str
    unit: str
    was: str
    now: str
    difference: str
    counted: str


def compared(comparison: Comparison) -> dict[str, Any]:
    """The parts of a comparison's page."""
    return {
        "compared": comparison,
        "drawings": [_drawing(entry) for entry in comparison.members],
        "joists": _joists(comparison),
        "materials": _by_group([(row.group, _material(row)) for row in comparison.materials]),
        "money": _by_group([(row.group, row) for row in comparison.money]),
        "margin_was": _margin(comparison, now=False),
        "margin_now": _margin(comparison, now=True),
    }


def _joists(comparison: Comparison) -> list[tuple[str, list[JoistWords]]]:
    """Rows of members under their floors."""
    units = _units(comparison)
    found: dict[str, list[JoistWords]] = {}
    for row in comparison.joists:
        plies = f"{row.plies}-ply " if row.plies > 1 else ""
        words = JoistWords(
            f"{KINDS[row.kind]}, {plies}{row.profile}",
            format_length(row.length_16, units),
            row.was,
            row.now,
            signed(Decimal(row.difference)),
        )
        found.setdefault(row.floor, []).append(words)
    return list(found.items())


def _units(comparison: Comparison) -> Units:
    for entry in comparison.members:
        for result in (entry.now, entry.was):
            if result is not None:
                return result.plan.units
    return "imperial"


def _drawing(entry: FloorMembers) -> Drawing:
    return Drawing(entry.name, compare_svg(entry.was, entry.now, entry.changes), entry.changes.words)


def _by_group(rows: list[tuple[str, Any]]) -> list[tuple[str, list[Any]]]:
    groups = [(GROUP_NAMES[group], [row for key, row in rows if key == group]) for group in GROUPS]
    return [(title, found) for title, found in groups if found]


def _material(row: MaterialRow) -> MaterialWords:
    counted = ""
    if row.unit in COUNTED and row.exact_unit:
        unit = " ft" if row.exact_unit == "ft" else ""
        was, now = (_read(amount, whole=True) for amount in (row.exact_was, row.exact_now))
        counted = f"{was} to {now}{unit} counted"
    return MaterialWords(
        row.description, row.unit, _read(row.was), _read(row.now), signed(row.difference), counted
    )


def _read(amount: Decimal, *, whole: bool = False) -> str:
    """A quantity as one reads it: hundredths at most, of feet that were only counted whole ones."""
    return shown_quantity(amount.quantize(Decimal(1) if whole else CENT, ROUND_HALF_UP))


def signed(amount: Decimal) -> str:
    """A difference with its sign; nothing where there is none."""
    if not amount:
        return "0"
    return f"{'+' if amount > 0 else '−'}{_read(abs(amount))}"  # noqa: RUF001


def _margin(comparison: Comparison, *, now: bool) -> Decimal | None:
    sums = {entry.name: entry.now if now else entry.was for entry in comparison.sums}
    cost = comparison.cost.now if now else comparison.cost.was
    return margin_of(sums["Goods"] + sums["Freight"], cost)
