"""One case of a floor's calculation sheets, ready to show: what page, paper and API read of the engine's sheet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

from framing.drawing import extremes, member_svg, place_words, reactions_of, svg_address
from framing.engine.floor import Units
from framing.engine.result import Check, MemberSheet, Value

_MARKS_SHOWN: Final = 12
_PROFILE: Final = "Profile"  # among the inputs of every check of strength and deflection


@dataclass(frozen=True, slots=True)
class MarkCount:
    """Members of one mark in a case."""

    mark: str
    count: int


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check with the inputs that are its own, such as its limit."""

    check: Check
    own: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class ExtremeRow:
    """The largest and smallest value of a curve with their places: the diagram's numbers."""

    name: str
    unit: str
    largest: float
    largest_at: str
    smallest: float
    smallest_at: str


@dataclass(frozen=True, slots=True)
class ReactionRow:
    """A support, counted from the low end, its place and its reactions."""

    number: int
    words: str
    at: str
    shares: tuple[Value, ...]


@dataclass(frozen=True)
class Case:
    """One sheet, ready to show; `marks` count its members."""

    sheet: MemberSheet
    marks: tuple[MarkCount, ...]
    units: Units

    @property
    def reference(self) -> str:
        return self.sheet.reference

    @property
    def governing(self) -> Check:
        return self.sheet.check.checks[self.sheet.check.governing]

    @property
    def passes(self) -> bool:
        return self.sheet.check.passes

    @property
    def members_words(self) -> str:
        """Members by mark and count, a count before each mark; a long list ends with how many marks more."""
        shown = [f"{row.count} \N{MULTIPLICATION SIGN} {row.mark}" for row in self.marks[:_MARKS_SHOWN]]
        more = len(self.marks) - len(shown)
        return ", ".join(shown) + (f" and {more} marks more" if more else "")

    @cached_property
    def inputs(self) -> tuple[tuple[str, str], ...]:
        """What all required checks of the profile start from, in the engine's order; vibration has its own."""
        required = [check for check in self.sheet.check.checks if check.required]
        checks = [
            check for check in required if any(name == _PROFILE for name, _ in check.inputs)
        ] or required
        return tuple(pair for pair in checks[0].inputs if all(pair in check.inputs for check in checks))

    @property
    def required(self) -> tuple[CheckRow, ...]:
        return self._rows(required=True)

    @property
    def informative(self) -> tuple[CheckRow, ...]:
        """Checks that the practice set leaves off: shown, not required."""
        return self._rows(required=False)

    def _rows(self, *, required: bool) -> tuple[CheckRow, ...]:
        found = (check for check in self.sheet.check.checks if check.required is required)
        return tuple(CheckRow(c, tuple(pair for pair in c.inputs if pair not in self.inputs)) for c in found)

    @cached_property
    def svg(self) -> str:
        """The diagram; "" where the sheet has no supports to stand on."""
        return member_svg(self.sheet, self.units) if self.sheet.supports else ""

    @property
    def svg_address(self) -> str:
        """The diagram as an address that a paper may load."""
        return svg_address(self.svg)

    @property
    def reaction_heads(self) -> tuple[str, ...]:
        """What the reactions of each support are: dead, live, both, and factored where the method factors."""
        return tuple(share.words.split(", ", 1)[-1].capitalize() for share in reactions_of(self.sheet, 0))

    @property
    def reaction_rows(self) -> tuple[ReactionRow, ...]:
        """Supports from the low end with their reactions in the order of `reaction_heads`."""
        return tuple(
            ReactionRow(index + 1, words, place_words(at_in, self.units), reactions_of(self.sheet, index))
            for index, (at_in, words) in enumerate(self.sheet.supports)
        )

    @property
    def extreme_rows(self) -> tuple[ExtremeRow, ...]:
        rows = []
        for curve in self.sheet.curves:
            high, low = extremes(curve)
            places = (place_words(high.at_in, self.units), place_words(low.at_in, self.units))
            rows.append(ExtremeRow(curve.name, curve.unit, high.value, places[0], low.value, places[1]))
        return tuple(rows)
