"""What can't be built is refused, what is unusual is a warning (R51), before any joist is laid.

Limits of this version, refused in words: one bay over the whole outline, every edge square to the joists.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from framing.engine.errors import FloorRefused, Problem
from framing.engine.floor import Edge, EdgeKind, FloorPlan, Opening, Partition, Support
from framing.engine.geometry import Point, Rect, signed_area_2
from framing.engine.practice import Practice
from framing.engine.units import format_length, round_half_up

SPACINGS_16 = (Fraction(192), Fraction(256), Fraction(1536, 5), Fraction(384))
"""R3: 12, 16, 19.2 and 24 in."""


def check_floor(plan: FloorPlan, practice: Practice) -> tuple[Problem, ...]:
    """The floor's warnings. Raises FloorRefused with every problem found, in document order.

    The outline comes first: where it can't be read as a floor, nothing that lies in it is judged.
    """
    for group in (_outline_problems(plan), _part_problems(plan, practice)):
        problems = tuple(group)
        if problems:
            raise FloorRefused(problems)
    return tuple(_warnings(plan, practice))


def _part_problems(plan: FloorPlan, practice: Practice) -> Iterator[Problem]:
    yield from _edge_problems(plan, practice)
    yield from _support_problems(plan)
    yield from _opening_problems(plan)
    yield from _bay_problems(plan)
    for index, partition in enumerate(plan.partitions):
        yield from _partition_problems(plan, partition, f"partitions.{index}")
    yield from _plies_problems(plan, practice)


def _corner(plan: FloorPlan, point: Point) -> str:
    return f"({format_length(point.x_16, plan.units)}, {format_length(point.y_16, plan.units)})"


def _sides(plan: FloorPlan) -> list[tuple[Point, Point]]:
    return list(zip(plan.outline, plan.outline[1:] + plan.outline[:1], strict=True))


def _outline_problems(plan: FloorPlan) -> Iterator[Problem]:
    sides = _sides(plan)
    if len(sides) < 4:
        yield Problem("outline", f"The outline has {len(sides)} corners; a floor needs 4 or more.")
        return
    askew = False
    for index, (a, b) in enumerate(sides):
        at = {"x_16": a.x_16, "y_16": a.y_16}
        if a == b:
            yield Problem(f"outline.{index}", f"Two corners lie on each other at {_corner(plan, a)}.", **at)
        elif a.x_16 != b.x_16 and a.y_16 != b.y_16:
            askew = True
            words = f"The edge from {_corner(plan, a)} to {_corner(plan, b)} is askew; draw edges square."
            yield Problem(f"outline.{index}", words, **at)
    if not askew:
        yield from _crossings(plan, sides)
    if signed_area_2(plan.outline) == 0:
        yield Problem("outline", "The outline encloses nothing; draw its corners in order around the floor.")


def _crossings(plan: FloorPlan, sides: list[tuple[Point, Point]]) -> Iterator[Problem]:
    """Sides that meet elsewhere than at their common corner, or fold back on each other."""
    for index, (a, b) in enumerate(sides):
        for other, (c, d) in enumerate(sides[:index]):
            low = Point(
                max(min(a.x_16, b.x_16), min(c.x_16, d.x_16)), max(min(a.y_16, b.y_16), min(c.y_16, d.y_16))
            )
            high = Point(
                min(max(a.x_16, b.x_16), max(c.x_16, d.x_16)), min(max(a.y_16, b.y_16), max(c.y_16, d.y_16))
            )
            if low.x_16 > high.x_16 or low.y_16 > high.y_16:
                continue
            joined = index - other == 1 or (other == 0 and index == len(sides) - 1)
            if not joined or low != high:
                words = f"The outline crosses or touches itself at {_corner(plan, low)}; mend it there."
                yield Problem(f"outline.{index}", words, low.x_16, low.y_16)


def _edge_problems(plan: FloorPlan, practice: Practice) -> Iterator[Problem]:
    least = practice.rim_thickness_16 + practice.end_clearance_16
    for edge, (a, b) in zip(plan.edges, _sides(plan), strict=True):
        beside = _beside(plan, a, b)
        place, where = f"edges.{edge.index}", f"The edge from {_corner(plan, a)} to {_corner(plan, b)}"
        if beside and edge.kind is not EdgeKind.PARALLEL:
            words = f"{where} runs along the joists, so none end on it; make it parallel or turn the joists."
            yield Problem(place, words, a.x_16, a.y_16)
        elif not beside and edge.kind is EdgeKind.PARALLEL:
            words = f"{where} has joists with no bearing; make it platform or balloon, or turn the joists."
            yield Problem(place, words, a.x_16, a.y_16)
        elif edge.width_16 <= least and edge.kind is not EdgeKind.BALLOON:
            yield Problem(place, f"{where} {_too_narrow(plan, edge, least)}", a.x_16, a.y_16)


def _too_narrow(plan: FloorPlan, edge: Edge, least_16: int) -> str:
    width, least = format_length(edge.width_16, plan.units), format_length(least_16, plan.units)
    return f"has a wall {width} wide; it must be over {least}, where the joist ends."


def _beside(plan: FloorPlan, a: Point, b: Point) -> bool:
    """Whether a straight line runs along the joists."""
    return a.x_16 == b.x_16 if plan.bays[0].axis == "y" else a.y_16 == b.y_16


def _support_problems(plan: FloorPlan) -> Iterator[Problem]:
    for index, support in enumerate(plan.supports):
        place, at = f"supports.{index}", (support.start.x_16, support.start.y_16)
        if support.start == support.end:
            yield Problem(place, f"Bearing {support.id} has no length; draw it from end to end.", *at)
        elif support.start.x_16 != support.end.x_16 and support.start.y_16 != support.end.y_16:
            yield Problem(place, f"Bearing {support.id} is askew; draw it square to the joists.", *at)
        elif support.width_16 <= 0:
            yield Problem(f"{place}.width", f"Bearing {support.id} has no width; write one over 0.", *at)
        elif not _within(plan, _box(support.start, support.end)):
            yield Problem(place, f"Bearing {support.id} leaves the floor; end it at the outline.", *at)
        else:
            yield from _support_clashes(plan, support, index)


def _support_clashes(plan: FloorPlan, support: Support, index: int) -> Iterator[Problem]:
    mine = _thick(support)
    for other in plan.supports[:index]:
        if _overlap(mine, _thick(other)) and _beside(plan, other.start, other.end) == _beside(
            plan, support.start, support.end
        ):
            words = f"Bearings {other.id} and {support.id} stand in each other; keep one or move it."
            yield Problem(f"supports.{index}", words, support.start.x_16, support.start.y_16)


def _thick(support: Support) -> Rect:
    half = support.width_16 // 2
    box = _box(support.start, support.end)
    if box.height_16 == 0:
        return Rect(Point(box.low.x_16, box.low.y_16 - half), Point(box.high.x_16, box.high.y_16 + half))
    return Rect(Point(box.low.x_16 - half, box.low.y_16), Point(box.high.x_16 + half, box.high.y_16))


def _opening_problems(plan: FloorPlan) -> Iterator[Problem]:
    for index, opening in enumerate(plan.openings):
        place, rect = f"openings.{index}", opening.rect
        at = (rect.low.x_16, rect.low.y_16)
        if rect.width_16 <= 0 or rect.height_16 <= 0:
            axis = 0 if rect.width_16 <= 0 else 1
            yield Problem(
                f"{place}.size.{axis}", f"Opening {opening.name} has no size; write one over 0.", *at
            )
            continue
        if not _within(plan, rect):
            words = f"Opening {opening.name} lies outside the floor or over its edge; move it inside."
            yield Problem(place, words, *at)
        for other in plan.openings[:index]:
            if _overlap(rect, other.rect):
                words = f"Openings {other.name} and {opening.name} overlap; join them or move one."
                yield Problem(place, words, *at)
        for support in plan.supports:
            if _crosses(plan, support, opening):
                words = (
                    f"Bearing {support.id} crosses opening {opening.name}; end the bearing at the opening or "
                    "move one of them."
                )
                yield Problem(place, words, *at)


def _crosses(plan: FloorPlan, support: Support, opening: Opening) -> bool:
    """A bearing crosses an opening whose inside it meets, unless an edge of it lies in the width."""
    if _beside(plan, support.start, support.end):
        return _overlap(_box(support.start, support.end), opening.rect)
    half, box = support.width_16 // 2, _box(support.start, support.end)
    rect = opening.rect
    if plan.bays[0].axis == "y":
        centre, low, high = box.low.y_16, rect.low.y_16, rect.high.y_16
        beside = box.low.x_16 < rect.high.x_16 and rect.low.x_16 < box.high.x_16
    else:
        centre, low, high = box.low.x_16, rect.low.x_16, rect.high.x_16
        beside = box.low.y_16 < rect.high.y_16 and rect.low.y_16 < box.high.y_16
    on_bearing = any(centre - half <= edge <= centre + half for edge in (low, high))
    return beside and low < centre < high and not on_bearing


def _bay_problems(plan: FloorPlan) -> Iterator[Problem]:
    if len(plan.bays) != 1 or plan.bays[0].ring:
        words = (
            "This version frames one bay over the whole outline; draw further bays as floors of their own."
        )
        yield Problem("bays", words)
    for index, bay in enumerate(plan.bays):
        spacing = format_length(round_half_up(bay.spacing_16), plan.units)
        if bay.spacing_16 not in SPACINGS_16:
            offered = "305, 406, 488 or 610 mm" if plan.units == "metric" else "12, 16, 19.2 or 24 in"
            words = f"Spacing {spacing} is not offered; choose {offered}."
            yield Problem(f"bays.{index}.spacing", words)
        elif not 0 <= bay.offset_16 <= bay.spacing_16:
            offset = format_length(round_half_up(bay.offset_16), plan.units)
            words = f"Offset {offset} leaves more than one spacing at the start; keep it from 0 to {spacing}."
            yield Problem(f"bays.{index}.offset", words)


def _partition_problems(plan: FloorPlan, partition: Partition, place: str) -> Iterator[Problem]:
    at = (partition.start.x_16, partition.start.y_16)
    if partition.start == partition.end:
        yield Problem(place, f"Partition {partition.id} has no length; draw it from end to end.", *at)
        return
    if partition.start.x_16 != partition.end.x_16 and partition.start.y_16 != partition.end.y_16:
        yield Problem(place, f"Partition {partition.id} is askew; draw it square to the joists.", *at)
        return
    box = _box(partition.start, partition.end)
    if not _within(plan, box):
        yield Problem(place, f"Partition {partition.id} leaves the floor; end it at the outline.", *at)
    if partition.bearing and _beside(plan, partition.start, partition.end):
        for opening in plan.openings:
            if _overlap(box, opening.rect):
                words = f"Bearing partition {partition.id} crosses opening {opening.name}; move one of them."
                yield Problem(place, words, *at)


def _plies_problems(plan: FloorPlan, practice: Practice) -> Iterator[Problem]:
    openings = {opening.id for opening in plan.openings}
    partitions = {partition.id for partition in plan.partitions if partition.bearing}
    for index, (key, plies) in enumerate(plan.plies):
        owner, part = key.split(":", 1)
        place = f"overrides.plies.{index}"
        if owner not in (partitions if part == "joist" else openings):
            thing = "bearing partition" if part == "joist" else "opening"
            yield Problem(
                f"{place}.of", f"There is no {thing} “{owner}”; remove the entry or correct its name."
            )
        if not 1 <= plies <= practice.plies_most:
            yield Problem(
                f"{place}.plies", f"{plies} plies can't be built; write 1 to {practice.plies_most}."
            )


def _warnings(plan: FloorPlan, practice: Practice) -> Iterator[Problem]:
    live = plan.load_case.live_psf
    if live < practice.unusual_live_psf:
        limit = practice.unusual_live_psf
        words = f"Live load {live:g} psf is under {limit:g} psf, the least for rooms; check the use."
        yield Problem("load_case.live_psf", words)
    for index, support in enumerate(plan.supports):
        if _beside(plan, support.start, support.end):
            words = f"Bearing {support.id} runs along the joists and carries none of them."
            yield Problem(f"supports.{index}", words, support.start.x_16, support.start.y_16)


def _box(a: Point, b: Point) -> Rect:
    low = Point(min(a.x_16, b.x_16), min(a.y_16, b.y_16))
    return Rect(low, Point(max(a.x_16, b.x_16), max(a.y_16, b.y_16)))


def _overlap(one: Rect, other: Rect) -> bool:
    """Whether two boxes share more than a border; a line counts where it passes through the inside."""
    return (
        one.low.x_16 < other.high.x_16
        and other.low.x_16 < one.high.x_16
        and one.low.y_16 < other.high.y_16
        and other.low.y_16 < one.high.y_16
    )


def _within(plan: FloorPlan, box: Rect) -> bool:
    """Whether a box or a line lies in the floor, its border included."""
    sides = _sides(plan)
    if any(_overlap(_box(a, b), box) for a, b in sides):
        return False
    # No side passes through its inside, so its middle tells for all of it; a line, which may run on past a
    # side it lies on, is told by each part between corners. Doubled to stay in whole numbers.
    is_line = box.width_16 == 0 or box.height_16 == 0
    stops = sorted({box.low, box.high, *(c for c in plan.outline if is_line and _on(box, c))})
    return all(_holds(sides, a.x_16 + b.x_16, a.y_16 + b.y_16) for a, b in pairwise(stops))


def _on(box: Rect, point: Point) -> bool:
    """Whether a point lies on a box or a line, its border and ends included."""
    return box.low.x_16 <= point.x_16 <= box.high.x_16 and box.low.y_16 <= point.y_16 <= box.high.y_16


def _holds(sides: list[tuple[Point, Point]], middle_x: int, middle_y: int) -> bool:
    """Whether a point, given by twice its coordinates, lies in the outline, its border included."""
    inside = False
    for a, b in sides:
        low, high = sorted((2 * a.y_16, 2 * b.y_16))
        if a.y_16 == b.y_16:
            if low == middle_y and 2 * min(a.x_16, b.x_16) <= middle_x <= 2 * max(a.x_16, b.x_16):
                return True
        elif low <= middle_y <= high and 2 * a.x_16 == middle_x:
            return True
        elif low <= middle_y < high and 2 * a.x_16 > middle_x:
            inside = not inside
    return inside
