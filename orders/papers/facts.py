"""What stands on the shop's papers, as plain values that are kept with the paper. Lengths in whole sixteenths."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

LIFT_SHARE = 5  # lift points at 1/5 of the length from both ends (R36)


@dataclass(frozen=True, slots=True)
class Stock:
    """A sheet of labels, or a roll with one on each page; sizes in tenths of a millimetre."""

    page_width: int
    page_height: int
    columns: int
    rows: int
    label_width: int
    label_height: int
    left: int
    top: int
    across: int
    down: int

    @property
    def on_a_page(self) -> int:
        return self.columns * self.rows

    @property
    def wide(self) -> float:
        """Width of one label in mm."""
        return self.label_width / 10

    @property
    def high(self) -> float:
        """Height of one label in mm."""
        return self.label_height / 10


@dataclass(frozen=True, slots=True)
class PieceFacts:
    """One piece: `bundle` is 0 where it goes in a pack; `place` counts from the bottom of its bundle."""

    code: str
    mark: str
    length_16: int
    profile: str
    floor: str
    zone: str
    order: str
    project: str
    bundle: int
    place: int
    pieces: int


@dataclass(frozen=True, slots=True)
class MarkFacts:
    """Equal pieces of a bundle."""

    mark: str
    count: int
    length_16: int


@dataclass(frozen=True, slots=True)
class TagFacts:
    """One bundle."""

    code: str
    number: int
    order: str
    project: str
    builder: str
    place: str
    note: str
    profile: str
    marks: tuple[MarkFacts, ...]
    length_16: int
    weight_lb: float

    @property
    def pieces(self) -> int:
        return sum(mark.count for mark in self.marks)

    @property
    def lift_16(self) -> int:
        """Distance of the lift points from both ends, down to a whole sixteenth (R36)."""
        return self.length_16 // LIFT_SHARE


@dataclass(frozen=True, slots=True)
class CartonFacts:
    """One carton or pack; `contents` in words."""

    code: str
    number: int
    order: str
    project: str
    title: str
    contents: tuple[str, ...]
    weight_lb: float


@dataclass(frozen=True, slots=True)
class CutRow:
    """Equal pieces that follow each other; holes are centres from the printed end."""

    mark: str
    length_16: int
    holes_16: tuple[int, ...]
    count: int
    floor: str


@dataclass(frozen=True, slots=True)
class AgainCut:
    """One piece that was scrapped and is to be made again; `id` is that of its asking."""

    id: str
    mark: str
    length_16: int
    holes_16: tuple[int, ...]
    floor: str


@dataclass(frozen=True, slots=True)
class CutBundle:
    """A bundle's turn: `number` is 0 for short pieces that go in packs; `starts` is "" without a plan.

    `change` tells that the line changes over before it, `setup_minutes` how long that takes where a plan knows;
    `again` are pieces of it that are to be made once more, beside those in `rows`.
    """

    order: str
    project: str
    number: int
    place: str
    profile: str
    starts: str
    change: bool
    setup_minutes: int
    rows: tuple[CutRow, ...]
    units: str
    again: tuple[AgainCut, ...] = ()

    @property
    def pieces(self) -> int:
        return sum(row.count for row in self.rows) + len(self.again)

    @property
    def length_16(self) -> int:
        """All its steel."""
        rows = sum(row.count * row.length_16 for row in self.rows)
        return rows + sum(piece.length_16 for piece in self.again)


Label = PieceFacts | TagFacts | CartonFacts


def as_json(thing: Label | CutBundle | Stock) -> dict[str, Any]:
    """As it is kept; `tag_from` and its like read it back."""
    return asdict(thing)


def tag_from(kept: Mapping[str, Any]) -> TagFacts:
    return replace(TagFacts(**kept), marks=tuple(MarkFacts(**mark) for mark in kept["marks"]))


def carton_from(kept: Mapping[str, Any]) -> CartonFacts:
    return replace(CartonFacts(**kept), contents=tuple(kept["contents"]))


def cut_from(kept: Mapping[str, Any]) -> CutBundle:
    rows = tuple(replace(CutRow(**row), holes_16=tuple(row["holes_16"])) for row in kept["rows"])
    again = tuple(replace(AgainCut(**one), holes_16=tuple(one["holes_16"])) for one in kept.get("again", ()))
    return replace(CutBundle(**kept), rows=rows, again=again)
