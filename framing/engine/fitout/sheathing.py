"""Sheathing placed: cells, panels opened, nails and adhesive (R30)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from framing.engine.fitout.beam_lines import BeamLine
from framing.engine.fitout.fasteners import group
from framing.engine.fitout.flooring import Bearers, Floor, Strands
from framing.engine.fitout.intervals import Interval, clip, middle
from framing.engine.fitout.panels import PanelCell, PanelRow, open_panels
from framing.engine.fitout.scene import Scene
from framing.engine.fitout.shape import FrameSide
from framing.engine.geometry import Point
from framing.engine.lean import Number
from framing.engine.members import Member, MemberKind
from framing.engine.placement import Item, Placed


def sheathing(
    scene: Scene, rows: Sequence[PanelRow], strands: Strands, beams: Sequence[BeamLine]
) -> Iterator[Placed]:
    """Panel pieces with the panels opened for them, row by row, then their nails and adhesive.

    Args:
        scene: the bay.
        rows: its rows of panels.
        strands: its members that run along.
        beams: where flush beams lie under this bay's sheathing.
    """
    beds = _beds(scene, rows, strands, beams)
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
        at = scene.point(middle(cell.low_16, cell.high_16), middle(row.low_16, row.high_16))
        between = bed.strands.between(cell.low_16, cell.high_16)
        yield from _nails(scene, bed, cell, between, at)
        yield from _beads(bed, cell, between, at)


@dataclass(frozen=True, slots=True)
class _Rim:
    """The part of an outline edge whose rim lies under a row, by its reach across."""

    side: FrameSide
    low_16: Number
    high_16: Number


@dataclass(frozen=True, slots=True)
class _Bed:
    """What a row of panels lies on: strands cut to it, headers, beams and bearing edges under it."""

    row: PanelRow
    strands: Bearers
    headers: tuple[Member, ...]
    beams: tuple[BeamLine, ...]
    rims: tuple[_Rim, ...]
    floor: Floor


def _beds(
    scene: Scene, rows: Sequence[PanelRow], strands: Strands, beams: Sequence[BeamLine]
) -> dict[str, _Bed]:
    """The bed of every cell, by the cell's id."""
    floor = Floor(scene)
    headers = [m for m in scene.members if m.runs == "across" and m.kind is not MemberKind.BEAM]
    last = scene.shape.along_range[1]
    beds: dict[str, _Bed] = {}
    for row in rows:
        bed = _Bed(
            row,
            strands.within(row.low_16, row.high_16),
            tuple(m for m in headers if row.low_16 <= m.centre_16 < row.high_16),
            tuple(
                b
                for b in beams
                if row.low_16 <= b.along_16 < row.high_16 or b.along_16 == row.high_16 == last
            ),
            tuple(rim for side in scene.shape.bearing if (rim := _rim_under(side, row)) is not None),
            floor,
        )
        beds |= dict.fromkeys((cell.id for cell in row.cells), bed)
    return beds


def _rim_under(side: FrameSide, row: PanelRow) -> _Rim | None:
    """The part of a bearing edge whose rim lies under the row."""
    low, high = side.along_low_16, side.along_high_16
    if side.runs == "skewed":
        part = clip((low, high), (row.low_16, row.high_16))
        return (
            None if part is None else _Rim(side, *sorted((side.across_at(part[0]), side.across_at(part[1]))))
        )
    inside = row.low_16 <= low < row.high_16 if side.inward_along > 0 else row.low_16 < low <= row.high_16
    return _Rim(side, side.across_low_16, side.across_high_16) if inside else None


def _why(scene: Scene, cell: PanelCell) -> str:
    if 2 * cell.depth_16 <= scene.practice.panel_short_16:
        return "strips"
    return "whole panels" if cell.length_16 == scene.practice.panel_long_16 else "cut panels"


def _nails(scene: Scene, bed: _Bed, cell: PanelCell, between: Sequence[int], at: Point) -> Iterator[Placed]:
    """Edge nails on both ends and on rim boards under the panel, field nails on what it lies on between."""
    practice, reach = scene.practice, (cell.low_16, cell.high_16)
    edge = _edge_nails(bed, cell, practice.edge_nail_16)
    if edge:
        yield group(cell.id, Item.SHEATHING_NAIL, edge, at, "R30", "panel edges")
    pitch = practice.field_nail_16
    field = sum([1 - -length // pitch for length in between])
    if bed.headers:
        field += _nails_across([(m.low_16, m.high_16) for m in bed.headers], reach, pitch)
    if field:
        yield group(cell.id, Item.SHEATHING_NAIL, field, at, "R30", "other joists and headers")
    if bed.beams and (beams := _nails_across([(b.low_16, b.high_16) for b in bed.beams], reach, pitch)):
        yield group(cell.id, Item.SHEATHING_NAIL, beams, at, "R30", "flush beams")


def _edge_nails(bed: _Bed, cell: PanelCell, pitch_16: int) -> int:
    """Lines at both ends, at a border too, and rim boards between them, along the slope of a skewed one."""
    row = bed.row.low_16, bed.row.high_16
    nails = 0
    for length in bed.floor.just_inside(cell.low_16, 1, row):
        nails += _along_line(length, pitch_16)
    for length in bed.floor.just_inside(cell.high_16, -1, row):
        nails += _along_line(length, pitch_16)
    for rim in bed.rims:
        over = min(rim.high_16, cell.high_16) - max(rim.low_16, cell.low_16)
        if over > 0:
            nails += max(0, _along_line(rim.side.length_over(over), pitch_16) - 2)
    return nails


def _along_line(length_16: Number, pitch_16: int) -> int:
    """Nails on a line, one at each end and between at most `pitch_16` apart."""
    return 1 - -length_16 // pitch_16


def _nails_across(spans: Sequence[Interval], reach: Interval, pitch_16: int) -> int:
    """Nails on what lies across the joists, over the part that is under one cell."""
    parts = [part for span in spans if (part := clip(span, reach)) is not None]
    return sum(_along_line(high - low, pitch_16) for low, high in parts)


def _beads(bed: _Bed, cell: PanelCell, between: Sequence[int], at: Point) -> Iterator[Placed]:
    """One bead on each joist under the panel, and this panel's own bead on a joist that it ends on."""
    ends = [*bed.strands.under(cell.low_16), *bed.strands.under(cell.high_16)]
    for lengths, why, dashed in (
        (between, "one bead on each joist", "one-bead-on-each-joist"),
        (ends, "one bead of each panel where ends meet", "one-bead-of-each-panel-where-ends-meet"),
    ):
        quantity = sum(lengths)
        if quantity:
            bead_id = f"bead:{cell.id}:{dashed}"
            yield Placed(bead_id, Item.ADHESIVE_BEAD, "", quantity, "length_16", at, "R30", why, cell.id)
