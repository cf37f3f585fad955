"""Cleats under panel joints of shifted joist lines (R23)."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import pairwise

from framing.engine.fitout.flooring import Strands, openings_at
from framing.engine.fitout.intervals import Interval, clip, middle, subtract
from framing.engine.fitout.panels import PanelRow
from framing.engine.fitout.scene import Scene, high_face_16, low_face_16
from framing.engine.lean import Number
from framing.engine.members import Member
from framing.engine.placement import Item, Placed


def sheathing_cleats(scene: Scene, rows: Sequence[PanelRow], strands: Strands) -> Iterator[Placed]:
    """One cleat per panel joint of a shifted line that has, over any part, no flange under it."""
    if not any(m.shifted for m in scene.runners):
        return
    joints = _Joints(scene, strands)
    for row in rows:
        for left, right in pairwise(row.cells):
            if left.laid and right.laid and left.high_16 == right.low_16 and joints.bare(row, left.high_16):
                cleat_id = f"cleat:{row.id}:{right.number}"
                at = scene.at(left.high_16, middle(row.low_16, row.high_16))
                why = "panel joints on shifted joist lines"
                yield Placed(cleat_id, Item.SHEATHING_CLEAT, "", 1, "piece", at, "R23", why, row.id)


class _Joints:
    """Which stretches along a joint want a flange and have none; kept, as many rows have a joint at one place."""

    def __init__(self, scene: Scene, strands: Strands) -> None:
        self._scene, self._strands = scene, strands
        self._headers = [m for m in scene.members if m.runs == "across"]
        self._lines = [_Line(joists) for joists in _shifted_lines(scene.runners)]
        self._kept: dict[Number, tuple[Interval, ...]] = {}

    def bare(self, row: PanelRow, joint_16: Number) -> bool:
        if joint_16 not in self._kept:
            self._kept[joint_16] = tuple(self._bare_stretches(joint_16))
        return any(clip(stretch, (row.low_16, row.high_16)) for stretch in self._kept[joint_16])

    def _bare_stretches(self, joint_16: Number) -> Iterator[Interval]:
        covered: list[Interval] = [*self._strands.under(joint_16)]
        covered += [
            (low_face_16(m), high_face_16(m)) for m in self._headers if m.low_16 <= joint_16 <= m.high_16
        ]
        covered += openings_at(self._scene, joint_16)
        for line in self._lines:
            yield from subtract(line.reach(joint_16), covered)


def _shifted_lines(runners: Sequence[Member]) -> list[list[Member]]:
    """The joists of each shifted line, from the start edge outwards."""
    lines: dict[int, list[Member]] = {}
    for member in runners:
        if member.shifted:
            lines.setdefault(member.line, []).append(member)
    return [lines[number] for number in sorted(lines)]


class _Line:
    """One shifted line of joists, from the start edge outwards."""

    def __init__(self, joists: Sequence[Member]) -> None:
        self._joists = joists
        self._centres = [joist.centre_16 for joist in joists]

    def reach(self, across_16: Number) -> Interval:
        """How far the line reaches along, by its nearest joist, or the tails of that joist's station."""
        centres = self._centres
        place = bisect_left(centres, across_16)
        around = centres[max(0, place - 1) : place + 1]
        centre = min(around, key=lambda c: (abs(c - across_16), c))
        width = self._joists[bisect_left(centres, centre)].width_16
        first, last = bisect_left(centres, centre - width), bisect_right(centres, centre + width)
        beside = self._joists[first:last]
        return min(m.low_16 for m in beside), max(m.high_16 for m in beside)
