"""The materials of a quote's paper: what the floors need, what comes, the sum of each group (R43)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final, Protocol

from quotes.pricing import GROUP_NAMES, GROUPS, SURCHARGE

TENTH: Final = Decimal("0.1")
WITH_SURCHARGE: Final = ", with the steel surcharge"
UNITS_OF_MANY: Final = {
    unit: f"{unit}es" if unit == "box" else f"{unit}s"
    for unit in ("piece", "box", "stick", "sheet", "tube", "hole")
}


class Line(Protocol):
    """What the paper reads of a price line, stored or not."""

    @property
    def group(self) -> str: ...
    @property
    def code(self) -> str: ...
    @property
    def description(self) -> str: ...
    @property
    def exact(self) -> Decimal: ...
    @property
    def exact_unit(self) -> str: ...
    @property
    def quantity(self) -> Decimal: ...
    @property
    def sold_by(self) -> str: ...
    @property
    def extension(self) -> Decimal: ...


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One material: what the floors need, in pieces or feet, and what comes: boxes, sticks, whole feet.

    `needed` is "" where just that comes.
    """

    description: str
    needed: str
    quantity: str
    unit: str


@dataclass(frozen=True, slots=True)
class PaperGroup:
    """One group of materials with the sum of its lines.

    A surcharge counts in the sum and is no material; `priced` is the title of the sum and says so.
    """

    key: str
    title: str
    priced: str
    lines: tuple[PaperLine, ...]
    amount: Decimal


def paper_groups(lines: Sequence[Line]) -> Iterable[PaperGroup]:
    """Groups of materials in the order of the paper; reductions and freight stand by themselves."""
    for group in GROUPS:
        found = [line for line in lines if line.group == group]
        if found and group not in ("discount", "freight"):
            rows = tuple(_material(line) for line in found if line.code != SURCHARGE)
            priced = GROUP_NAMES[group] + (WITH_SURCHARGE if len(rows) < len(found) else "")
            amount = sum((line.extension for line in found), Decimal(0))
            yield PaperGroup(group, GROUP_NAMES[group], priced, rows, amount)


def _material(line: Line) -> PaperLine:
    """What is needed stands only where something else comes: sheets and sticks are counted as they come."""
    comes = _counted(line.quantity, line.sold_by)
    needed = _counted(line.exact, line.exact_unit)
    unit = line.sold_by if line.quantity == 1 else UNITS_OF_MANY.get(line.sold_by, line.sold_by)
    if needed == comes and line.exact_unit in (line.sold_by, "piece"):
        needed = ""
    elif line.exact_unit == "ft":
        needed += " ft"
    return PaperLine(line.description, needed, comes, unit)


def _counted(quantity: Decimal, unit: str) -> str:
    """Whole things as they are, feet to a tenth: the price line holds them to the sixteenth of an inch."""
    if unit == "ft" and quantity != quantity.to_integral_value():
        return f"{quantity.quantize(TENTH, ROUND_HALF_UP):,f}"
    return shown_quantity(quantity)


def shown_quantity(quantity: Decimal) -> str:
    """A quantity without idle zeros."""
    text = f"{quantity:,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
