"""Sheathing placed: cells, panels opened, nails and adhesive (R30)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from framing.engine.fitout.fasteners import group
from framing.engine.fitout.flooring import Floor, Strand, Strands, strands_of
from framing.engine.fitout.panels import PanelCell, PanelRow, open_panels
from framing.engine.fitout.scene import Scene
from framing.engine.fitout.shape import Interval, clip, middle
from framing.engine.geometry import Point
from framing.engine.members import Member
from framing.engine.placement import Item, Placed

_HALF = Fraction(1, 2)


def sheathing(scene: Scene, rows: Sequence[PanelRow]) -> Iterator[Placed]:
    """Panel pieces with the panels opened for them, row by row, then their nails and adhesive."""
    beds = _beds(scene, rows)
    for cell, opened in open_panels(rows, scene.layout.bay, scene.practice):
        bed = beds[cell.id]
        row = bed.row
        low, high = scene.at(cell.low_16, row.low_16), scene.at(cell.high_16, row.high_16)
        why = _why(scene, cell)
        yield Placed(cell.id, Item.SHEATHING_CELL, "", 1, "piece", low, "R30", why, row.id, to=high)
        if opened:
            panel_id = f"panel:{cell.id}"
            words = f"opened for {why}"
            yield Placed(panel_id, Item.SHEATHING_PANEL, "", 1, "piece", low, "R30", words, cell.id, to=high)
        at = scene.layout.frame.point(middle(cell.low_16, cell.high_16), middle(row.low_16, row.high_16))
        between = bed.strands.between(cell.low_16, cell.high_16)
        yield from _nails(scene, bed, cell, between, at)
        yield from _beads(bed, cell, between, at)


@dataclass(frozen=True, slots=True)
class _Bed:
    """What a row of panels lies on: strands cut to it, headers and bearing edges under it."""

    row: PanelRow
    strands: Strands
    headers: tuple[Member, ...]
    rims: tuple[Interval, ...]
    floor: Floor


def _beds(scene: Scene, rows: Sequence[PanelRow]) -> dict[str, _Bed]:
    """The bed of every cell, by the cell's id."""
    strands, floor = strands_of(scene), Floor(scene)
    across = [member for member in scene.members if member.runs == "across"]
    beds: dict[str, _Bed] = {}
    for row in rows:
        headers = tuple(m for m in across if row.low_16 <= m.centre_16 < row.high_16)
        bed = _Bed(row, strands.within(row.low_16, row.high_16), headers, _rims_under(scene, row), floor)
        beds |= dict.fromkeys((cell.id for cell in row.cells), bed)
    return beds


def _rims_under(scene: Scene, row: PanelRow) -> tuple[Interval, ...]:
    """Bearing edges whose rim lies under the row."""
    return tuple(
        (edge.low_16, edge.high_16)
        for edge in scene.shape.bearing
        if (
            row.low_16 <= edge.at_16 < row.high_16
            if edge.inward > 0
            else row.low_16 < edge.at_16 <= row.high_16
        )
    )


def _why(scene: Scene, cell: PanelCell) -> str:
    if 2 * cell.depth_16 <= scene.practice.panel_short_16:
        return "strips"
    return "whole panels" if cell.length_16 == scene.practice.panel_long_16 else "cut panels"


def _nails(
    scene: Scene, bed: _Bed, cell: PanelCell, between: Sequence[Strand], at: Point
) -> Iterator[Placed]:
    """Edge nails on both ends and on rim boards under the long edges, field nails on the joists between."""
    practice, row = scene.practice, (bed.row.low_16, bed.row.high_16)
    edge = sum(
        _along_line(part, practice.edge_nail_16)
        for line in (cell.low_16 + _HALF, cell.high_16 - _HALF)
        for part in bed.floor.at(line, row)
    )
    edge += sum(_between_ends(part, practice.edge_nail_16) for part in _under_cell(bed.rims, cell))
    if edge:
        yield group(cell.id, Item.SHEATHING_NAIL, edge, at, "R30", "panel edges")
    headers = _under_cell([(m.low_16, m.high_16) for m in bed.headers], cell)
    field = sum(_along_line((s.low_16, s.high_16), practice.field_nail_16) for s in between)
    field += sum(_along_line(part, practice.field_nail_16) for part in headers)
    if field:
        yield group(cell.id, Item.SHEATHING_NAIL, field, at, "R30", "other joists and headers")


def _along_line(part: Interval, pitch_16: int) -> int:
    """Nails on a line, one at each end and between at most `pitch_16` apart."""
    return -int(-(part[1] - part[0]) // pitch_16) + 1


def _between_ends(part: Interval, pitch_16: int) -> int:
    return max(0, _along_line(part, pitch_16) - 2)


def _under_cell(spans: Sequence[Interval], cell: PanelCell) -> list[Interval]:
    """Parts across of what lies under a row that lie under one cell of it."""
    return [part for span in spans if (part := clip(span, (cell.low_16, cell.high_16))) is not None]


def _beads(bed: _Bed, cell: PanelCell, between: Sequence[Strand], at: Point) -> Iterator[Placed]:
    """One bead on each joist under the panel, and this panel's own bead on a joist that it ends on."""
    ends = [s for line in (cell.low_16, cell.high_16) for s in bed.strands.under(line)]
    for strands, why in (
        (between, "one bead on each joist"),
        (ends, "one bead of each panel where ends meet"),
    ):
        quantity = sum(s.high_16 - s.low_16 for s in strands)
        if quantity:
            bead_id = f"bead:{cell.id}:{why.replace(' ', '-')}"
            yield Placed(bead_id, Item.ADHESIVE_BEAD, "", quantity, "length_16", at, "R30", why, cell.id)
