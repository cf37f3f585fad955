"""Sheathing rows cut into panel pieces, and how many panels they open (R30).

`rows_of` lays the rows of a bay; `split_row` is the joint rule on plain numbers; `open_panels` is the offcut
rule. Positions are exact fractions of sixteenths: at 19.2 in stations are no whole sixteenths.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from framing.engine.fitout.intervals import Interval, clip, union
from framing.engine.fitout.scene import Scene
from framing.engine.fitout.shape import FrameSide, Shape
from framing.engine.floor import Bay
from framing.engine.lean import Number, whole
from framing.engine.practice import Practice


@dataclass(frozen=True, slots=True)
class PanelCell:
    """One piece of a row, in frame coordinates; `depth_16` is the depth of floor under it in its row."""

    id: str
    number: int
    low_16: Number
    high_16: Number
    depth_16: Number
    laid: bool

    @property
    def length_16(self) -> Number:
        return self.high_16 - self.low_16


@dataclass(frozen=True, slots=True)
class PanelRow:
    """One unbroken row of panels, low to high along its length; `low_16`, `high_16` are along-coordinates."""

    id: str
    low_16: int
    high_16: int
    cells: tuple[PanelCell, ...]


def rows_of(scene: Scene) -> tuple[PanelRow, ...]:
    """All rows of a bay from its first bearing edge or border out to the far side of the bay."""
    first, last = scene.shape.along_range
    depth = scene.practice.panel_short_16
    rows: list[PanelRow] = []
    for index, low in enumerate(range(first, last, depth)):
        high = min(low + depth, last)
        for part, stretch in enumerate(_stretches(scene.shape, low, high)):
            row_id = f"row:{scene.layout.bay.id}:{index}:{part}"
            rows.append(PanelRow(row_id, low, high, _cells(scene, row_id, (low, high), stretch, index)))
    return tuple(rows)


def _stretches(shape: Shape, low: int, high: int) -> tuple[Interval, ...]:
    """The least stretches that hold all ground of a row; beside a skewed side it is cut where that reaches farthest."""
    found: list[Interval] = []
    for band in shape.strata:
        a, b = max(low, band.low_16), min(high, band.high_16)
        if a < b:
            found += [
                (min(left.across_at(a), left.across_at(b)), max(right.across_at(a), right.across_at(b)))
                for left, right in band.pairs
            ]
    return union(found)


def _cells(
    scene: Scene, row_id: str, row: tuple[int, int], stretch: Interval, index: int
) -> tuple[PanelCell, ...]:
    bounds = split_row(stretch, index % 2 == 1, scene.layout.bay, scene.practice)
    cells = []
    for number, (low, high) in enumerate(pairwise(bounds)):
        depth = _depth(scene.shape, row, (low, high))
        laid = not _inside_opening(scene, row, (low, high))
        cells.append(PanelCell(f"{row_id}:{number}", number, low, high, depth, laid))
    return tuple(cells)


def split_row(stretch: Interval, half: bool, bay: Bay, practice: Practice) -> tuple[Number, ...]:
    """Where the pieces of one row begin and end.

    Args:
        stretch: the row's ends, in sixteenths across.
        half: True for rows that start with a half panel.
        bay: spacing and offset of its stations.
        practice: panel length and width.
    """
    low, high = stretch
    if high - low <= practice.panel_long_16:
        return low, high
    first = practice.panel_short_16 if half else practice.panel_long_16
    bounds: list[Number] = [low, _last_station(low, low + first, bay)]
    while high - bounds[-1] > practice.panel_long_16:
        bounds.append(bounds[-1] + practice.panel_long_16)
    if high - bounds[-1] < 2 * bay.spacing_16:
        bounds[-1] = _last_station(bounds[-2], high - 2 * bay.spacing_16, bay)
    return (*bounds, high)


def _last_station(above: Number, limit: Number, bay: Bay) -> Number:
    """The last station at or below `limit`; the limit itself where no station lies above `above`."""
    k = (limit - bay.offset_16) // bay.spacing_16
    station = bay.offset_16 + k * bay.spacing_16
    return whole(station if k >= 0 and station > above else limit)


def _depth(shape: Shape, row: Interval, cell: Interval) -> Number:
    """The deepest floor under any part of the cell, within its row.

    Under a skewed side the panel has to reach from the lowest to the highest floor anywhere below it.
    """
    deepest: Number = 0
    parts: list[Interval] = []
    skewed = False
    for band in shape.columns:
        reach = max(cell[0], band.low_16), min(cell[1], band.high_16)
        if reach[0] >= reach[1]:
            continue
        total: Number = 0
        for low, high in band.pairs:
            part = _under(low, high, reach, row)
            if part is not None:
                parts.append(part)
                total += part[1] - part[0]
            skewed = skewed or _askew(low, reach, row) or _askew(high, reach, row)
        deepest = max(deepest, total)
    if not skewed:
        return deepest
    return max(high for _, high in parts) - min(low for low, _ in parts)


def _under(low: FrameSide, high: FrameSide, reach: Interval, row: Interval) -> Interval | None:
    """Where along the row there is floor between two sides, over any part of a reach across."""
    least = min(low.along_at(reach[0]), low.along_at(reach[1])) if low.runs == "skewed" else low.along_low_16
    most = (
        max(high.along_at(reach[0]), high.along_at(reach[1])) if high.runs == "skewed" else high.along_low_16
    )
    return clip((least, most), row)


def _askew(side: FrameSide, reach: Interval, row: Interval) -> bool:
    """Whether a skewed side passes under a cell."""
    if side.runs != "skewed":
        return False
    a, b = side.along_at(reach[0]), side.along_at(reach[1])
    return clip((min(a, b), max(a, b)), row) is not None


def _inside_opening(scene: Scene, row: tuple[int, int], cell: Interval) -> bool:
    return any(
        o.across_low_16 <= cell[0]
        and cell[1] <= o.across_high_16
        and o.along_low_16 <= row[0]
        and row[1] <= o.along_high_16
        for o in scene.layout.openings
    )


@dataclass(frozen=True, slots=True)
class _Offcut:
    length_16: Number
    strip: bool  # half a panel deep


def open_panels(rows: Sequence[PanelRow], bay: Bay, practice: Practice) -> Iterator[tuple[PanelCell, bool]]:
    """Every laid cell in order with True where a new panel is opened for it."""
    kept: list[_Offcut] = []
    least = whole(2 * bay.spacing_16)
    panel = practice.panel_long_16
    for row in rows:
        for cell in row.cells:
            if not cell.laid:
                continue
            strip = 2 * cell.depth_16 <= practice.panel_short_16
            source = None if cell.length_16 == panel and not strip else _shortest(kept, cell.length_16, strip)
            if source is None:
                yield cell, True
                source = _Offcut(panel, strip=False)
            else:
                yield cell, False
                kept.remove(source)
            kept += [cut for cut in _left_over(source, cell.length_16, strip) if cut.length_16 >= least]


def _shortest(kept: Sequence[_Offcut], length_16: Number, strip: bool) -> _Offcut | None:
    fit = [cut for cut in kept if cut.length_16 >= length_16 and (strip or not cut.strip)]
    return min(fit, key=lambda cut: (cut.length_16, not cut.strip), default=None)


def _left_over(source: _Offcut, length_16: Number, strip: bool) -> tuple[_Offcut, ...]:
    rest = _Offcut(source.length_16 - length_16, strip)
    if strip and not source.strip:
        return rest, _Offcut(source.length_16, strip=True)
    return (rest,)
