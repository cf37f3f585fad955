"""What a comparison with a printed table answers, and how a difference is judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

from framing.engine.judging.reading import Printed

Unit = Literal["percent", "in"]


@dataclass(frozen=True, slots=True)
class Difference:
    """One printed value beside the engine's.

    Attributes:
        row, line: what it is about, and the line of the file.
        size: engine less printed, in the unit of the column's tolerance (of the printed value's size).
        percent: the same in percent.
        within: inside the tolerance, or inside half a unit of the last printed digit.
        reason: why one outside is no disagreement; "" where nothing explains it.
    """

    row: str
    line: int
    printed: float
    ours: float
    size: float
    percent: float
    within: bool
    reason: str = ""

    @property
    def unexplained(self) -> bool:
        return not (self.within or self.reason)


@dataclass(frozen=True, slots=True)
class NotCompared:
    """A row, or one value of it, that is left out, and why."""

    row: str
    line: int
    reason: str


@dataclass(frozen=True, slots=True)
class Column:
    """One column, or one group of rows under one rule. `note` says by which convention it is compared."""

    name: str
    tolerance: float
    unit: Unit
    note: str
    differences: tuple[Difference, ...]

    @property
    def worst(self) -> Difference:
        return max(self.differences, key=lambda d: abs(d.size))

    @property
    def median(self) -> float:
        """Median size without sign."""
        return median(abs(d.size) for d in self.differences)

    @property
    def median_percent(self) -> float:
        return median(abs(d.percent) for d in self.differences)

    @property
    def outside(self) -> tuple[Difference, ...]:
        return tuple(d for d in self.differences if not d.within)


@dataclass(frozen=True, slots=True)
class Comparison:
    """A whole file: `rows` in it, columns that hold a value at least, rows left out."""

    file: str
    rows: int
    columns: tuple[Column, ...]
    not_compared: tuple[NotCompared, ...]

    @property
    def agrees(self) -> bool:
        """Something was compared, and nothing is outside without a reason."""
        return bool(self.columns) and not any(d.unexplained for c in self.columns for d in c.differences)


def percent_difference(row: str, printed: Printed, ours: float, tolerance: float, reason: str) -> Difference:
    """A difference in percent of the printed value; the printed digits' own rounding counts as agreeing."""
    percent = 100.0 * (ours - printed.value) / abs(printed.value)
    within = abs(percent) <= tolerance or abs(ours - printed.value) <= printed.half_unit
    return Difference(
        row, printed.line, printed.value, ours, percent, percent, within, "" if within else reason
    )


def columns_of(made: Sequence[Column]) -> tuple[Column, ...]:
    """Those that hold anything."""
    return tuple(column for column in made if column.differences)
