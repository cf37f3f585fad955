"""Lap plates at interior bearings and cleats under panel joints of shifted lines (R23)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from framing.engine.errors import Problem
from framing.engine.fitout.fasteners import group
from framing.engine.fitout.flooring import openings_at, strands_of
from framing.engine.fitout.panels import PanelRow
from framing.engine.fitout.scene import Scene, half_width_16, high_face_16, low_face_16
from framing.engine.fitout.shape import Interval, Number, clip, subtract
from framing.engine.members import BayLayout, EndKind, Member
from framing.engine.placement import Item, Placed

_JOINED = (EndKind.LAP, EndKind.BUTT)
Pair = tuple[Member, Member]


def lap_plates(scene: Scene) -> Iterator[Placed]:
    """One plate per lapped or butted pair at an interior bearing, n screws in each of the two members."""
    for support in sorted({m.high.host for m in scene.runners if m.high.kind in _JOINED}):
        before = [m for m in scene.runners if m.high.host == support and m.high.kind in _JOINED]
        behind = [m for m in scene.runners if m.low.host == support and m.low.kind in _JOINED]
        for low, high in _pairs(before, behind, scene.practice.site_tolerance_16):
            plate_id = f"lap:{low.id}:{high.id}"
            at = scene.at(Fraction(low.centre_16 + high.centre_16, 2), Fraction(low.high_16 + high.low_16, 2))
            kind = "lapped" if low.high.kind is EndKind.LAP else "butted"
            yield Placed(
                plate_id, Item.LAP_PLATE, scene.size(low), 1, "piece", at, "R23", f"{kind} pairs", support
            )
            screws = scene.screws(low) + scene.screws(high)
            yield group(plate_id, Item.STEEL_SCREW, screws, at, "R23", "lap plate, both members")


def lone_end_warnings(layouts: Sequence[BayLayout], placed: Sequence[Placed]) -> tuple[Problem, ...]:
    """Members that end over an inner bearing without a partner: no lap plate stiffens their web there (R23)."""
    paired = {
        (member, thing.host)
        for thing in placed
        if thing.item is Item.LAP_PLATE
        for member in thing.id.split(":")[1:]
    }
    found: dict[str, list[str]] = {}
    for member in (member for layout in layouts for member in layout.members):
        for end in (member.low, member.high):
            if end.kind in _JOINED and (member.id, end.host) not in paired:
                found.setdefault(end.host.removeprefix("support:"), []).append(member.id)
    return tuple(
        Problem(
            f"supports.{support}",
            f"{' and '.join(members)} {'end' if len(members) > 1 else 'ends'} over bearing {support} without a "
            "partner, so no lap plate stiffens the web: add a bearing stiffener to each.",
        )
        for support, members in sorted(found.items())
    )


def _pairs(before: Sequence[Member], behind: Sequence[Member], apart_16: int) -> list[Pair]:
    """Members of one station are a pair; of the rest those at most `apart_16` apart, the nearest first.

    A trimmer that took a joist's place stands up to half a flange off the joist that it laps.
    """
    pairs: list[Pair] = []
    waiting: dict[int | None, list[int]] = {}
    for j, high in enumerate(behind):
        waiting.setdefault(high.station, []).append(j)
    rest: list[Member] = []
    for low in before:
        if low.station is not None and waiting.get(low.station):
            pairs.append((low, behind[waiting[low.station].pop(0)]))
        else:
            rest.append(low)
    free = [behind[j] for j in sorted(j for left in waiting.values() for j in left)]
    near = sorted(
        (
            (abs(low.centre_16 - high.centre_16), low.centre_16, high.centre_16, i, j)
            for i, low in enumerate(rest)
            for j, high in enumerate(free)
            if abs(low.centre_16 - high.centre_16) <= half_width_16(low) + half_width_16(high) + apart_16
        )
    )
    used_low: set[int] = set()
    used_high: set[int] = set()
    for _, _, _, i, j in near:
        if i not in used_low and j not in used_high:
            used_low.add(i)
            used_high.add(j)
            pairs.append((rest[i], free[j]))
    return sorted(pairs, key=lambda pair: (pair[0].centre_16, pair[1].centre_16))


def sheathing_cleats(scene: Scene, rows: Sequence[PanelRow]) -> Iterator[Placed]:
    """One cleat per panel joint of a shifted line that has, over any part, no flange under it."""
    if not any(m.shifted for m in scene.runners):
        return
    joints = _Joints(scene)
    for row in rows:
        for left, right in pairwise(row.cells):
            if left.laid and right.laid and left.high_16 == right.low_16 and joints.bare(row, left.high_16):
                cleat_id = f"cleat:{row.id}:{right.number}"
                at = scene.at(left.high_16, Fraction(row.low_16 + row.high_16, 2))
                why = "panel joints on shifted joist lines"
                yield Placed(cleat_id, Item.SHEATHING_CLEAT, "", 1, "piece", at, "R23", why, row.id)


class _Joints:
    """Which stretches along a joint want a flange and have none; kept, as many rows have a joint at one place."""

    def __init__(self, scene: Scene) -> None:
        self._scene = scene
        self._strands = strands_of(scene)
        self._headers = [m for m in scene.members if m.runs == "across"]
        self._lines = _shifted_lines(scene.runners)
        self._kept: dict[Number, tuple[Interval, ...]] = {}

    def bare(self, row: PanelRow, joint_16: Number) -> bool:
        if joint_16 not in self._kept:
            self._kept[joint_16] = tuple(self._bare_stretches(joint_16))
        return any(clip(stretch, (row.low_16, row.high_16)) for stretch in self._kept[joint_16])

    def _bare_stretches(self, joint_16: Number) -> Iterator[Interval]:
        covered: list[Interval] = [(s.low_16, s.high_16) for s in self._strands.under(joint_16)]
        covered += [
            (low_face_16(m), high_face_16(m)) for m in self._headers if m.low_16 <= joint_16 <= m.high_16
        ]
        covered += openings_at(self._scene, joint_16)
        for joists in self._lines:
            yield from subtract(_reach(joists, joint_16), covered)


def _shifted_lines(runners: Sequence[Member]) -> list[list[Member]]:
    """The joists of each shifted line, from the start edge outwards."""
    lines: dict[int, list[Member]] = {}
    for member in runners:
        if member.shifted:
            lines.setdefault(member.line, []).append(member)
    return [lines[number] for number in sorted(lines)]


def _reach(joists: Sequence[Member], across_16: Number) -> Interval:
    """How far a shifted line reaches along, by its nearest joist, or the tails of that joist's station."""
    nearest = min(joists, key=lambda m: (abs(m.centre_16 - across_16), m.centre_16))
    beside = [m for m in joists if abs(m.centre_16 - nearest.centre_16) <= nearest.width_16]
    return min(m.low_16 for m in beside), max(m.high_16 for m in beside)
