"""Lap plates at interior bearings and cleats under panel joints of shifted lines (R23)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from framing.engine.fitout.fasteners import group
from framing.engine.fitout.panels import PanelRow
from framing.engine.fitout.scene import Scene, half_width_16, high_face_16, low_face_16
from framing.engine.fitout.shape import Interval, Number, clip, subtract
from framing.engine.members import EndKind, Member
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


def _pairs(before: Sequence[Member], behind: Sequence[Member], apart_16: int) -> list[Pair]:
    """Members of one station are a pair; of the rest those at most `apart_16` apart, the nearest first.

    A trimmer that took a joist's place stands up to half a flange off the joist that it laps.
    """
    pairs: list[Pair] = []
    free = list(behind)
    rest: list[Member] = []
    for low in before:
        same = [m for m in free if low.station is not None and m.station == low.station]
        if same:
            pairs.append((low, same[0]))
            free.remove(same[0])
        else:
            rest.append(low)
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
    for row in rows:
        for left, right in pairwise(row.cells):
            if left.laid and right.laid and left.high_16 == right.low_16 and _bare(scene, row, left.high_16):
                cleat_id = f"cleat:{row.id}:{right.number}"
                at = scene.at(left.high_16, Fraction(row.low_16 + row.high_16, 2))
                yield Placed(
                    cleat_id,
                    Item.SHEATHING_CLEAT,
                    "",
                    1,
                    "piece",
                    at,
                    "R23",
                    "panel joints on shifted joist lines",
                    row.id,
                )


def _bare(scene: Scene, row: PanelRow, joint_16: Number) -> bool:
    covered = [
        (m.low_16, m.high_16) if m.runs == "along" else (low_face_16(m), high_face_16(m))
        for m in scene.members
        if _under(m, joint_16)
    ]
    holes = openings_at(scene, joint_16)
    for line in _shifted_lines(scene, joint_16):
        wanted = clip((row.low_16, row.high_16), line)
        if wanted is not None and subtract(wanted, covered + holes):
            return True
    return False


def _under(member: Member, across_16: Number) -> bool:
    if member.runs == "along":
        return low_face_16(member) <= across_16 <= high_face_16(member)
    return member.low_16 <= across_16 <= member.high_16


def _shifted_lines(scene: Scene, across_16: Number) -> list[Interval]:
    """How far the shifted lines reach along, by the nearest joist of each, or the tails of its station."""
    found: list[Interval] = []
    for line in sorted({m.line for m in scene.runners if m.shifted}):
        joists = [m for m in scene.runners if m.shifted and m.line == line]
        nearest = min(joists, key=lambda m: (abs(Fraction(m.centre_16 - across_16)), m.centre_16))
        beside = [m for m in joists if abs(m.centre_16 - nearest.centre_16) <= nearest.width_16]
        found.append((min(m.low_16 for m in beside), max(m.high_16 for m in beside)))
    return found


def openings_at(scene: Scene, across_16: Number) -> list[Interval]:
    """Along-intervals that openings, with the inner rim around them, take out at one across-coordinate."""
    rim = scene.practice.opening_stand_off_16
    return [
        (o.along_low_16 - rim, o.along_high_16 + rim)
        for o in scene.layout.openings
        if o.across_low_16 - rim < across_16 < o.across_high_16 + rim
    ]
