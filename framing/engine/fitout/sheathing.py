"""Sheathing placed: cells, panels opened, nails and adhesive (R30)."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction

from framing.engine.fitout.fasteners import group
from framing.engine.fitout.laps import openings_at
from framing.engine.fitout.panels import PanelCell, PanelRow, open_panels
from framing.engine.fitout.scene import Scene, high_face_16, low_face_16
from framing.engine.fitout.shape import Interval, Number, clip, half_up, subtract
from framing.engine.geometry import Point
from framing.engine.members import Member
from framing.engine.placement import Item, Placed


def sheathing(scene: Scene, rows: Sequence[PanelRow]) -> Iterator[Placed]:
    """Panel pieces with the panels opened for them, row by row, then their nails and adhesive."""
    row_of = {cell.id: row for row in rows for cell in row.cells}
    runners = scene.runners
    headers = [m for m in scene.members if m.runs == "across"]
    for cell, opened in open_panels(rows, scene.layout.bay, scene.practice):
        row = row_of[cell.id]
        low, high = scene.at(cell.low_16, row.low_16), scene.at(cell.high_16, row.high_16)
        why = _why(scene, cell)
        yield Placed(cell.id, Item.SHEATHING_CELL, "", 1, "piece", low, "R30", why, row.id, to=high)
        if opened:
            panel_id = f"panel:{cell.id}"
            words = f"opened for {why}"
            yield Placed(panel_id, Item.SHEATHING_PANEL, "", 1, "piece", low, "R30", words, cell.id, to=high)
        near = _near(scene, runners, headers, cell)
        yield from _nails(scene, row, cell, near)
        yield from _beads(scene, row, cell, near)


def _near(
    scene: Scene, runners: Sequence[Member], headers: Sequence[Member], cell: PanelCell
) -> Sequence[Member]:
    """Members that can lie under a cell: all headers, and the runners about it, found by halving."""
    margin = scene.practice.panel_short_16
    first = bisect_left(runners, cell.low_16 - margin, key=_centre)
    last = bisect_right(runners, cell.high_16 + margin, key=_centre)
    return [*runners[first:last], *headers]


def _centre(member: Member) -> Number:
    return member.centre_16


def _why(scene: Scene, cell: PanelCell) -> str:
    if 2 * cell.depth_16 <= scene.practice.panel_short_16:
        return "strips"
    return "whole panels" if cell.length_16 == scene.practice.panel_long_16 else "cut panels"


def _middle(scene: Scene, row: PanelRow, cell: PanelCell) -> Point:
    return scene.at(Fraction(cell.low_16 + cell.high_16) / 2, Fraction(row.low_16 + row.high_16, 2))


def _nails(scene: Scene, row: PanelRow, cell: PanelCell, near: Sequence[Member]) -> Iterator[Placed]:
    """Edge nails on both ends and on rim boards under the long edges, field nails on the joists between."""
    practice, at = scene.practice, _middle(scene, row, cell)
    ends = sum(
        _along_line(part, practice.edge_nail_16)
        for line in (cell.low_16 + Fraction(1, 2), cell.high_16 - Fraction(1, 2))
        for part in _floor_at(scene, row, line)
    )
    rims = sum(_between_ends(length, practice.edge_nail_16) for length in _rim_under(scene, row, cell))
    if ends + rims:
        yield group(cell.id, Item.SHEATHING_NAIL, ends + rims, at, "R30", "panel edges")
    field = sum(
        _along_line(part, practice.field_nail_16) for member in near for part in _under(row, cell, member)
    )
    if field:
        yield group(cell.id, Item.SHEATHING_NAIL, field, at, "R30", "other joists and headers")


def _along_line(part: Interval, pitch_16: int) -> int:
    """Nails on a line, one at each end and between at most `pitch_16` apart."""
    return -int(-(part[1] - part[0]) // pitch_16) + 1


def _between_ends(length_16: Number, pitch_16: int) -> int:
    return max(0, -int(-length_16 // pitch_16) - 1)


def _floor_at(scene: Scene, row: PanelRow, across_16: Number) -> list[Interval]:
    """Along-intervals of a row that have floor at one across-coordinate."""
    holes = openings_at(scene, across_16)
    parts = [clip((a.at_16, b.at_16), (row.low_16, row.high_16)) for a, b in scene.shape.along_at(across_16)]
    return [left for part in parts if part is not None for left in subtract(part, holes)]


def _rim_under(scene: Scene, row: PanelRow, cell: PanelCell) -> Iterator[Number]:
    """Lengths of bearing-edge rim under the cell."""
    for edge in scene.shape.bearing_edges():
        inside = (
            row.low_16 <= edge.at_16 < row.high_16
            if edge.inward > 0
            else row.low_16 < edge.at_16 <= row.high_16
        )
        part = clip((edge.low_16, edge.high_16), (cell.low_16, cell.high_16))
        if inside and part is not None:
            yield part[1] - part[0]


def _under(row: PanelRow, cell: PanelCell, member: Member) -> list[Interval]:
    """Where a member lies under a cell, along its own axis; members at the cell's ends do not count."""
    if member.runs == "along":
        if not _between_cell_ends(cell, member):
            return []
        part = clip((member.low_16, member.high_16), (row.low_16, row.high_16))
    else:
        if not row.low_16 <= member.centre_16 < row.high_16:
            return []
        part = clip((member.low_16, member.high_16), (cell.low_16, cell.high_16))
    return [] if part is None else [part]


def _between_cell_ends(cell: PanelCell, member: Member) -> bool:
    return cell.low_16 < low_face_16(member) and high_face_16(member) < cell.high_16


def _beads(scene: Scene, row: PanelRow, cell: PanelCell, near: Sequence[Member]) -> Iterator[Placed]:
    """One bead on each joist under the panel, and this panel's own bead on a joist that it ends on."""
    at = _middle(scene, row, cell)
    runners = [
        m for m in near if m.runs == "along" and clip((m.low_16, m.high_16), (row.low_16, row.high_16))
    ]
    field = sum(
        half_up(part[1] - part[0])
        for member in runners
        if _between_cell_ends(cell, member)
        for part in _under(row, cell, member)
    )
    ends = sum(_end_bead(row, runners, line) for line in (cell.low_16, cell.high_16))
    for quantity, why in (
        (field, "one bead on each joist"),
        (ends, "one bead of each panel where ends meet"),
    ):
        if quantity:
            bead_id = f"bead:{cell.id}:{why.replace(' ', '-')}"
            yield Placed(bead_id, Item.ADHESIVE_BEAD, "", quantity, "length_16", at, "R30", why, cell.id)


def _end_bead(row: PanelRow, runners: Sequence[Member], line_16: Number) -> int:
    under = [m for m in runners if low_face_16(m) <= line_16 <= high_face_16(m)]
    parts = [clip((m.low_16, m.high_16), (row.low_16, row.high_16)) for m in under]
    return sum(half_up(part[1] - part[0]) for part in parts if part is not None)
