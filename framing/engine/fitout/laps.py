"""Lap plates at interior bearings, and who has none (R23)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from framing.engine.errors import Problem
from framing.engine.fitout.fasteners import group
from framing.engine.fitout.intervals import middle
from framing.engine.fitout.scene import Scene, half_width_16
from framing.engine.geometry import Axis, Frame
from framing.engine.members import BayLayout, EndKind, Member
from framing.engine.placement import Item, Placed

_JOINED = (EndKind.LAP, EndKind.BUTT)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two members that meet over an interior bearing: `low` comes up to it, `high` goes on; maybe of two bays.

    `across_16` is half-way between their centre lines, in the frame of the bay of `low`, to the sixteenth.
    """

    support: str
    low: Member
    high: Member
    across_16: int


class _End(NamedTuple):
    """A member's end over a bearing: its bay's number and its centre line in the first bay's frame."""

    member: Member
    scene: int
    place_16: int


@dataclass(slots=True)
class _Bearing:
    before: list[_End] = field(default_factory=list)
    behind: list[_End] = field(default_factory=list)


def pairs_of(scenes: Sequence[Scene]) -> Mapping[str, Sequence[Pair]]:
    """Pairs of a floor by the bay of the lower member, support by support; pairs may reach over a border."""
    found: dict[str, list[Pair]] = {}
    bearings = _bearings(scenes)
    for axis, support in sorted(bearings):
        bearing = bearings[axis, support]
        for low, high in _pairs(bearing.before, bearing.behind, scenes[0].practice.site_tolerance_16):
            mate = _place(high.member, scenes[high.scene].frame, scenes[low.scene].frame)
            across = middle(low.member.centre_16, mate)
            found.setdefault(low.member.bay, []).append(Pair(support, low.member, high.member, across))
    return found


def _bearings(scenes: Sequence[Scene]) -> dict[tuple[Axis, str], _Bearing]:
    """Ends over each bearing, joists of one direction together. Beams and headers run across: they get no plate."""
    found: dict[tuple[Axis, str], _Bearing] = {}
    first: dict[Axis, Scene] = {}
    for number, scene in enumerate(scenes):
        axis = scene.frame.axis
        home = first.setdefault(axis, scene).frame
        for member in scene.runners:
            joined = [end for end in (member.low, member.high) if end.kind in _JOINED]
            if not joined:
                continue
            end = _End(member, number, _place(member, scene.frame, home))
            if member.high in joined:
                found.setdefault((axis, member.high.host), _Bearing()).before.append(end)
            if member.low in joined:
                found.setdefault((axis, member.low.host), _Bearing()).behind.append(end)
    return found


def _place(member: Member, frame: Frame, home: Frame) -> int:
    """The centre line of a member that runs along, in another bay's frame of the same direction."""
    return member.centre_16 if frame == home else home.across_16(frame.point(member.centre_16, 0))


def lap_plates(scene: Scene, pairs: Sequence[Pair]) -> Iterator[Placed]:
    """One plate per lapped or butted pair at an interior bearing, n screws in each of the two members."""
    for pair in pairs:
        low, high = pair.low, pair.high
        plate_id = f"lap:{low.id}:{high.id}"
        at = scene.point(pair.across_16, middle(low.high_16, high.low_16))
        why = "lapped pairs" if low.high.kind is EndKind.LAP else "butted pairs"
        size = scene.size(low)
        yield Placed(plate_id, Item.LAP_PLATE, size, 1, "piece", at, "R23", why, pair.support)
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
    for member in (m for layout in layouts for m in layout.members if m.runs == "along"):
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


def _pairs(before: Sequence[_End], behind: Sequence[_End], apart_16: int) -> list[tuple[_End, _End]]:
    """Members of one station are a pair; of the rest those at most `apart_16` apart, the nearest first.

    A trimmer that took a joist's place stands up to half a flange off the joist that it laps. Stations of two
    bays have nothing to do with each other.
    """
    pairs: list[tuple[_End, _End]] = []
    waiting: dict[tuple[int, int | None], list[int]] = {}
    for j, high in enumerate(behind):
        waiting.setdefault((high.scene, high.member.station), []).append(j)
    rest: list[_End] = []
    for low in before:
        mates = waiting.get((low.scene, low.member.station))
        if low.member.station is not None and mates:
            pairs.append((low, behind[mates.pop(0)]))
        else:
            rest.append(low)
    free = [behind[j] for j in sorted(j for left in waiting.values() for j in left)]
    pairs += _nearest(rest, free, apart_16)
    return sorted(pairs, key=lambda pair: (pair[0].place_16, pair[1].place_16))


def _nearest(rest: Sequence[_End], free: Sequence[_End], apart_16: int) -> Iterator[tuple[_End, _End]]:
    """Pairs of those left over with at most `apart_16` of air between them, the nearest first, each once."""
    near = sorted(
        (abs(low.place_16 - high.place_16), low.place_16, high.place_16, i, j)
        for i, low in enumerate(rest)
        for j, high in enumerate(free)
        if abs(low.place_16 - high.place_16)
        <= half_width_16(low.member) + half_width_16(high.member) + apart_16
    )
    used_low: set[int] = set()
    used_high: set[int] = set()
    for _, _, _, i, j in near:
        if i not in used_low and j not in used_high:
            used_low.add(i)
            used_high.add(j)
            yield rest[i], free[j]
