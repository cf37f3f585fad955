"""Openings: in the floor, in one bay, clear of bearings, and joined where they share a border (R7, R51)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from framing.engine.errors import Problem
from framing.engine.floor import FloorPlan, Opening, OpeningKind
from framing.engine.floor_checks.lines import ROUNDED_16, Strip, overlap
from framing.engine.floor_checks.site import Site, beside
from framing.engine.geometry import Axis, Point, Rect


def opening_problems(site: Site) -> Iterator[Problem]:
    """Openings without size, outside the floor, over a border, on a bearing, or joined to no rectangle."""
    openings = site.plan.openings
    sound = []
    for index, opening in enumerate(openings):
        problem = _own_problem(site, index, opening)
        if problem is None:
            sound.append(index)
        else:
            yield problem
    for group in opening_groups(openings, sound):
        rect = _around([openings[index].rect for index in group])
        if len(group) > 1 and not _fills([openings[index].rect for index in group], rect):
            yield _not_joined(site, group)
        else:
            yield from _group_problems(site, group, rect)


def opening_over(openings: Sequence[Opening], point: Point) -> Opening | None:
    """The opening that a place lies in, its edge left out; those that fill a rectangle together are one."""
    for group in opening_groups(openings, range(len(openings))):
        rects = [openings[index].rect for index in group]
        whole = _around(rects)
        for index, rect in zip(group, [whole] if _fills(rects, whole) else rects, strict=False):
            (low_x, low_y), (high_x, high_y) = ((p.x_16, p.y_16) for p in (rect.low, rect.high))
            if low_x < point.x_16 < high_x and low_y < point.y_16 < high_y:
                return openings[index]
    return None


def join_openings(plan: FloorPlan) -> FloorPlan:
    """The floor with openings that share a border or overlap made one, as `check_floor` lets them pass (R7).

    The joined one has the first one's id and name and is a stair if one of them is; fixed plies of the same
    part go to it, the most of them.
    """
    groups = opening_groups(plan.openings, range(len(plan.openings)))
    if len(groups) == len(plan.openings):
        return plan
    joined: list[Opening] = []
    first_of: dict[str, str] = {}
    for group in groups:
        parts = [plan.openings[index] for index in group]
        stair = any(part.kind is OpeningKind.STAIR for part in parts)
        kind = OpeningKind.STAIR if stair else OpeningKind.SHAFT
        joined.append(replace(parts[0], kind=kind, rect=_around([part.rect for part in parts])))
        first_of |= {part.id: parts[0].id for part in parts}
    plies: dict[str, int] = {}
    for key, count in plan.plies:
        owner, _, part = key.partition(":")
        key = f"{first_of.get(owner, owner)}:{part}"
        plies[key] = max(count, plies.get(key, 0))
    return replace(plan, openings=tuple(joined), plies=tuple(plies.items()))


def opening_groups(openings: Sequence[Opening], among: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Openings that overlap or share some length of border, and those that share it with them; in order."""
    group_of = {index: {index} for index in among}
    for count, index in enumerate(among):
        for other in among[:count]:
            one, two = group_of[index], group_of[other]
            if one is not two and _shares(openings[index].rect, openings[other].rect):
                one |= two
                group_of |= dict.fromkeys(two, one)
    unique = {id(group): tuple(sorted(group)) for group in group_of.values()}
    return tuple(sorted(unique.values()))


def _shares(one: Rect, other: Rect) -> bool:
    """Whether two rectangles overlap or share some length of border, more than a corner."""
    x = min(one.high.x_16, other.high.x_16) - max(one.low.x_16, other.low.x_16)
    y = min(one.high.y_16, other.high.y_16) - max(one.low.y_16, other.low.y_16)
    return x >= 0 and y >= 0 and (x > 0 or y > 0)


def _around(rects: Sequence[Rect]) -> Rect:
    return Rect(
        Point(min(r.low.x_16 for r in rects), min(r.low.y_16 for r in rects)),
        Point(max(r.high.x_16 for r in rects), max(r.high.y_16 for r in rects)),
    )


def _fills(rects: Sequence[Rect], whole: Rect) -> bool:
    """Whether rectangles cover all of another: column by column between their sides."""
    stops = sorted({x for rect in rects for x in (rect.low.x_16, rect.high.x_16)})
    for low, high in pairwise(stops):
        reached = whole.low.y_16
        for rect in sorted(rects, key=lambda r: r.low.y_16):
            if rect.low.x_16 <= low and high <= rect.high.x_16 and rect.low.y_16 <= reached:
                reached = max(reached, rect.high.y_16)
        if reached < whole.high.y_16:
            return False
    return True


def _own_problem(site: Site, index: int, opening: Opening) -> Problem | None:
    place, rect = f"openings.{index}", opening.rect
    if rect.width_16 <= 0 or rect.height_16 <= 0:
        axis = 0 if rect.width_16 <= 0 else 1
        words = f"Opening {opening.name} has no size; write one over 0."
        return site.problem(f"{place}.size.{axis}", words, rect.low)
    if not site.ring.holds_box(rect):
        words = f"Opening {opening.name} lies outside the floor or over its edge; move it inside."
        return site.problem(place, words, rect.low)
    return None


def _not_joined(site: Site, group: Sequence[int]) -> Problem:
    names = [site.plan.openings[index].name for index in group]
    listed = f"{', '.join(names[:-1])} and {names[-1]}"
    words = (
        f"Openings {listed} overlap or touch but fill no rectangle together; join them into one rectangle "
        "or move them apart."
    )
    last = group[-1]
    return site.problem(f"openings.{last}", words, site.plan.openings[last].rect.low)


def _group_problems(site: Site, group: Sequence[int], rect: Rect) -> Iterator[Problem]:
    """What stands in the way of one opening, or of several joined: borders and bearings."""
    first = group[0]
    place, name = f"openings.{first}", site.plan.openings[first].name
    held = _bays_under(site, rect)
    if len(held) > 1:
        ids = " and ".join(site.plan.bays[index].id for index in held)
        words = f"Opening {name} lies in bays {ids}; keep it in one bay or move their border."
        yield site.problem(place, words, rect.low)
        return
    axis = site.plan.bays[held[0] if held else 0].axis
    for index, support in enumerate(site.plan.supports):
        strip = site.strips[index]
        if strip is not None and _crosses(strip, axis, rect):
            words = f"Bearing {support.id} crosses opening {name}; end the bearing at the opening or move one of them."
            yield site.problem(place, words, rect.low)
    yield from _partition_problems(site, axis, rect, name)


def _bays_under(site: Site, rect: Rect) -> list[int]:
    """The bays that an opening lies in by more than the rounding of their corners."""
    if len(site.plan.bays) == 1:
        return [0]
    from shapely import box, intersection

    mine = box(rect.low.x_16, rect.low.y_16, rect.high.x_16, rect.high.y_16)
    found = []
    for index, (ring, ground) in enumerate(zip(site.bay_rings, site.grounds, strict=True)):
        if not overlap(rect, ring.around):
            continue
        shared = intersection(mine, ground)
        if not shared.buffer(-ROUNDED_16 / 2, join_style="mitre").is_empty:
            found.append(index)
    return found


def _crosses(strip: Strip, axis: Axis, rect: Rect) -> bool:
    """A bearing crosses an opening whose inside it meets, unless an edge of it lies in the bearing's width.

    Worked out with the joists along y; where they run along x the plan is turned over.
    """
    (u0, v0), (u1, v1) = sorted(_turned(point, axis) for point in strip.line)
    (low_u, low_v), (high_u, high_v) = _turned(rect.low, axis), _turned(rect.high, axis)
    if u0 == u1:
        return low_u < u0 < high_u and v0 < high_v and low_v < v1
    start, end = max(u0, low_u), min(u1, high_u)
    if start >= end or max(v0, v1) <= low_v or min(v0, v1) >= high_v:
        return False
    at = [v0 + Fraction((u - u0) * (v1 - v0), u1 - u0) for u in (start, end)]
    if max(at) <= low_v or min(at) >= high_v:
        return False
    half_16 = strip.left_16 * ((u1 - u0) ** 2 + (v1 - v0) ** 2) ** 0.5 / (u1 - u0)
    return not any(all(abs(edge - v) <= half_16 for v in at) for edge in (low_v, high_v))


def _turned(point: Point, axis: Axis) -> tuple[int, int]:
    """A place as (across, along) the joists."""
    return (point.x_16, point.y_16) if axis == "y" else (point.y_16, point.x_16)


def _partition_problems(site: Site, axis: Axis, rect: Rect, name: str) -> Iterator[Problem]:
    for index, partition in enumerate(site.plan.partitions):
        line = partition.start, partition.end
        crossing = partition.bearing and partition.start != partition.end and beside(line, axis)
        low, high = sorted(line)
        if crossing and overlap(Rect(low, high), rect):
            words = f"Bearing partition {partition.id} crosses opening {name}; move one of them."
            yield site.problem(f"partitions.{index}", words, partition.start)
