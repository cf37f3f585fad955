"""What an import comes to: the floor's document, and the report of what was taken, mended and left."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Final, Literal

from framing.engine.errors import Problem
from framing.engine.units import format_length, round_half_up

System = Literal["imperial", "metric"]
_MM_PER_16: Final = 25.4 / 16


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Things that were not taken: what and how many, on which layer (or row), and why."""

    what: str
    where: str
    why: str


@dataclass
class Report:
    """Gathers what is told about an import while it is worked out."""

    taken: list[str] = field(default_factory=list)
    mended: list[str] = field(default_factory=list)
    left: list[LeftOut] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def problem(self, place: str, message: str) -> None:
        self.problems.append(Problem(place, message))


@dataclass(frozen=True, slots=True)
class Found:
    """An import worked out.

    Attributes:
        document: the floor document; None while `problems` say what has to be chosen or mended first.
        taken, mended, left: the report, in words.
        problems: place is the name of a choice (`units`, `outline`, ...) or a place in the file.
        others: the further outlines of the drawing in words, each another floor; the first is outline 0.
    """

    document: dict[str, Any] | None
    taken: tuple[str, ...] = ()
    mended: tuple[str, ...] = ()
    left: tuple[LeftOut, ...] = ()
    problems: tuple[Problem, ...] = ()
    others: tuple[str, ...] = ()


def together(left: Iterable[LeftOut]) -> list[LeftOut]:
    """Rows of the same place and reason as one, in the order of the first."""
    rows: dict[tuple[str, str], list[str]] = {}
    for row in left:
        rows.setdefault((row.where, row.why), []).append(row.what)
    return [LeftOut(", ".join(whats), where, why) for (where, why), whats in rows.items()]


def found_of(report: Report, document: dict[str, Any] | None, others: tuple[str, ...] = ()) -> Found:
    return Found(
        document,
        tuple(report.taken),
        tuple(report.mended),
        tuple(report.left),
        tuple(report.problems),
        others,
    )


def whole_16(value_16: float) -> int:
    """A place or length as whole sixteenths, halves up; noise of the drawing's floats decides no half."""
    return round_half_up(Fraction(round(value_16, 6)))


def length_words(value_16: float, units: System) -> str:
    """A length as the document and the report write it: whole sixteenths, or whole millimetres as they were drawn."""
    if units == "metric":
        return f"{round_half_up(Fraction(round(value_16 * _MM_PER_16, 6)))} mm"
    return format_length(whole_16(value_16), units)


def settled_16(value_16: float, units: System) -> int:
    """The whole sixteenths that the engine reads from what `length_words` writes."""
    if units == "metric":
        return whole_16(round_half_up(Fraction(round(value_16 * _MM_PER_16, 6))) / _MM_PER_16)
    return whole_16(value_16)


def size_words(width_16: float, height_16: float, units: System) -> str:
    return f"{length_words(width_16, units)} \N{MULTIPLICATION SIGN} {length_words(height_16, units)}"


def counted(count: int, one: str, many: str = "") -> str:
    """“1 corner”, “3 corners”."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"
